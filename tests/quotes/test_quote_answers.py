"""What a customer said to a quote, written down once and for all."""

import datetime as dt
from types import SimpleNamespace

import pytest
from django.utils import timezone

from quotes.models import QuoteAnswer
from quotes.views import quotes as quotes_view
from shop import services as shop_services
from shop.models import Knife
from tests.quotes.orders import (
    address,
    answer,
    issue,
    ready_order,
    ready_shop,
    without_printer,
)
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    ready_shop()


@pytest.fixture
def printed(monkeypatch):
    return without_printer(monkeypatch)


def test_yes_puts_the_knives_at_the_first_stage(owner_client, owner, printed):
    quote = issue(owner_client, ready_order("One", "Other"))
    assert answer(owner_client, quote, "yes").url == quote.get_absolute_url()
    given = QuoteAnswer.objects.get()
    assert (given.accepted, given.note, given.by) == (True, "on the telephone", owner)
    assert set(Knife.objects.values_list("stage", flat=True)) == {"forge"}
    quote.order.refresh_from_db()
    assert quote.order.state == "accepted"
    assert "Accepted. on the telephone" in text_of(
        owner_client.get(quote.get_absolute_url())
    )


def test_no_declines_the_order_and_leaves_the_knives(owner_client, printed):
    quote = issue(owner_client, ready_order())
    answer(owner_client, quote, "no", note="too dear")
    quote.order.refresh_from_db()
    assert quote.order.state == "declined"
    assert set(Knife.objects.values_list("stage", flat=True)) == {""}
    assert issue(owner_client, quote.order).revision == 2


def test_quote_that_has_run_out_takes_no_yes(owner_client, printed, monkeypatch):
    quote = issue(owner_client, ready_order(), valid_until=timezone.localdate())
    tomorrow = timezone.now() + dt.timedelta(days=1)
    later = SimpleNamespace(
        now=lambda: tomorrow, localdate=lambda: timezone.localdate(tomorrow)
    )
    monkeypatch.setattr(quotes_view, "timezone", later)
    assert "Run out." in text_of(owner_client.get(quote.get_absolute_url()))
    page = answer(owner_client, quote, "yes")
    assert "issue a new revision first" in text_of(page)
    assert 'value="on the telephone"' in page.content.decode()
    assert not QuoteAnswer.objects.exists()


def test_second_answer_is_refused(owner_client, printed):
    quote = issue(owner_client, ready_order())
    page = owner_client.get(quote.get_absolute_url())
    answer(owner_client, quote, "no")
    again = {
        "form_key": page.context["form_key"] + "x",
        "answer": "yes",
        "note": "mail",
    }
    refused = owner_client.post(address("quote-answer", quote.order, 1), again)
    assert "This quote has been answered already." in text_of(refused)
    assert QuoteAnswer.objects.get().accepted is False


def test_answer_to_a_cancelled_order_is_refused(owner_client, printed):
    quote = issue(owner_client, ready_order())
    order = quote.order
    shop_services.cancel_order(order, reason="no steel", by=None, at=timezone.now())
    page = answer(owner_client, quote, "yes")
    assert "An order cannot go from Cancelled to Accepted." in text_of(page)
    assert not QuoteAnswer.objects.exists()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({}, "Choose what the customer said."),
        ({"answer": "perhaps", "note": "x"}, "Choose one of the list."),
        ({"answer": "yes", "note": " "}, "This box is empty: fill it in."),
        ({"answer": "yes", "note": "x" * 201}, "Use at most 200 signs here"),
    ],
)
def test_answer_that_says_nothing_is_refused(owner_client, printed, data, said):
    quote = issue(owner_client, ready_order())
    url = address("quote-answer", quote.order, 1)
    page = owner_client.post(url, {"form_key": "k1", **data})
    assert said in text_of(page)
    assert page.content.decode().count("<title>Error:") == 1
    assert not QuoteAnswer.objects.exists()
