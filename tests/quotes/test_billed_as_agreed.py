"""What is agreed after a change or a cancellation is what is billed, to the cent."""

import random
from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps
from django.utils import timezone

from quotes.changes_after import saving
from quotes.changes_after.billed import billed_more
from quotes.invoices.billing import billing_of
from quotes.private.prices import changed_since_yes
from shop import changes, services
from shop.models import AgreedChange, Knife, Order
from shop.stages import StageError
from tests.factories import KnifeFactory, OrderFactory, moment
from tests.quotes.changes import agreed_order, knife_of
from tests.quotes.changes import made as made_change
from tests.quotes.invoicing import accepted, ready_shop, today
from tests.quotes.orders import ready_shop as lay_in

pytestmark = pytest.mark.django_db

LINES = (
    ("knife", "500.03", 19), ("knife", "333.37", 19), ("knife", "287.11", 19),
    ("extra", "60.01", 19), ("charge", "9.90", 7), ("discount", "41.07", 19),
)  # fmt: skip


@pytest.fixture(autouse=True)
def shop():
    lay_in()
    ready_shop()


def agreed(*lines, mode="gross", **values):
    """An order whose quote was accepted, its total agreed on."""
    order = accepted(*(lines or LINES), mode=mode, **values)
    total = billing_of(order).quote.total
    services.agree_on(order, total=total, deposit=Decimal(0))
    order.knives.update(stage="forge")
    return Order.objects.get(pk=order.pk)


def changed(order, more, fee=0, place=0):
    """A change that is said yes to, its knife left as it is."""
    knife = knife_of(order, place)
    change = AgreedChange.objects.create(
        order=order, knife=knife, wish="Other", more=Decimal(more), fee=Decimal(fee),
        values={"columns": {}, "typed": {}, "version": knife.version},
        made_at=timezone.now(),
    )  # fmt: skip
    return saving.answer_change(change, accepted=True, how="told", at=moment())


def delivered(order, place=0):
    Knife.objects.filter(pk=knife_of(order, place).pk).update(stage="delivered")


def cancelled(order, *, cut=True):
    return saving.cancel(order, "moved abroad", cut=cut, by=None, at=moment())


def same(order):
    """The bill and the agreed total, which are one."""
    order = Order.objects.get(pk=order.pk)
    assert billing_of(order).bill_on(today()).gross == order.agreed
    return order.agreed


# --- changes -----------------------------------------------------------------------


@pytest.mark.parametrize("mode", ["gross", "net"])
def test_bill_and_agreed_total_stay_one_over_many_changes(mode):
    chance = random.Random(5)
    order = agreed(mode=mode)
    before = same(order)
    for _time in range(25):
        more, fee = (Decimal(chance.randint(-900, 9000)) / 100 for _one in range(2))
        changed(order, more, abs(fee), place=chance.randrange(3))
        now = same(order)
        assert abs(now - before - more - abs(fee)) <= Decimal("0.01")
        before = now


def test_every_amount_of_a_change_is_told_as_it_will_be_billed():
    """Before tax of 19 % not every total can be billed; what is told can be."""
    order = agreed(("knife", "500.00", 19), mode="net")
    knife, start = knife_of(order), order.agreed
    for coins in range(1, 200):
        more = billed_more(knife, Decimal(coins) / 100)
        assert abs(more - Decimal(coins) / 100) <= Decimal("0.01")
        assert billed_more(knife, more) == more
    changed(order, billed_more(knife, Decimal("33.33")))
    assert same(order) - start == AgreedChange.objects.get().more


# --- cancelling --------------------------------------------------------------------


@pytest.mark.parametrize("mode", ["gross", "net"])
@pytest.mark.parametrize("handed", [(), (0,), (0, 2)])
@pytest.mark.parametrize("before", [(), (0,), (1,), (0, 1, 1)])
def test_cancelled_order_bills_what_is_kept(mode, handed, before):
    """With knives handed over, changes of those and of the others before."""
    order = agreed(mode=mode)
    for place in before:
        changed(order, "70.03", "11.11", place=place)
    for place in handed:
        delivered(order, place)
    order = Order.objects.get(pk=order.pk)
    told = saving.settle(order, cut=True)
    found = cancelled(order)
    assert found == told
    assert same(order) == found.kept
    exact = found.handed_over + found.price / 2  # 50 %: common practice, no source
    assert abs(found.kept - exact) <= Decimal("0.015")


def test_knife_handed_over_is_billed_once():
    """500 handed over and 15 % of 300: common practice, no source."""
    order = agreed(("knife", "500.00", 19), ("knife", "300.00", 19))
    delivered(order)
    cancelled(order, cut=False)
    assert same(order) == 545
    lines = billing_of(Order.objects.get(pk=order.pk)).asked
    assert [one.amount.amount for one in lines] == [500, 45]


def test_knife_lost_and_not_made_again_is_not_billed_as_one():
    order = agreed(("knife", "500.00", 19), ("knife", "300.00", 19))
    services.move_knife(
        knife_of(order), "scrapped", gate_passed=False, by=None, at=moment(),
        reason="crack",
    )  # fmt: skip
    cancelled(order)
    assert same(order) == 400
    assert len(billing_of(order).asked) == 1


# --- what is refused ---------------------------------------------------------------


def test_knife_of_an_agreed_total_is_not_cancelled_by_itself():
    order = agreed_order("One", "Other")
    with pytest.raises(StageError, match="settled with the order") as told:
        services.move_knife(
            knife_of(order), "cancelled", gate_passed=False, by=None, at=moment(),
            reason="one is enough",
        )  # fmt: skip
    assert told.value.field == "to"
    assert knife_of(order).stage == "forge"
    free = OrderFactory(knives=1, accepted=True)
    services.move_knife(
        free.knives.get(), "cancelled", gate_passed=False, by=None, at=moment(),
        reason="one is enough",
    )  # fmt: skip


def test_knife_is_added_to_an_agreed_total_only_for_a_scrapped_one():
    order = agreed_order()
    with pytest.raises(StageError, match="open a new enquiry"):
        KnifeFactory(order=order)
    services.move_knife(
        knife_of(order), "scrapped", gate_passed=False, by=None, at=moment(),
        reason="crack",
    )  # fmt: skip
    KnifeFactory(order=order)
    with pytest.raises(StageError, match="open a new enquiry"):
        KnifeFactory(order=order)


def test_owner_cancels_what_money_was_agreed_for(owner_client):
    order = agreed_order()
    sent = {"form_key": "k", "reason": "gone", "cut": "no"}
    page = owner_client.post(f"{order.get_absolute_url()}cancel/", sent)
    assert page.status_code == 302
    assert Order.objects.get(pk=order.pk).agreed == 150


# --- what was there before ---------------------------------------------------------


def test_only_orders_at_work_are_given_what_their_quote_agreed_on():
    orders = {state: accepted() for state in ("accepted", "delivered", "cancelled")}
    for state, order in orders.items():
        Order.objects.filter(pk=order.pk).update(state=state)
    import_module("quotes.migrations.0003_customer_side").keep_agreed(apps, None)
    found = {one.state: one.agreed for one in Order.objects.all()}
    assert found == {"accepted": 890, "delivered": None, "cancelled": None}


# --- what the customer reads -------------------------------------------------------


def test_customers_page_tells_what_was_changed_and_what_is_paid_now():
    order = agreed_order()
    change = made_change(knife_of(order), length=0.183)
    AgreedChange.objects.filter(pk=change.pk).update(
        values=change.values | {"told": [["Blade", "163 mm", "183 mm"]]}
    )
    change.refresh_from_db()
    assert changed_since_yes(order, "EUR") == ()
    changes.answer_change(change, accepted=True, how="told", at=moment())
    first, now = changed_since_yes(Order.objects.get(pk=order.pk), "EUR")
    assert "Blade: 163 mm → 183 mm" in first
    assert f"{Order.objects.get(pk=order.pk).agreed:,.2f}" in now
