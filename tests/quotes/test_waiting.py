"""Quotes to which no yes can be given wait on the shop, not on the customer."""

import datetime as dt

import pytest
from django.utils import timezone

from quotes.models import Paper, Quote
from quotes.services import changed_since
from quotes.waiting import MOST, waiting_quotes
from shop.models import Knife, Order
from tests.factories import KnifeFactory, OrderFactory
from tests.quotes.orders import ready_shop, without_printer
from tests.quotes.privates import quoted_order
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(owner_client, monkeypatch):
    ready_shop()
    without_printer(monkeypatch)
    return quoted_order(owner_client)


def bare_quote(order, *, until=dt.date(2199, 1, 1), revision=1):
    """A quote without a basis, as rows and no more."""
    now = timezone.now()
    paper = Paper.objects.create(
        sha256="0" * 64, media="pdf", kind="quote", order=order, revision=revision,
        made_at=now,
    )  # fmt: skip
    return Quote.objects.create(
        order=order, revision=revision, issued_at=now, valid_until=until, net=1,
        tax_rate=0, tax=0, total=1, deposit=0, currency="EUR", basis={}, paper=paper,
    )  # fmt: skip


def lists():
    return [[order.pk for order, _why in one.rows] for one in waiting_quotes()]


@pytest.mark.parametrize(
    "change",
    [
        lambda order: KnifeFactory(order=order),
        lambda order: Knife.objects.filter(order=order).update(length=0.123),
        lambda order: Knife.objects.filter(order=order).update(stage="cancelled"),
    ],
    ids=["added", "longer", "taken away"],
)
def test_changed_knife_makes_its_quote_wait_on_the_shop(owner_client, order, change):
    assert lists() == [[], [order.pk]]
    assert "The customer has the quote." in text_of(owner_client.get("/"))
    change(order)
    assert changed_since(order.quotes.first())
    assert lists() == [[order.pk], []]
    text = text_of(owner_client.get("/"))
    assert "A knife is not as quoted any more" in text
    assert "The customer has the quote." not in text


def test_quote_that_has_run_out_waits_on_the_shop_until_the_next(owner_client):
    order = OrderFactory(quoted=True, knives=1)
    today = timezone.localdate()
    bare_quote(order, until=today - dt.timedelta(days=1))
    assert "The quote has run out" in text_of(owner_client.get("/"))
    bare_quote(order, until=today, revision=2)
    assert lists() == [[], [order.pk]]


def test_lists_are_short_and_take_a_fixed_number_of_queries(django_assert_num_queries):
    for until in (dt.date(2020, 1, 1), dt.date(2199, 1, 1)):
        for _number in range(MOST + 2):
            bare_quote(OrderFactory(quoted=True, knives=2), until=until)
    with django_assert_num_queries(5):
        again, asked = waiting_quotes()
    assert (len(again.rows), again.more) == (MOST, True)
    assert (len(asked.rows), asked.more) == (MOST, True)
    assert Order.objects.filter(state="quoted").count() == 2 * (MOST + 2)
