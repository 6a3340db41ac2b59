"""The money of an ordered knife on its private page: to pay, paid, kept, paid back."""

import datetime as dt
import re
from decimal import Decimal
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.utils import timezone

from quotes.changes_after import saving
from shop import payments
from shop import services as shop_services
from shop.models import Knife, Order, Payment, Shop
from shop.stages import StageError
from tests.quotes.asking import balance_mailed
from tests.quotes.changes import at_stage
from tests.quotes.orders import (
    drafted,
    issue,
    ready_order,
    ready_shop,
    without_printer,
)
from tests.quotes.privates import opened, ordered, receive, seen, yes

pytestmark = pytest.mark.django_db

IBAN = "DE02120300000000202051"
"""A made-up account with right check digits."""

WHEN = dt.datetime(2026, 3, 2, 12, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)
    Shop.objects.update(iban=IBAN, account_holder="Test forge")


@pytest.fixture
def bought(owner_client):
    return ordered(owner_client)


def cancel(order, *, cut=False):
    order = Order.objects.get(pk=order.pk)
    return saving.cancel(order, "moved abroad", cut=cut, by=None, at=WHEN)


def hand_over(order):
    """All knives of an order to their customer, by way of the bench."""
    for knife in Knife.objects.filter(order=order):
        at_stage(knife, "sharpen")
        shop_services.move_knife(
            knife, "delivered", gate_passed=True, by=None, at=WHEN,
            reason="paid later",
        )  # fmt: skip


def code(customer):
    body = customer.get("/q/view/").content.decode()
    found = re.search(r'<figure class="code">(.*?)</figure>', body, re.DOTALL)
    return found[1] if found else ""


# --- to pay -----------------------------------------------------------------------


def test_progress_tells_stage_money_and_what_is_needed(bought):
    order, customer = bought
    deposit, rest = order.deposit_due, order.agreed - order.deposit_due
    text = seen(customer)
    assert "Accepted on" in text
    assert f"Pay the deposit of €{deposit:,.2f}." in text
    assert "IBAN DE02 1203 0000 0000 2020 51" in text
    assert f"Amount €{deposit:,.2f}" in text
    assert f"Reference {order.number}" in text
    assert "typed as your signature" not in text
    receive(order, deposit)
    text = seen(customer)
    assert "Nothing now." in text
    assert "2020 51" not in text
    assert f"€{deposit:,.2f} received" in text
    Knife.objects.update(stage="sharpen")
    balance_mailed(order)
    text = seen(customer)
    assert f"Pay the balance of €{rest:,.2f}." in text
    assert f"Amount €{rest:,.2f}" in text
    receive(order, rest)
    text = seen(customer)
    assert "Nothing now." in text
    assert "Open €0.00" in text
    assert "2020 51" not in text


def test_part_of_the_deposit_leaves_the_rest_of_it_to_pay(bought):
    order, customer = bought
    receive(order, Decimal(10))
    rest = order.deposit_due - 10
    assert f"Pay the deposit of €{rest:,.2f}." in seen(customer)
    assert f"Amount €{rest:,.2f}" in seen(customer)


def test_finished_knife_asks_for_all_that_is_open_also_without_a_deposit(bought):
    order, customer = bought
    Knife.objects.update(stage="sharpen")
    balance_mailed(order)
    text = seen(customer)
    assert f"Pay the balance of €{order.agreed:,.2f}." in text
    assert "Pay the deposit" not in text


def test_shop_without_an_account_is_asked_where_to_pay(bought):
    _order, customer = bought
    Shop.objects.update(iban="")
    text = seen(customer)
    assert "Ask the shop where to pay it." in text
    assert "Account holder" not in text


def test_code_to_scan_is_there_where_one_can_be_made(bought):
    order, customer = bought
    drawing = code(customer)
    assert drawing.count("<svg") == 1
    assert "Scan this with your bank" in drawing
    assert "style=" not in drawing
    receive(order, order.deposit_due)
    assert code(customer) == ""


@pytest.mark.parametrize(
    "told", [{"iban": "BR1800360305000010009795493C1"}, {"iban": ""}]
)
def test_no_code_where_none_can_be_made(bought, told):
    _order, customer = bought
    Shop.objects.update(**told)
    assert code(customer) == ""
    assert "Codes to scan" not in seen(customer)


def test_code_holds_what_is_to_pay_now(bought, monkeypatch):
    order, customer = bought
    made = []
    monkeypatch.setattr(
        "quotes.private.progress.code_of", lambda one: made.append(one) or ""
    )
    seen(customer)
    receive(order, order.deposit_due)
    Knife.objects.update(stage="sharpen")
    balance_mailed(order)
    seen(customer)
    assert [one.amount for one in made] == [
        order.deposit_due, order.agreed - order.deposit_due,
    ]  # fmt: skip
    assert {(one.iban, one.reference) for one in made} == {(IBAN, order.number)}


def test_page_of_four_knives_with_code_and_options_is_small(owner_client):
    order = ready_order(*(f"Knife {place}" for place in range(4)), length=0.245,
                        family="gyuto", height=0.052)  # fmt: skip
    drafted(order, options=[("Olive", {"handle_material": "olive"})])
    issue(owner_client, order)
    customer, _link = opened(order)
    before = customer.get("/q/view/")
    yes(customer, option="2")
    after = customer.get("/q/view/")
    assert after.content.decode().count("<svg") == 5
    sheets = [finders.find(name) for name in ("shop/shop.css", "quotes/private.css")]
    css = sum(Path(one).stat().st_size for one in sheets)
    for page in (before, after):
        assert len(page.content) + css <= 100_000


# --- paid -------------------------------------------------------------------------


def test_payment_taken_back_is_not_shown(bought):
    order, customer = bought
    one = receive(order, Decimal("12.34"))
    payments.take_back(one, by=None, at=timezone.now())
    assert "12.34" not in seen(customer)


def test_money_paid_back_is_not_shown_as_received(bought):
    order, customer = bought
    receive(order, Decimal("250.00"))
    receive(order, Decimal("50.00"), back=True, day=dt.date(2026, 5, 4))
    text = seen(customer)
    assert "−€50.00 paid back 4 May 2026" in text
    assert "€50.00 received" not in text
    assert "Received €250.00 Paid back €50.00" in text
    assert f"Open €{order.agreed - 200:,.2f}" in text


def test_more_than_was_agreed_is_said_to_come_back(bought):
    order, customer = bought
    receive(order, order.agreed + 5)
    text = seen(customer)
    assert "You have paid €5.00 more than was agreed" in text
    assert "You get back €5.00" in text
    assert "−€" not in text


# --- over -------------------------------------------------------------------------


def test_knife_that_is_handed_over_says_when_and_how_to_care_for_it(bought):
    order, customer = bought
    receive(order, order.agreed)
    hand_over(order)
    text = seen(customer)
    assert "Handed over on 2 March 2026. Thank you; how to look after it" in text
    assert text.count("Handed over on 2 March 2026.") == 2  # of the page, of the knife
    assert "Nothing: all is paid. Thank you." in text
    assert "This page shows how your knife gets on" not in text
    assert text.index("dry it at once") < text.index("the right of withdrawal")
    assert text.index(" Care ") < text.index(" Terms ")
    assert f"Order {order.number}" in text


def test_knife_handed_over_before_it_was_paid_still_asks(bought):
    order, customer = bought
    hand_over(order)
    text = seen(customer)
    assert f"Still to pay: €{order.agreed:,.2f}." in text
    assert "2020 51" in text
    assert code(customer)


def test_cancelled_order_says_when_what_is_kept_why_and_what_comes_back(bought):
    """15 % before the steel is cut: common practice, no source."""
    order, customer = bought
    receive(order, order.deposit_due)
    cancel(order)
    kept = (order.agreed * 15 / 100).quantize(Decimal("0.01"))
    back = order.deposit_due - Order.objects.get().agreed
    text = seen(customer)
    assert "Cancelled on 2 March 2026; nothing more is made." in text
    assert f"Order {order.number}" in text
    assert "Cancelled before the steel was cut: 15 % of" in text
    assert f"€{order.agreed:,.2f} is kept, the agreed price" in text
    assert abs(Order.objects.get().agreed - kept) <= Decimal("0.01")
    assert f"That comes to €{Order.objects.get().agreed:,.2f}" in text
    assert f"By then €{order.deposit_due:,.2f} was paid." in text
    assert f"You get back €{back:,.2f}; the shop pays it to you." in text
    for gone in ("Thank you", "−€", "What happens next", "Promised", "Pay the"):
        assert gone not in text, gone
    assert "2020 51" not in text


def test_cancelled_order_says_when_the_money_went_back(bought):
    order, customer = bought
    receive(order, order.deposit_due)
    cancel(order)
    back = order.deposit_due - Order.objects.get().agreed
    receive(order, back, back=True, day=dt.date(2026, 5, 4))
    text = seen(customer)
    assert "Nothing: all is settled. Paid back on 4 May 2026." in text
    assert "You get back" not in text
    assert f"−€{back:,.2f} paid back 4 May 2026" in text
    assert "Open €0.00" in text


def test_cancelled_order_that_still_owes_says_how_much(bought):
    """Half of it after the steel is cut: common practice, no source."""
    order, customer = bought
    cancel(order, cut=True)
    owed = Order.objects.get().agreed
    text = seen(customer)
    assert "Cancelled after the steel was cut: 50 % of" in text
    assert f"Still to pay: €{owed:,.2f}." in text
    assert f"Amount €{owed:,.2f}" in text
    receive(order, owed)
    assert "Nothing: all is settled." in seen(customer)


def test_order_cancelled_in_part_says_both(owner_client):
    order = ready_order("One", "Other")
    issue(owner_client, order)
    customer, _link = opened(order)
    yes(customer)
    one = at_stage(order.knives.first(), "sharpen")
    shop_services.move_knife(
        one, "delivered", gate_passed=True, by=None, at=WHEN, reason="paid later"
    )
    cancel(order)
    text = seen(customer)
    assert "Handed over on 2 March 2026." in text
    assert "What was not made by then was cancelled on 2 March 2026." in text
    assert "What was handed over is paid in full: €" in text
    assert "Other Is not made." in text


def test_cancelling_that_was_settled_stays_as_it_was_told(bought):
    order, customer = bought
    cancel(order)
    told = seen(customer)
    with pytest.raises(StageError):
        shop_services.correct_move(
            Knife.objects.get(), "forge", reason="a slip", by=None, at=WHEN
        )
    assert seen(customer) == told


def test_order_closed_before_the_yes_says_when(owner_client):
    order = ready_order()
    issue(owner_client, order)
    customer, _link = opened(order)
    shop_services.cancel_order(Order.objects.get(), reason="no steel", by=None, at=WHEN)
    text = seen(customer)
    assert "The shop has closed this order on 2 March 2026" in text
    assert "Pay" not in text


def test_order_from_before_totals_were_kept_is_shown_without_them(bought):
    _order, customer = bought
    Order.objects.update(agreed=None, state="delivered")
    Knife.objects.update(stage="delivered")
    text = seen(customer)
    assert "Handed over. Thank you" in text
    assert "Payments" not in text
    assert not Payment.objects.exists()
