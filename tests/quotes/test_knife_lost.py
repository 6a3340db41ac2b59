"""What the shop lost keeps its own price: nobody else's knife pays for it."""

from decimal import Decimal

import pytest
from django.test import Client

from quotes.changes_after import saving
from quotes.changes_after.agreed import begun_again, knife_prices
from quotes.invoices.billing import billing_of
from quotes.private import tokens
from shop import services
from shop.models import Knife, Order
from shop.stages import StageError
from tests.factories import SPEC, KnifeFactory, moment
from tests.quotes.changes import figure, knife_of, said_yes
from tests.quotes.invoicing import accepted, final, ready_shop
from tests.quotes.orders import ready_shop as lay_in
from tests.quotes.orders import without_printer
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    lay_in()
    ready_shop()


def agreed(*prices, mode="gross"):
    order = accepted(*(("knife", one, 19) for one in prices), mode=mode, handed=False)
    total = billing_of(order).quote.total
    services.agree_on(order, total=total, deposit=Decimal(0))
    return Order.objects.get(pk=order.pk)


def moved(order, place, to, **values):
    services.move_knife(
        knife_of(order, place), to, gate_passed=to == "delivered", by=None,
        at=moment(), **{"reason": "crack", **values},
    )  # fmt: skip


def cancelled(order):
    now = Order.objects.get(pk=order.pk)
    return saving.cancel(now, "will not wait", cut=True, by=None, at=moment())


@pytest.mark.parametrize(
    ("mode", "handed", "kept"),
    [("gross", "300.00", "550.00"), ("net", "357.00", "654.50")],
)
def test_lost_knife_is_cancelled_and_the_other_keeps_its_price(
    shop, owner_client, mode, handed, kept
):
    """Knives of 500 and 300, the first lost, the other handed over, half kept.

    300 + 500 x 50 % = 550. Before tax of 19 %: 300 x 1.19 = 357 and 500 x 1.19 = 595,
    of which half is 297.50; 357 + 297.50 = 654.50.
    """
    order = agreed("500.00", "300.00", mode=mode)
    moved(order, 0, "scrapped")
    moved(order, 1, "delivered")
    page = text_of(owner_client.get(f"/orders/{order.number}/cancel/"))
    assert kept in page
    assert f"Scrapped and not made again: {knife_of(order)}" in page
    found = cancelled(order)
    assert (found.handed_over, found.kept) == (Decimal(handed), Decimal(kept))
    order = Order.objects.select_related("customer").get(pk=order.pk)
    assert order.agreed == Decimal(kept) == billing_of(order).gross
    _link, token = tokens.make_link(order, by=None, at=moment())
    page = Client(HTTP_HOST="127.0.0.1").get(f"/q/{token}/", follow=True)
    assert kept in text_of(page)
    assert final(order).gross == Decimal(kept)


def test_knife_keeps_its_price_while_another_waits_to_be_made_again(shop):
    """Of 500 + 300 nothing of the 500 falls on the knife of 300."""
    order = agreed("500.00", "300.00")
    moved(order, 0, "scrapped")
    assert [int(one) for one in _prices(order)] == [500, 300]
    again = KnifeFactory(order=order)
    prices = knife_prices(Order.objects.get(pk=order.pk), "EUR")
    assert prices == {again.serial: 500, knife_of(order, 1).serial: 300}


def _prices(order):
    prices = knife_prices(Order.objects.get(pk=order.pk), "EUR")
    return [prices[one.serial] for one in order.knives.order_by("pk")]


def test_fee_of_a_change_goes_by_the_price_of_its_own_knife(owner_client, monkeypatch):
    """Two alike share what is agreed half and half; a lost one leaves the other half.

    The part that is changed is never worth more than the knife it is of.
    """
    lay_in()
    without_printer(monkeypatch)
    order = said_yes(owner_client, "One", "Other")
    moved(order, 0, "scrapped")
    found = figure(knife_of(order, 1), length=0.183)
    half = knife_prices(order, "EUR")[knife_of(order, 1).serial]
    assert abs(half - order.agreed / 2) <= Decimal("0.01")
    assert 0 < found.part <= half


@pytest.mark.parametrize("first", [0, 1])
def test_knife_begun_again_takes_the_place_of_the_one_lost_first(shop, first):
    """500 and 300 are lost in either order; the first begun again is the first lost."""
    order = agreed("500.00", "300.00")
    moved(order, first, "scrapped")
    moved(order, 1 - first, "scrapped")
    new = [KnifeFactory(order=order), KnifeFactory(order=order)]
    lost = [knife_of(order, first).serial, knife_of(order, 1 - first).serial]
    assert begun_again(order) == {
        lost[0]: new[0].serial, lost[1]: new[1].serial
    }  # fmt: skip
    prices = knife_prices(order, "EUR")
    worth = [500, 300] if first == 0 else [300, 500]
    assert [prices[one.serial] for one in new] == worth


def test_old_rows_are_paired_by_when_they_were_lost(shop):
    """An earlier program kept nothing of which knife was begun for which."""
    order = agreed("500.00", "300.00")
    moved(order, 1, "scrapped")
    first = KnifeFactory(order=order)
    moved(order, 0, "scrapped")
    other = KnifeFactory(order=order)
    Knife.objects.update(replaces=None)
    assert begun_again(order) == {
        knife_of(order, 1).serial: first.serial, knife_of(order).serial: other.serial
    }  # fmt: skip


def test_page_keeps_which_knife_is_made_again(shop, owner_client):
    """The second one lost is named; the first goes on waiting."""
    order = agreed("500.00", "300.00")
    moved(order, 0, "scrapped")
    moved(order, 1, "scrapped")
    named = knife_of(order, 1)
    where = f"/orders/{order.number}/knives/new/"
    page = owner_client.get(where, {"like": named.serial})
    assert f'name="replaces" value="{named.serial}"' in page.content.decode()
    data = {name: one.value() for name, one in _boxes(page)}
    sent = {**data, "form_key": "k1", "replaces": named.serial, "save": "1"}
    assert owner_client.post(where, sent).status_code == 302
    new = knife_of(order, 2)
    assert new.replaces == named
    assert begun_again(order) == {named.serial: new.serial}
    with pytest.raises(StageError, match="begun again already"):
        services.add_knife(order, SPEC, by=None, at=moment(), replaces=named)


def _boxes(page):
    form = page.context["form"]
    return [(one, form[one]) for one in form.fields if form[one].value() is not None]
