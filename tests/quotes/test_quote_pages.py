"""From the check page to the answer: what is issued stays as the customer saw it."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes import documents, services
from quotes.errors import QuoteError
from quotes.models import Paper, Quote, QuoteLine
from quotes.offer.sentences import Dates
from quotes.pdf import PdfUnavailable
from quotes.pricing import price_order
from quotes.services import Printed
from quotes.views import issue as issue_view
from shop import services as shop_services
from shop.models import Rate, Shop
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import (
    address,
    answer,
    check_form,
    drafted,
    issue,
    own_text,
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


# --- the check page ----------------------------------------------------------------


def test_check_page_shows_the_paper_before_it_goes_out(owner_client, printed):
    order = ready_order(finish="etched like frost")
    drafted(order)
    text = text_of(owner_client.get(address("quote-new", order)))
    for said in (
        "Issue quote", "etched like frost", "Total, tax included", "Care",
        "Fixed price.", "a fixed price",
    ):  # fmt: skip
        assert said in text
    assert printed == []
    assert not Quote.objects.exists()


def test_quote_holds_as_long_as_the_shop_says_unless_its_terms_say(
    owner_client, printed
):
    Shop.objects.filter(pk=1).update(validity_days=11)
    today = timezone.localdate()
    first = issue(owner_client, ready_order())
    assert first.valid_until == today + dt.timedelta(days=11)
    told = today + dt.timedelta(days=3)
    other = issue(owner_client, ready_order(), valid_until=told)
    assert other.valid_until == told


@pytest.mark.parametrize(
    ("terms", "said"),
    [
        ({"kind": ""}, "Say whether the price is fixed or an estimate"),
        ({"valid_until": dt.date(2021, 5, 4)}, "that day is past: choose another"),
        ({"discount": Decimal(99999)}, "is more than the price of the knives"),
        ({"currency": "NOK"}, "These terms were typed in NOK"),
    ],
)
def test_terms_that_lack_something_show_what_and_no_paper(
    owner_client, printed, terms, said
):
    order = ready_order()
    drafted(order, **terms)
    page = owner_client.get(address("quote-new", order))
    assert said in text_of(page)
    assert "No quote yet for" in text_of(page)
    assert address("quote-terms", order) in page.content.decode()
    assert "Issue quote" not in text_of(page)
    sent = owner_client.post(address("quote-new", order), {"form_key": "k", "issue": 1})
    assert said in text_of(sent)
    assert (printed, Quote.objects.count()) == ([], 0)


def test_order_without_terms_shows_no_paper(owner_client, printed):
    page = owner_client.get(address("quote-new", ready_order()))
    assert "Say whether the price is fixed or an estimate" in text_of(page)


@pytest.mark.parametrize(
    ("kind", "days", "said"),
    [("", 5, "fixed or an estimate"), ("fixed", -1, "before it goes out")],
)
def test_rows_are_never_made_of_an_offer_that_does_not_bind_or_has_run_out(
    kind, days, said
):
    """Whatever a page forgets, the service asks again."""
    order = ready_order()
    drafted(order)
    priced = price_order(order, timezone.localdate())
    until = timezone.localdate() + dt.timedelta(days=days)
    dates = Dates(issued_at=timezone.now(), valid_until=until)
    paper = documents.quote_paper(priced, Shop.current(), 1, dates)
    offer = replace(paper.offer, kind=kind)
    page = Printed(body=b"paper", media="pdf")
    with pytest.raises(QuoteError, match=said):
        services.issue_quote(order, offer, page, {}, by=None)


@pytest.mark.parametrize("terms", [{"kind": "estimate"}, {"discount": Decimal(5)}])
def test_terms_that_changed_since_they_were_looked_at_are_not_issued(
    owner_client, printed, terms
):
    order = ready_order()
    data = check_form(owner_client, order)
    drafted(order, **terms)
    page = owner_client.post(address("quote-new", order), data)
    assert "has changed since you looked at it" in text_of(page)
    assert not Quote.objects.exists()


def test_what_changed_since_it_was_looked_at_is_not_issued(owner_client, printed):
    order = ready_order()
    data = check_form(owner_client, order)
    Rate.objects.filter(key="labour").update(value=Decimal(71))
    page = owner_client.post(address("quote-new", order), data)
    assert "has changed since you looked at it" in text_of(page)
    assert (printed, Quote.objects.count()) == ([], 0)
    again = data | {"content": page.context["content"]}
    assert owner_client.post(address("quote-new", order), again).status_code == 302


def test_order_that_lacks_something_cannot_be_quoted(owner_client, printed):
    order = OrderFactory(knives=1)
    page = owner_client.post(address("quote-new", order), {"form_key": "k", "issue": 1})
    assert "has no billet yet; plan one first." in text_of(page)
    assert not Quote.objects.exists()


def test_customer_may_not_be_quoted_after_the_yes(owner_client, printed):
    order = ready_order()
    quote = issue(owner_client, order)
    services.answer_quote(
        quote, services.Reply(accepted=True, note=""), by=None, at=timezone.now()
    )
    page = owner_client.get(address("quote-new", order))
    assert "This order is past quoting" in text_of(page)
    assert 'name="issue"' not in page.content.decode()


# --- issuing -----------------------------------------------------------------------


def test_issuing_freezes_rows_file_and_basis(owner_client, owner, printed):
    order = ready_order("One", "Other")
    quote = issue(owner_client, order)
    lines = list(quote.lines.all())
    assert [line.label for line in lines] == ["One", "Other"]
    assert sum(line.amount for line in lines) == quote.total == quote.net + quote.tax
    assert quote.by == owner
    assert quote.paper.order == order
    assert quote.order.state == "quoted"
    assert printed == [1]


def test_form_sent_twice_prints_and_issues_once(owner_client, printed):
    order = ready_order()
    data = check_form(owner_client, order)
    first = owner_client.post(address("quote-new", order), data)
    Rate.objects.all().delete()  # even where nothing could be priced any more
    second = owner_client.post(address("quote-new", order), data)
    assert (first.status_code, second.status_code) == (302, 302)
    assert first.url == second.url == address("quote", order, 1)
    assert printed == [1]
    assert Quote.objects.count() == Paper.objects.count() == 1


def test_form_without_a_key_issues_nothing(owner_client, printed):
    order = ready_order()
    data = check_form(owner_client, order)
    del data["form_key"]
    assert owner_client.post(address("quote-new", order), data).status_code == 400
    assert not Quote.objects.exists()


def test_second_of_two_issuers_is_told(owner_client, printed):
    order = ready_order()
    data = check_form(owner_client, order)
    issue(owner_client, order)
    page = owner_client.post(address("quote-new", order), data)
    assert "has changed since you looked at it" in text_of(page)
    assert Quote.objects.count() == 1


def test_paper_is_made_outside_any_transaction(owner_client, monkeypatch):
    """A slow printer must not hold a lock others wait for."""
    from django.db import connection

    depths = []

    def printer(paper):
        depths.append(len(connection.savepoint_ids))
        return Printed(body=b"paper", media="pdf")

    monkeypatch.setattr(issue_view, "print_quote", printer)
    before = len(connection.savepoint_ids)
    issue(owner_client, ready_order())
    assert depths == [before]


def test_sent_quote_does_not_change_with_anything(owner_client, printed):
    order = ready_order("Old name")
    knife = order.knives.get()
    quote = issue(owner_client, order)
    owner_client.get(quote.get_absolute_url())  # says once that it is issued
    page_before = text_of(owner_client.get(quote.get_absolute_url()))
    paper_before = owner_client.get(quote.paper.get_absolute_url()).content
    rows_before = list(QuoteLine.objects.values()), list(Quote.objects.values())
    shop_services.change_knife(knife, {"name": "New name", "length": 0.19})
    knife.target.plan.steps.all().delete()
    Rate.objects.update(value=Decimal(1))
    Shop.objects.filter(pk=1).update(name="Another forge")
    own_text("terms", "Other terms")
    page_after = text_of(owner_client.get(quote.get_absolute_url()))
    assert page_after.replace("Another forge", "My forge") == page_before
    assert owner_client.get(quote.paper.get_absolute_url()).content == paper_before
    assert (
        list(QuoteLine.objects.values()), list(Quote.objects.values())
    ) == rows_before  # fmt: skip


def test_new_revision_takes_the_place_of_the_old_one(owner_client, printed):
    order = ready_order()
    first = issue(owner_client, order)
    second = issue(owner_client, order)
    assert (first.revision, second.revision) == (1, 2)
    assert "Revision 2 has replaced this one." in text_of(
        owner_client.get(first.get_absolute_url())
    )
    page = answer(owner_client, first, "yes")
    assert "A later revision has replaced this quote; answer that one." in text_of(page)


def test_quote_says_by_whom_and_from_which_draws(owner_client, owner, printed):
    quote = issue(owner_client, ready_order())
    text = text_of(owner_client.get(quote.get_absolute_url()))
    assert owner.username in text
    assert "4000 draws from seed 20260101" in text


# --- without Pango -----------------------------------------------------------------


def test_without_pango_the_page_to_print_is_kept(owner_client, monkeypatch):
    def no_pango(*_args, **_kwargs):
        raise PdfUnavailable(PdfUnavailable.sentence)

    monkeypatch.setattr(documents.pdf, "render", no_pango)
    quote = issue(owner_client, ready_order("Kept as a page"))
    assert quote.paper.media == "html"
    text = text_of(owner_client.get(quote.get_absolute_url()))
    assert "kept as a page to print, not as a PDF" in text
    assert "PDF needs the library Pango" in text
    paper = owner_client.get(quote.paper.get_absolute_url())
    assert paper["Content-Type"] == "text/html; charset=utf-8"
    assert "style-src 'self'" in paper["Content-Security-Policy"]
    assert "Kept as a page" in text_of(paper)
    assert "/static/quotes/paper.css" in paper.content.decode()


# --- who reads it --------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["quote-new", "quote", "quote-answer", "quote-json", "quote-csv"]
)
def test_helper_sees_no_quote(helper_client, name):
    order = ready_order()
    more = () if name == "quote-new" else (1,)
    assert helper_client.get(address(name, order, *more)).status_code == 403


def test_quote_of_no_such_revision_is_not_found(owner_client):
    assert owner_client.get(address("quote", ready_order(), 7)).status_code == 404


def test_customer_reads_the_quote_in_their_language(owner_client, printed):
    order = ready_order(order=OrderFactory(customer=CustomerFactory(language="de")))
    drafted(order)
    page = owner_client.get(address("quote-new", order))
    assert page.context["paper"].language == "de"
    assert '<div class="wide preview" role="region" tabindex="0" ' in (
        page.content.decode()
    )
    assert 'lang="de"' in page.content.decode()
    assert "2,5 mm" in text_of(page)
