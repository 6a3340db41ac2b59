"""The private page after the yes: the knives as agreed now, and where they stand."""

import re
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.changes_after import saving
from quotes.invoices.billing import billing_of
from quotes.private.words import NOTICES, STAGE_WORDS
from shop import services as shop_services
from shop import stages
from shop.models import AgreedChange, Knife, Order, Shop
from shop.services import spec_of
from shop.wording import screen_drawing
from tests.factories import KnifeFactory, moment
from tests.quotes.asking import balance_mailed
from tests.quotes.changes import at_stage, made
from tests.quotes.orders import (
    drafted,
    issue,
    ready_order,
    ready_shop,
    table_rows,
    without_printer,
)
from tests.quotes.privates import opened, ordered, receive, seen, yes

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


@pytest.fixture
def bought(owner_client):
    return ordered(owner_client)


def drawings(customer):
    body = customer.get("/q/view/").content.decode()
    return re.findall(r'<figure class="scaled">.*?</figcaption>(.*?)</figure>', body)


def drawn(knife, place=1):
    return screen_drawing(spec_of(knife), Shop.current().units, f"knife-{place}")


def lost(knife):
    shop_services.move_knife(
        knife, "scrapped", gate_passed=False, reason="a weld", by=None,
        at=timezone.now(),
    )  # fmt: skip


def billed_as_shown(order, customer):
    """The lines of the page are those billed, and add up to what is agreed."""
    order = Order.objects.get(pk=order.pk)
    rows = table_rows(customer.get("/q/view/"))
    lines = dict(rows[1:])
    for one in billing_of(order).asked:
        sign = "−" if one.amount.kind == "allowance" else ""
        assert lines[one.label] == f"{sign}€{one.amount.amount:,.2f}"
    total = next(text for label, text in lines.items() if label.startswith("Total"))
    assert total == f"€{order.agreed:,.2f}"
    return True


# --- stages -----------------------------------------------------------------------


def test_every_stage_has_its_words():
    assert set(STAGE_WORDS) == {"", *dict(stages.stage_choices())}
    known = {400, 403, 404, 409, 410, 429, 500}
    assert {one.status for one in NOTICES.values()} <= known


def test_billet_is_not_said_to_be_welded_while_the_deposit_is_missing(bought):
    order, customer = bought
    text = seen(customer)
    assert "Waits for the deposit; then the billet is welded" in text
    assert "At the forge:" not in text
    receive(order, order.deposit_due - Decimal("0.01"))
    assert "Waits for the deposit" in seen(customer)
    receive(order, Decimal("0.01"))
    text = seen(customer)
    assert "At the forge: the billet is welded and drawn out" in text
    assert "Waits for the deposit" not in text


def test_work_begun_before_the_deposit_is_not_denied(bought):
    _order, customer = bought
    at_stage(Knife.objects.get(), "grind")
    assert "Being ground to shape" in seen(customer)
    assert "Waits for the deposit; then" not in seen(customer)


def test_steps_go_on_from_where_the_order_stands(bought):
    order, customer = bought
    rest = f"request for the balance of €{order.agreed - order.deposit_due:,.2f}"
    text = seen(customer)
    assert "When the deposit is here, your steel is bought" in text
    assert rest in text
    receive(order, order.deposit_due)
    text = seen(customer)
    assert "When the deposit is here" not in text
    assert rest in text
    Knife.objects.update(stage="sharpen")
    assert rest in seen(customer)
    balance_mailed(order)
    text = seen(customer)
    assert rest not in text
    assert "When the balance is here, it is handed over to you." in text
    receive(order, order.agreed - order.deposit_due)
    assert "When it is finished, it is handed over to you." in seen(customer)


# --- as agreed --------------------------------------------------------------------


def test_page_without_changes_shows_what_was_quoted(owner_client):
    order = ready_order()
    issue(owner_client, order)
    customer, _link = opened(order)
    before = drawings(customer), table_rows(customer.get("/q/view/"))[1:]
    yes(customer)
    assert (drawings(customer), table_rows(customer.get("/q/view/"))[1:]) == before
    assert billed_as_shown(order, customer)


def test_taken_option_is_what_is_shown_and_billed(owner_client):
    order = ready_order()
    drafted(order, options=[("Olive", {"handle_material": "olive", "more": 40})])
    quote = issue(owner_client, order)
    customer, _link = opened(order)
    before = drawings(customer)
    assert "Olive" in seen(customer)
    yes(customer, option="2")
    text, knife = seen(customer), Knife.objects.get()
    assert "written down. Olive" in text
    assert f"Agreed €{quote.options.get(position=2).total:,.2f}" in text
    assert "octagon, olive, 128 mm" in text
    assert "walnut" not in text
    assert drawings(customer) == [drawn(knife)] != before
    assert billed_as_shown(order, customer)


def test_agreed_change_is_what_is_shown_drawn_and_billed(bought):
    order, customer = bought
    before = drawings(customer)
    change = made(Knife.objects.select_related("order").get(), length=0.183)
    assert "waits for your yes or no: it stands below" in seen(customer)
    assert drawings(customer) == before
    saving.answer_change(change, accepted=True, how="told", at=moment())
    text, knife = seen(customer), Knife.objects.get()
    assert "183 mm ±" in text
    assert "163 mm" not in text
    assert drawings(customer) == [drawn(knife)] != before
    assert "What was changed after your yes" in text
    assert "Changed after your yes, agreed on" in text
    assert billed_as_shown(order, customer)
    now = Order.objects.get(pk=order.pk).agreed
    assert now != order.agreed
    assert f"Agreed €{now:,.2f}" in text


def test_refused_change_leaves_the_page_as_it_was(bought):
    _order, customer = bought
    before = seen(customer)
    change = made(Knife.objects.select_related("order").get(), length=0.183)
    AgreedChange.objects.filter(pk=change.pk).update(state="refused")
    after = re.sub(r"Note of a change 1, \d+ \w+ \d+ ", "", seen(customer))
    assert after == before


def test_knife_begun_again_stands_in_the_place_of_a_scrapped_one(bought):
    order, customer = bought
    receive(order, order.agreed)
    lost(Knife.objects.get())
    assert "Did not pass" in seen(customer)
    for stage in ("scrapped", "harden"):
        KnifeFactory(order=order, name="Test knife", stage=stage)
    text, now = seen(customer), Knife.objects.last()
    assert "another is made in its place. Being hardened and tempered." in text
    assert "is not handed out" not in text
    assert drawings(customer) == [drawn(now)]
    assert now.serial in text


def test_knife_handed_over_after_a_loss_speaks_of_no_loss(bought):
    order, customer = bought
    lost(Knife.objects.get())
    KnifeFactory(order=order, name="Test knife", stage="delivered")
    assert "did not pass" not in seen(customer)


def test_knives_keep_the_places_they_were_quoted_in(owner_client):
    order = ready_order("One", "Other")
    issue(owner_client, order)
    customer, _link = opened(order)
    yes(customer)
    lost(order.knives.first())
    KnifeFactory(order=order, name="One again")
    body = customer.get("/q/view/").content.decode()
    named = re.findall(r'<section class="knife">\s*<h2>([^<]+)</h2>', body)
    assert named == ["One again", "Other"]


def test_loss_that_was_corrected_leads_nowhere_in_circles(bought):
    """The first knife is back, and the one begun for it is lost instead."""
    order, customer = bought
    KnifeFactory._meta.model.objects.update(stage="scrapped")
    KnifeFactory(order=order, name="Second")
    Knife.objects.filter(name="Second").update(stage="scrapped")
    Knife.objects.exclude(name="Second").update(stage="forge")
    assert "Second" not in seen(customer)


def test_cancelled_knife_is_not_made_and_not_drawn(owner_client):
    order = ready_order("One", "Other")
    issue(owner_client, order)
    customer, _link = opened(order)
    yes(customer)
    one = order.knives.first()
    Knife.objects.filter(pk=one.pk).update(stage="delivered")
    saving.cancel(Order.objects.get(pk=order.pk), "moved", cut=False, by=None,
                  at=moment())  # fmt: skip
    text, other = seen(customer), order.knives.last()
    assert "Other Is not made." in text
    assert drawings(customer) == [drawn(Knife.objects.get(pk=one.pk))]
    assert text.count("Edge, heel to tip") == 1
    assert "its drawing is on the paper" not in text.lower()
    assert other.serial not in text
    assert billed_as_shown(order, customer)


def test_number_of_queries_does_not_grow_with_payments(
    owner_client, django_assert_max_num_queries
):
    order, customer = ordered(owner_client)
    receive(order, order.deposit_due)
    for _time in range(6):
        receive(order, Decimal(1))
    with django_assert_max_num_queries(40):
        seen(customer)
