"""What the terms and names on a quote lack before it can be issued."""

import datetime as dt

import pytest

from quotes.gaps import lacking_terms
from quotes.models import QuoteDraft
from quotes.views.common import lack_of
from shop.models import Shop, TaxSetting
from tests.factories import OrderFactory
from tests.quotes.orders import LONG_AGO, address

pytestmark = pytest.mark.django_db


def gaps(order, **values):
    draft = QuoteDraft(order=order, **{"kind": "fixed", "currency": "EUR", **values})
    return [(gap.place, gap.error.field) for gap in lacking_terms(order, draft)]


@pytest.fixture
def lone():
    """An order of a shop that says who it is."""
    Shop.objects.create(pk=1, address="Beck 3")
    return OrderFactory()


def test_quote_lacks_its_kind_until_it_is_chosen(lone):
    assert gaps(lone) == []
    assert gaps(lone, kind="") == [("terms", "kind")]
    assert [gap.place for gap in lacking_terms(lone, None)] == ["terms"]


def test_quote_lacks_a_day_to_come_and_its_own_currency(lone):
    assert gaps(lone, valid_until=dt.date(2026, 1, 2)) == [("terms", "valid_until")]
    assert gaps(lone, currency="GBP") == [("terms", "currency")]


def test_papers_for_a_business_or_abroad_need_an_address(lone):
    assert gaps(lone, regime="export") == [("customer", "address")]
    TaxSetting.objects.create(regime="export", rate=0, valid_from=LONG_AGO)
    assert gaps(lone) == [("customer", "address")]
    lone.customer.address = "Hang 4"
    assert gaps(lone) == []
    TaxSetting.objects.all().delete()
    lone.customer.business, lone.customer.address = True, " "
    assert gaps(lone) == [("customer", "address")]


def test_quote_says_who_makes_it(lone):
    Shop.objects.update(address="")
    assert gaps(lone) == [("shop", "address")]


def test_every_gap_has_its_sentence_and_its_way_out(lone):
    Shop.objects.update(address="", currency="CHF")
    lone.customer.business = True
    draft = QuoteDraft(order=lone, currency="EUR", valid_until=dt.date(2026, 1, 2))
    lacks = [lack_of(gap, lone, "metric") for gap in lacking_terms(lone, draft)]
    ways = [one.url for one in lacks]
    terms, customer = address("quote-terms", lone), lone.customer.get_absolute_url()
    assert ways == [terms, terms, terms, f"{customer}edit/", "/shop/"]
    assert all("{" not in one.text and one.link for one in lacks)
    assert "2 January 2026" in lacks[1].text
