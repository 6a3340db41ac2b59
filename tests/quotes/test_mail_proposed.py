"""The message that is proposed: its language, its words, its sums, its paper."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core import mail as outbox
from django.utils import timezone, translation

from quotes.mails.papers import named_sums
from quotes.mails.proposal import PAPERS
from quotes.mails.texts import LINKS, MAILS, PLACEHOLDERS, fill
from quotes.models import Mail, Paper, Quote, QuoteOption
from quotes.pay.documents import keep_request
from quotes.pay.request import request_paper
from quotes.services import Printed
from shop.models import Customer, Knife, Order, Shop
from tests.factories import KnifeFactory, OrderFactory, moment
from tests.quotes import invoicing
from tests.quotes.issued import issued
from tests.quotes.mailing import begun, paper_of, post, proposal, send  # noqa: F401
from tests.quotes.orders import address
from tests.quotes.paying import account, bought, pay
from tests.shop.typing_in import errors_on, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("post")]


@pytest.fixture
def order():
    return OrderFactory(knives=1, customer__email="tilda@grauwacke.example")


# --- what is proposed ---------------------------------------------------------------


@pytest.mark.parametrize("kind", list(PAPERS))
@pytest.mark.parametrize("language", ["en", "de"])
def test_each_kind_is_proposed_with_every_placeholder_filled(order, kind, language):
    Customer.objects.update(language=language)
    order.customer.language = language
    made = proposal(order, kind)
    assert made.to == "tilda@grauwacke.example"
    assert "Tilda Grauwacke" in made.body
    assert made.body.endswith("Ida Amboss\nTest forge")
    assert order.number in made.subject
    assert "{" not in made.subject + made.body


@pytest.mark.parametrize("kind", list(MAILS))
def test_texts_name_only_known_placeholders(kind):
    for text in MAILS[kind]:
        assert fill(text, dict.fromkeys(PLACEHOLDERS, "")).count("{") == 0
    assert set(PAPERS) <= set(MAILS)
    assert ("{link}" in MAILS[kind][1]) == (kind in LINKS)


def test_what_a_name_brings_along_is_no_placeholder(order):
    """OWASP ASVS 5.0, 1.3.7: no template is built from what somebody typed."""
    Customer.objects.update(name="{total} {{7*7}}{% load x %} %(number)s {number}")
    body = proposal(Order.objects.get(), "progress").body
    assert "Dear {total} {{7*7}}{% load x %} %(number)s {number}," in body


def test_message_speaks_the_customers_language(order):
    Customer.objects.update(language="de")
    with translation.override("de"):
        expected = translation.gettext(MAILS["progress"][0])
    made = proposal(Order.objects.get(), "progress")
    assert made.subject == fill(expected, {"number": order.number})


def test_quote_names_its_total_and_day_in_the_customers_way(settings):
    quote = issued()
    made = proposal(quote.order, "quote")
    assert "Knife: €360.00. It holds until Sep 30, 2026" in made.body or (
        "Knife: €360.00. It holds until 30 Sept 2026" in made.body
    )
    assert made.paper == quote.paper


def test_progress_names_every_knife_that_is_made(order):
    KnifeFactory(order=order, name="Small one", stage="harden")
    KnifeFactory(order=order, name="Broken one", stage="scrapped")
    body = proposal(order, "progress").body
    assert "Test knife: not started\nSmall one: Harden" in body
    assert "Broken one" not in body


@pytest.mark.parametrize(
    ("kind", "fits"),
    [("quote", "quote"), ("invoice", "final"),
     ("invoice", "advance"), ("change", "change"), ("balance", "final")],
)  # fmt: skip
def test_latest_fitting_paper_goes_with_it(order, kind, fits):
    paper_of(order, fits)
    last = paper_of(order, fits, revision=2)
    paper_of(order, "sheet", knife=order.knives.get())
    paper_of(OrderFactory(), fits)
    assert proposal(order, kind).paper == last


# --- the sum of the text is the sum of the paper --------------------------------------


@pytest.fixture
def owed():
    """An order of 1,190 with a deposit of 357, in a shop that has an account."""
    account(name="Test forge", owner="Ida Amboss", email="shop@forge.example")
    return bought()


def requested(order, what="deposit"):
    """A request as the page of payments makes it, but for the printing."""
    paper = request_paper(order, Shop.current(), what, timezone.localdate())
    page = Printed(body=f"%PDF-1.7 {paper.rows}".encode(), media="pdf")
    return keep_request(order, paper, page, by=None, at=moment())


def test_request_that_still_holds_goes_with_its_own_sum(owed):
    paper = requested(owed)
    made = proposal(owed, "request")
    assert (made.paper, made.stale) == (paper, "")
    assert "we ask for €357.00 now" in made.body


def test_request_of_before_a_payment_is_not_proposed_with_todays_sum(owed):
    requested(owed)
    pay(owed, "100.00")
    made = proposal(owed, "request")
    assert made.paper is None
    assert "This request is out of date" in str(made.stale)
    assert "€257.00" in made.body
    assert "357" not in made.body


@pytest.mark.parametrize("changed", ["iban", "total", "again"])
def test_request_is_out_of_date_when_anything_it_says_has_changed(owed, changed):
    first = requested(owed)
    if changed == "iban":
        account(iban="GB33BUKB20201555555555")
    elif changed == "total":
        Order.objects.update(agreed=Decimal("1290.00"))
        owed.refresh_from_db()
    else:
        pay(owed, "1.00")
        assert requested(owed) != first
        assert proposal(owed, "request").paper != first
        return
    assert proposal(owed, "request").paper is None


def test_request_out_of_date_cannot_be_sent(owner_client, owed):
    paper = requested(owed)
    data = {**begun(owner_client, owed, "request"), "send": "1"}
    assert data["paper"] == paper.pk
    pay(owed, "100.00")
    data["to"] = "tilda@grauwacke.example"
    page = owner_client.post(address("mail-new", owed, "request"), data)
    assert "This request is out of date" in errors_on(page, "paper")
    assert "Make a request for €257.00 and attach it" in text_of(page)
    assert (outbox.outbox, Mail.objects.count()) == ([], 0)


def test_new_request_is_made_in_one_tap_and_what_is_typed_stays(
    owner_client, owed, monkeypatch
):
    monkeypatch.setattr(
        "quotes.mails.asking.print_request",
        lambda paper: Printed(body=b"%PDF-1.7 new", media="pdf"),
    )
    requested(owed)
    pay(owed, "100.00")
    data = {**begun(owner_client, owed, "request"), "ask": "1", "subject": "Mine"}
    page = owner_client.post(address("mail-new", owed, "request"), data)
    form = page.context["form"]
    new = Paper.objects.filter(kind="request").first()
    assert (new.revision, form.initial["paper"]) == (2, new.pk)
    assert form.initial["subject"] == "Mine"
    assert "€257.00" in form.initial["body"]
    sent = {**form.initial, "form_key": page.context["form_key"], "send": "1",
            "to": "tilda@grauwacke.example"}  # fmt: skip
    answer = owner_client.post(address("mail-new", owed, "request"), sent)
    assert answer.status_code == 302
    (message,) = outbox.outbox
    assert message.attachments[0].content == b"%PDF-1.7 new"
    again = owner_client.post(address("mail-new", owed, "request"), data)
    assert again.status_code == 200
    assert Paper.objects.filter(kind="request").count() == 2


def test_without_an_account_no_request_is_made(owner_client, owed):
    Shop.objects.update(iban="")
    data = {**begun(owner_client, owed, "request"), "ask": "1", "body": "Typed."}
    page = owner_client.post(address("mail-new", owed, "request"), data)
    assert "IBAN" in text_of(page)
    assert page.context["form"].initial["body"] == "Typed."
    assert not Paper.objects.filter(kind="request").exists()


def test_balance_takes_no_request_for_the_deposit(owed):
    requested(owed)
    made = proposal(owed, "balance")
    assert made.paper is None
    assert "asks for the deposit" in str(made.stale)
    assert "€1,190.00" in made.body


def test_balance_takes_the_request_for_it(owed):
    pay(owed, "357.00")
    paper = requested(owed, "balance")
    made = proposal(owed, "balance")
    assert made.paper == paper
    assert "Still to be paid before the handing over: €833.00" in made.body


def test_balance_that_is_paid_asks_for_nothing(owed):
    pay(owed, "1190.00")
    body = proposal(owed, "balance").body
    assert "All of it is paid, thank you." in body
    assert "€" not in body


def test_balance_with_the_final_invoice_names_what_it_asks_for():
    invoicing.ready_shop()
    order = invoicing.accepted()
    Order.objects.update(agreed=Decimal("890.00"))
    order.refresh_from_db()
    invoice = invoicing.final(order)
    made = proposal(order, "balance")
    assert made.paper == invoice.paper
    assert "€890.00" in made.body
    invoicing.paid(order, "90.00")
    made = proposal(order, "balance")
    assert made.paper is None
    assert "asks for another sum than is open now" in str(made.stale)
    assert "€800.00" in made.body


def test_invoice_that_was_cancelled_is_not_sent(owner_client):
    invoicing.ready_shop(email="shop@forge.example")
    order = invoicing.accepted(email="tilda@grauwacke.example")
    invoice = invoicing.final(order)
    back = invoicing.cancelled(invoice)
    assert proposal(order, "invoice").paper == back.paper
    page = send(owner_client, order, "invoice", paper=str(invoice.paper_id))
    assert "This invoice was cancelled" in errors_on(page, "paper")


# --- quotes ------------------------------------------------------------------------


@pytest.fixture
def quoted():
    """A quote that waits for its answer, made of rows."""
    invoicing.ready_shop(email="shop@forge.example")
    order = invoicing.accepted(email="tilda@grauwacke.example")
    quote = Quote.objects.get()
    other = OrderFactory(customer=order.customer, state="quoted", knives=1)
    first = paper_of(other)
    row = {one.attname: getattr(quote, one.attname)
           for one in Quote._meta.concrete_fields
           if one.name not in ("id", "order", "paper")}  # fmt: skip
    Quote.objects.create(**row, order=other, paper=first)
    return other, first, row


def test_quote_replaced_by_a_later_one_is_not_sent(owner_client, quoted):
    order, first, row = quoted
    assert proposal(order, "quote").paper == first
    later = paper_of(order, revision=2)
    Quote.objects.create(
        **row | {"revision": 2, "total": Decimal("950.00")}, order=order, paper=later
    )
    made = proposal(order, "quote")
    assert made.paper == later
    assert "€950.00" in made.body
    page = send(owner_client, order, "quote", paper=str(first.pk))
    assert "A later revision has replaced this quote" in errors_on(page, "paper")


def test_quote_that_has_run_out_is_not_sent(quoted):
    order, _first, row = quoted
    past = timezone.localdate() - dt.timedelta(days=1)
    later = paper_of(order, revision=2)
    Quote.objects.create(
        **row | {"revision": 2, "valid_until": past}, order=order, paper=later
    )
    made = proposal(order, "quote")
    assert made.paper is None
    assert "has run out" in str(made.stale)


def test_quote_whose_knife_was_changed_since_is_not_sent(quoted):
    order, _first, row = quoted
    knife = order.knives.get()
    kept = {"serial": knife.serial, "spec": {}, "plan": None}
    later = paper_of(order, revision=2)
    Quote.objects.create(
        **row | {"revision": 2, "basis": {"knives": [kept]}}, order=order, paper=later
    )
    Knife.objects.update(length=0.3)
    assert "not as quoted any more" in str(proposal(order, "quote").stale)


def test_quote_before_tax_and_with_options_says_so(quoted):
    order, _first, row = quoted
    later = paper_of(order, revision=2)
    counts = {"counts": {"lines": 0, "options": 2}}
    quote = Quote.objects.create(
        **row | {"revision": 2, "mode": "net", "basis": counts}, order=order,
        paper=later,
    )  # fmt: skip
    for place in (1, 2):
        QuoteOption.objects.create(
            quote=quote, position=place, label=f"Way {place}", mass=0.2, balance=0.0,
            amount=Decimal(700 + place), net=Decimal(700), tax=Decimal(133),
            total=Decimal(833), deposit=Decimal(0),
        )  # fmt: skip
    body = proposal(order, "quote").body
    assert "€701.00 before tax, with other ways to have it." in body


# --- what is typed over it ------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Pay €357.00 now", {"35700"}), ("Pay 1.190,00 € now", {"119000"}),
        ("EUR 357 or 12 EUR", {"357", "12"}), ("On May 3, room 12", set()),
        ("\u20ac\u00a01,190.00.", {"119000"}), ("$ 12", set()),
    ],
)  # fmt: skip
def test_sums_a_text_names(text, found):
    assert named_sums(text, "EUR") == found


def test_text_that_names_another_sum_than_its_paper_is_not_sent(owner_client, owed):
    requested(owed)
    to = "tilda@grauwacke.example"
    page = send(owner_client, owed, "request", to=to, body="Pay us €300.00.")
    assert "which says €357.00" in errors_on(page, "body")
    assert outbox.outbox == []
    for body in ("Pay us €357 of €1,190.00.", "Pay us what the paper says."):
        assert send(owner_client, owed, "request", to=to, body=body).status_code == 302
    free = send(owner_client, owed, "request", to=to, body="€300", paper="", bare="on")
    assert free.status_code == 302
