"""From the check page to the answer: what is issued stays as the customer saw it."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes import documents, services
from quotes.models import Paper, Quote, QuoteAnswer, QuoteLine
from quotes.pdf import PdfUnavailable
from quotes.services import Printed
from quotes.views import issue as issue_view
from shop import services as shop_services
from shop.models import Knife, Rate, Shop
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import (
    LONG_AGO,
    address,
    check_form,
    issue,
    ready_order,
    ready_shop,
)
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    ready_shop()


@pytest.fixture
def printed(monkeypatch):
    """Papers made so far, each told by its revision, without a printer."""
    made = []

    def printer(paper):
        made.append(paper.offer.revision)
        text = documents.quote_html(paper).encode()
        return Printed(body=text, media="pdf")

    monkeypatch.setattr(issue_view, "print_quote", printer)
    return made


# --- the check page ----------------------------------------------------------------


def test_check_page_shows_the_paper_before_it_goes_out(owner_client, printed):
    order = ready_order(finish="etched like frost")
    text = text_of(owner_client.get(address("quote-new", order)))
    for said in ("Issue quote", "etched like frost", "Total, tax included", "Care"):
        assert said in text
    assert printed == []
    assert not Quote.objects.exists()


def test_quote_holds_as_long_as_the_shop_says_unless_typed(owner_client, printed):
    Shop.objects.filter(pk=1).update(validity_days=11)
    today = timezone.localdate()
    first = issue(owner_client, ready_order())
    assert first.valid_until == today + dt.timedelta(days=11)
    typed = today + dt.timedelta(days=3)
    other = issue(owner_client, ready_order(), valid_until=typed.isoformat())
    assert other.valid_until == typed


def test_day_that_is_past_is_refused_and_kept(owner_client, printed):
    order = ready_order()
    data = check_form(owner_client, order, valid_until="2021-05-04")
    page = owner_client.post(address("quote-new", order), data)
    assert "This day is past: type today or a later day." in text_of(page)
    assert 'value="2021-05-04"' in page.content.decode()
    assert printed == []
    assert not Quote.objects.exists()


def test_showing_another_day_issues_nothing(owner_client, printed):
    order = ready_order()
    day = timezone.localdate() + dt.timedelta(days=90)
    data = check_form(owner_client, order, valid_until=day.isoformat())
    del data["issue"]
    page = owner_client.post(address("quote-new", order), data | {"look": "1"})
    assert page.context["paper"].offer.valid_until == day
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
    services.answer_quote(quote, accepted=True, note="", by=None, at=timezone.now())
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
    Shop.objects.filter(pk=1).update(name="Another forge", terms="Other terms")
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


# --- answers -----------------------------------------------------------------------


def answer(client, quote, said, note="on the telephone"):
    page = client.get(quote.get_absolute_url())
    return client.post(
        address("quote-answer", quote.order, quote.revision),
        {"form_key": page.context["form_key"], "answer": said, "note": note},
    )


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


def test_quote_that_has_run_out_takes_no_yes(owner_client, printed):
    quote = issue(owner_client, ready_order())
    yesterday = timezone.localdate() - dt.timedelta(days=1)
    Quote.objects.update(valid_until=yesterday)
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


@pytest.mark.parametrize("name", ["quote-new", "quote", "quote-answer"])
def test_helper_sees_no_quote(helper_client, name):
    order = ready_order()
    more = () if name == "quote-new" else (1,)
    assert helper_client.get(address(name, order, *more)).status_code == 403


def test_quote_of_no_such_revision_is_not_found(owner_client):
    assert owner_client.get(address("quote", ready_order(), 7)).status_code == 404


def test_customer_reads_the_quote_in_their_language(owner_client, printed):
    order = ready_order(order=OrderFactory(customer=CustomerFactory(language="de")))
    page = owner_client.get(address("quote-new", order))
    assert page.context["paper"].language == "de"
    assert '<div class="wide preview" role="region" tabindex="0" ' in (
        page.content.decode()
    )
    assert 'lang="de"' in page.content.decode()
    assert "2,5 mm" in text_of(page)


# --- the basis ---------------------------------------------------------------------


def test_price_can_be_computed_again_from_its_basis(owner_client, printed):
    """Round trip: what a quote keeps gives the same cost and the same chance."""
    quote = issue(owner_client, ready_order("One", "Other"))
    basis = quote.basis
    assert chance_again(basis["billets"][0]) == basis["billets"][0]["verdict"]["chance"]
    lines = basis["cost"]["lines"]
    direct = sum(Decimal(line["amount"]) for line in lines)
    assert direct == Decimal(basis["cost"]["direct"])
    assert Decimal(basis["cost"]["net"]) == quote.net
    assert basis["rates"]["values"]["labour"]["from"] == LONG_AGO.isoformat()
    assert Decimal(basis["rates"]["values"]["labour"]["value"]) == Decimal(50)


def chance_again(kept):
    import math

    from billets.figures import figures
    from billets.physics import steps
    from billets.physics.bar import Steel
    from billets.physics.equipment import Forge, Saw, Tool
    from billets.physics.factors import FactorBelief
    from billets.physics.fit import Target
    from billets.services import Beliefs, PlanSpec
    from billets.stock import Bar

    kinds = {one.kind: one for one in steps.Step.__args__}
    spec = kept["spec"]
    bars = {
        letter: Bar(**{**bar, "steel": Steel(**bar["steel"])})
        for letter, bar in spec["bars"].items()
    }
    walk = [dict(step) for step in spec["steps"]]
    plan = PlanSpec(
        bars=bars,
        order=spec["order"],
        length=spec["length"],
        width=spec["width"],
        steps=tuple(kinds[step.pop("kind")](**step) for step in walk),
        forge=Forge(**spec["forge"]),
        tool=Tool(**spec["tool"]),
        saw=Saw(**spec["saw"]),
    )
    targets = [
        Target(**{name: math.inf if value is None else value
                  for name, value in one.items()})
        for one in kept["targets"]
    ]  # fmt: skip
    beliefs = Beliefs(
        factors={name: FactorBelief(**one) for name, one in kept["factors"].items()},
        billets=kept["weighed_billets"],
    )
    chance = kept["verdict"]["asked"]
    again = figures(plan, targets, beliefs, seed=kept["seed"], chance=chance)
    assert float(again.plain.bar_mass) == kept["bar_mass"]
    return again.verdict.chance
