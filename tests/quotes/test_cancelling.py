"""An order that is cancelled: steel cut or not, what is kept, and that it stays so."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.changes_after import saving
from quotes.changes_after.agreed import order_is_cut, steel_is_cut
from quotes.errors import QuoteError
from shop import services
from shop.entries import write_entry
from shop.models import AgreedChange, Knife, Order, Rate
from shop.stages import StageError
from tests.factories import OrderFactory, moment
from tests.quotes.changes import agreed_order, figure, knife_of, paid
from tests.quotes.invoicing import accepted, cancelled, final
from tests.quotes.invoicing import ready_shop as selling
from tests.quotes.orders import LONG_AGO, address, ready_order
from tests.quotes.orders import ready_shop as lay_in
from tests.shop.typing_in import key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    lay_in()


def test_steel_counts_as_cut_once_anything_shows_it():
    order = agreed_order("One", "Other")
    knife = knife_of(order)
    assert not order_is_cut(order)
    write_entry(knife, "stack", 1.2, "1.2 kg", by=None, at=moment())
    assert steel_is_cut(knife_of(order, 1))  # it comes out of the same billet
    assert order_is_cut(order)


@pytest.mark.parametrize(
    ("cut", "kept", "returned", "owed"),
    [(False, 150, 150, 0), (True, 500, 0, 200)],
)
def test_cancelled_order_keeps_returns_and_owes_by_the_ladder(
    cut, kept, returned, owed
):
    """15 % before the steel is cut, 50 % after: common practice, no source."""
    order = agreed_order()
    paid(order, 300)
    found = saving.cancel(order, "moved abroad", cut=cut, by=None, at=moment())
    assert (found.kept, found.returned, found.owed) == (kept, returned, owed)
    row = AgreedChange.objects.get()
    order = Order.objects.get(pk=order.pk)
    assert (row.knife, row.wish, row.state) == (None, "moved abroad", "agreed")
    assert saving.kept_settlement(row) == found
    assert (order.state, order.agreed) == ("cancelled", kept)
    assert order.deposit_due == min(kept, 300)


def test_what_is_handed_over_is_owed_in_full():
    order = agreed_order("One", "Other")
    Knife.objects.filter(pk=knife_of(order).pk).update(stage="delivered")
    found = saving.settle(order, cut=True)
    assert (found.handed_over, found.price, found.kept) == (500, 500, 750)


@pytest.mark.parametrize("delivered", [False, True])
def test_cancellation_that_is_settled_is_not_undone_by_a_knife(delivered):
    order = agreed_order("One", "Other")
    if delivered:
        Knife.objects.filter(pk=knife_of(order).pk).update(stage="delivered")
    found = saving.cancel(order, "a slip", cut=False, by=None, at=moment())
    state = Order.objects.get(pk=order.pk).state
    for place in (0, 1):
        knife = knife_of(order, place)
        with pytest.raises(StageError, match="its money settled"):
            services.correct_move(
                knife, "forge", reason="it stands", by=None, at=moment()
            )
        assert knife_of(order, place).stage == knife.stage != "forge"
    order = Order.objects.get(pk=order.pk)
    assert (order.state, order.agreed) == (state, found.kept)


def test_cancellation_without_money_is_taken_back_by_its_knife():
    order = OrderFactory(knives=1, accepted=True)
    saving.cancel(order, "a slip", cut=False, by=None, at=moment())
    services.correct_move(
        knife_of(order), "forge", reason="it stands", by=None, at=moment()
    )
    assert Order.objects.get(pk=order.pk).state == "accepted"


def test_order_with_a_final_invoice_is_not_cancelled_before_that_is():
    selling()
    order = accepted()
    services.agree_on(order, total=Decimal(890), deposit=Decimal(0))
    made_final = final(order)
    with pytest.raises(StageError, match="cancel that invoice first"):
        saving.cancel(order, "gone", cut=False, by=None, at=moment())
    order = Order.objects.get(pk=order.pk)
    assert (order.state, order.agreed) == ("accepted", 890)
    assert not order.changes.exists()
    cancelled(made_final)
    saving.cancel(order, "gone", cut=False, by=None, at=moment())
    assert Order.objects.get(pk=order.pk).agreed == 890  # it is handed over


def test_enquiry_is_cancelled_without_any_sum():
    order = ready_order()
    assert saving.cancel(order, "no time", cut=False, by=None, at=moment()) is None
    assert not AgreedChange.objects.exists()


def test_missing_rate_is_named():
    Rate.objects.filter(key="cancel_before").delete()
    with pytest.raises(QuoteError) as told:
        saving.cancel(agreed_order(), "gone", cut=False, by=None, at=moment())
    assert told.value.field == "cancel_before"
    assert Order.objects.get().state == "accepted"


def test_new_rate_counts_from_its_day():
    knife = knife_of(agreed_order())
    tomorrow = timezone.localdate() + dt.timedelta(days=1)
    Rate.objects.create(key="change_after", value=Decimal(9), valid_from=tomorrow)
    assert Rate.objects.filter(key="change_after", valid_from=LONG_AGO).exists()
    assert figure(knife, cut=True, length=0.183).percent == 50


# --- by the pages ------------------------------------------------------------------


def test_helper_cannot_bring_a_cancelled_order_back_by_its_knife(helper_client):
    order = agreed_order()
    saving.cancel(order, "gone", cut=False, by=None, at=moment())
    knife = knife_of(order)
    page = helper_client.get(knife.get_absolute_url())
    assert "Correct a wrong move" not in text_of(page)
    sent = {"form_key": key_on(page), "stage": "forge", "reason": "a slip"}
    told = helper_client.post(f"{knife.get_absolute_url()}back/", sent)
    assert "was cancelled and its money settled" in text_of(told)
    order = Order.objects.get(pk=order.pk)
    assert (order.state, order.agreed, knife_of(order).stage) == (
        "cancelled", 150, "cancelled",
    )  # fmt: skip


@pytest.mark.parametrize("who", ["owner_client", "helper_client"])
def test_knife_of_an_agreed_total_is_led_to_cancelling_the_order(request, who):
    client = request.getfixturevalue(who)
    order = agreed_order("One", "Other")
    knife = knife_of(order)
    page = client.get(knife.get_absolute_url())
    assert "It cannot be cancelled by itself" in text_of(page)
    assert address("order-cancel", order) in page.content.decode()
    ways = [key for key, _label in page.context["leave"].fields["to"].choices if key]
    assert ways == ["scrapped"]
    sent = {"form_key": key_on(page), "to": "cancelled", "reason": "one is enough"}
    told = client.post(f"{knife.get_absolute_url()}leave/", sent)
    assert told.status_code == 200
    assert told.context["leave"].errors["to"]
    assert knife_of(order).stage == "forge"


def test_knife_without_agreed_money_may_be_cancelled_by_itself(helper_client):
    order = OrderFactory(knives=2, accepted=True)
    page = helper_client.get(knife_of(order).get_absolute_url())
    assert "cannot be cancelled by itself" not in text_of(page)
    ways = dict(page.context["leave"].fields["to"].choices)
    assert {"scrapped", "cancelled"} <= set(ways)


def test_page_says_that_a_final_invoice_stands(owner_client):
    selling()
    order = accepted()
    services.agree_on(order, total=Decimal(890), deposit=Decimal(0))
    final(order)
    where = address("order-cancel", order)
    sent = {"form_key": key_on(owner_client.get(where)), "cut": "no", "reason": "gone"}
    assert "cancel that invoice first" in text_of(owner_client.post(where, sent))
    assert Order.objects.get().state == "accepted"
