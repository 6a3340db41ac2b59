"""What the order page and the first page say of quotes, and of what is next."""

import re
from html import unescape

import pytest

from shop.models import Knife
from tests.quotes.orders import address, drafted, issue, ready_order, ready_shop

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    ready_shop()


def text(answer):
    bare = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return " ".join(unescape(bare).replace("\u00a0", " ").split())


def history(client, order):
    return text(client.get(order.get_absolute_url())).partition("History")[2]


def answered(client, **values):
    quote = issue(client, ready_order())
    place = address("quote-answer", quote.order, 1)
    sent = {"answer": "yes", "note": "by telephone", "form_key": "k" * 20, **values}
    return quote, client.post(place, sent)


def test_history_tells_issue_and_answer_with_amounts_to_the_owner_alone(
    owner, helper, client
):
    client.force_login(owner)
    quote, _answer = answered(client)
    said = history(client, quote.order)
    assert said.index("Quote accepted") < said.index("Quote issued")
    assert "revision 1: by telephone, €" in said
    client.force_login(helper)
    said = history(client, quote.order)
    assert "Quote accepted" in said
    assert "€" not in said


def test_empty_note_to_an_answered_quote_is_told_it_is_answered(
    owner_client,
):
    quote, _answer = answered(owner_client)
    place = address("quote-answer", quote.order, 1)
    sent = {"answer": "yes", "note": "", "form_key": "other" * 4}
    said = text(owner_client.post(place, sent, follow=True))
    assert "This quote has been answered already." in said
    assert "This box is empty" not in said


def test_first_page_says_what_an_enquiry_waits_for(owner_client):
    order = ready_order()
    drafted(order)
    said = text(owner_client.get("/"))
    assert "The billet is planned: check the price and issue the quote." in said
    knife = Knife.objects.get()
    knife.target.plan = None
    knife.target.save()
    assert "Plan the billet and name a price." in text(owner_client.get("/"))


def test_what_is_wrong_names_its_box_once(owner_client):
    data = {"labour": "0", "year_week_hours": "0"}
    page = owner_client.post("/shop/hour/", data)
    assert not re.search(r"(\b[A-Z][\w ]+): \1 must be", text(page))
