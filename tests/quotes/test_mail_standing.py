"""What a message says by how its order stands: no gap, no offer after a yes."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core import mail as outbox
from django.utils import timezone, translation

from quotes.changes_after import saving
from quotes.choices import mail_kind
from quotes.mails import proposal as proposing
from quotes.mails import standing
from quotes.mails.proposal import PAPERS
from quotes.mails.texts import UNKNOWN
from quotes.models import Mail, Quote, QuoteLine
from shop.models import Customer, Knife, Order, Shop, StageEvent
from tests.factories import OrderFactory, moment
from tests.quotes.invoicing import accepted
from tests.quotes.invoicing import ready_shop as selling
from tests.quotes.issued import issued
from tests.quotes.mailing import begun, paper_of, post, proposal, send  # noqa: F401
from tests.quotes.orders import address
from tests.quotes.orders import ready_shop as lay_in
from tests.quotes.paying import account, bought, pay
from tests.shop.typing_in import errors_on, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("post")]

HERE = {"host": "localhost"}
KINDS = [key for key, _said in mail_kind()]
TO = "tilda@grauwacke.example"


def fresh(order):
    return Order.objects.select_related("customer").get(pk=order.pk)


def in_state(state, order=None):
    order = order or bought()
    Order.objects.filter(pk=order.pk).update(state=state)
    return fresh(order)


def cancelled(order=None, *, received="357.00", cut=False):
    lay_in()
    order = order or bought()
    if Decimal(received):
        pay(order, received)
    saving.cancel(order, "moved abroad", cut=cut, by=None, at=moment())
    return fresh(order)


def handed_over(order=None):
    order = in_state("delivered", order)
    for knife in order.knives.all():
        StageEvent.objects.create(
            knife=knife, came_from="sharpen", stage="delivered", at=moment()
        )
        Knife.objects.filter(pk=knife.pk).update(stage="delivered")
    return order


def with_papers():
    order = bought()
    for kind in ("request", "advance", "final", "change"):
        paper_of(order, kind)
    return order


def erased():
    order = bought()
    Customer.objects.update(erased=moment(), name="", email="")
    return fresh(order)


def declined():
    return in_state("declined", issued().order)  # it has the customer's no


def quoted():
    """An order whose quote waits for its answer."""
    order = OrderFactory(quoted=True, knives=1)
    Quote.objects.create(
        order=order, revision=1, issued_at=timezone.now(), paper=paper_of(order),
        valid_until=timezone.localdate() + dt.timedelta(days=9), currency="EUR",
        net=1000, tax_rate=19, tax=190, total=1190, deposit=357, basis={},
    )  # fmt: skip
    return fresh(order)


STANDS = {
    "enquiry": lambda: OrderFactory(knives=1), "bare": OrderFactory,
    "quoted": quoted, "declined": declined, "accepted": bought,
    "papers": with_papers, "no quote": lambda: OrderFactory(knives=1, accepted=True),
    "cancelled": cancelled, "unsettled": lambda: in_state("cancelled"),
    "cancelled enquiry": lambda: in_state("cancelled", OrderFactory(knives=1)),
    "delivered": handed_over, "erased": erased,
}  # fmt: skip


@pytest.mark.parametrize("site", ["", "https://forge.example"])
@pytest.mark.parametrize("stands", list(STANDS))
def test_page_of_every_kind_opens_however_the_order_stands(owner_client, stands, site):
    order = STANDS[stands]()
    Shop.objects.update(site=site)
    assert set(KINDS) == set(PAPERS)
    for kind in KINDS:
        page = owner_client.get(address("mail-new", order, kind), headers=HERE)
        assert page.status_code == 200


@pytest.mark.parametrize("kind", KINDS)
def test_link_can_be_put_into_a_message_of_every_kind(owner_client, kind):
    order = bought()
    data = {**begun(owner_client, order, kind, **HERE), "link": "1"}
    page = owner_client.post(address("mail-new", order, kind), data, headers=HERE)
    assert "On a page of your own" in page.context["form"].initial["body"]


# --- gaps, and a paper forgotten ------------------------------------------------------


@pytest.mark.parametrize("button", ["send", "copied"])
@pytest.mark.parametrize("box", ["subject", "body"])
def test_message_with_a_gap_is_neither_sent_nor_copied(owner_client, box, button):
    order = OrderFactory(knives=1)
    typed = {"subject": "Mine", "body": "Mine", box: f"For {UNKNOWN} now"}
    page = send(owner_client, order, button=button, to=TO, **typed)
    assert "is not known here: put in what belongs there" in errors_on(page, box)
    assert (outbox.outbox, Mail.objects.count()) == ([], 0)
    typed[box] = "Well … then"  # a sign anybody types
    assert send(owner_client, order, button=button, to=TO, **typed).status_code == 302


def test_what_is_proposed_with_gaps_is_refused_as_it_stands(owner_client):
    page = send(owner_client, OrderFactory(knives=1), "invoice", to=TO, bare="on")
    assert errors_on(page, "subject")
    assert errors_on(page, "body")


@pytest.mark.parametrize("button", ["send", "copied"])
@pytest.mark.parametrize("kind", ["quote", "request", "invoice", "change"])
def test_paper_that_goes_with_a_message_is_not_forgotten(owner_client, kind, button):
    order = OrderFactory(knives=1)
    typed = {"to": TO, "subject": "Mine", "body": "Mine", "paper": ""}
    page = send(owner_client, order, kind, button, **typed)
    assert "tick that it goes without a paper" in errors_on(page, "paper")
    assert (outbox.outbox, Mail.objects.count()) == ([], 0)
    told = send(owner_client, order, kind, button, **typed, bare="on")
    assert told.status_code == 302


def test_note_of_a_change_is_not_sent_again_once_it_was_answered(owner_client):
    order = fresh(bought())
    note = paper_of(order, "change")
    change = order.changes.create(
        knife=order.knives.get(), wish="longer", values={"paper": note.pk}, more=0,
        made_at=moment(),
    )  # fmt: skip
    assert proposal(order, "change").paper == note
    type(change).objects.update(state="agreed")
    assert proposal(order, "change").paper is None
    told = text_of(owner_client.get(address("mail-new", order, "change")))
    assert "has its answer already" in told


def test_how_a_knife_stands_needs_no_paper(owner_client):
    page = owner_client.get(address("mail-new", bought(), "progress"))
    assert "bare" not in page.context["form"].fields


# --- the balance ---------------------------------------------------------------------


def test_balance_is_told_in_the_customers_language_until_it_is_here():
    order = bought("1190.00", language="de")
    pay(order, "357.00")
    assert "833,00" in proposal(fresh(order), "balance").body
    pay(order, "833.00")
    assert "833,00" not in proposal(fresh(order), "balance").body


def test_balance_of_a_cancelled_order_says_what_is_kept_and_what_goes_back():
    """15 % of 1,190 is kept: 178.50; of 357 paid 178.50 goes back."""
    made = proposal(cancelled(), "balance")
    assert made.subject.endswith("is cancelled")
    assert "was cancelled on" in made.body
    assert "€178.50 of its price is kept" in made.body
    assert "€178.50 of what you paid goes back to you" in made.body
    for wrong in ("is done", "handing over", "how it comes to you", UNKNOWN):
        assert wrong not in made.body


def test_balance_of_a_cancelled_order_says_what_is_still_open():
    """50 % of 1,190 is kept after the cut: 595; of it 100 is paid."""
    account()
    body = proposal(cancelled(received="100.00", cut=True), "balance").body
    assert "€595.00 of its price is kept" in body
    assert "Still open: €495.00." in body
    assert "handing over" not in body


def test_cancelled_order_with_nothing_settled_leaves_the_sum_to_the_owner():
    body = proposal(in_state("cancelled"), "balance").body
    assert "is cancelled." in body
    assert UNKNOWN in body
    nothing = in_state("cancelled", OrderFactory(knives=1))
    assert "Nothing more is to be paid." in proposal(nothing, "balance").body


def test_balance_after_the_handing_over_says_so():
    order = handed_over()
    made = proposal(order, "balance")
    assert "Test knife, was handed over on" in made.body
    assert "Still open: €1,190.00." in made.body
    for wrong in ("is done", "before the handing over", "how it comes to you", UNKNOWN):
        assert wrong not in made.subject + made.body
    pay(order, "1190.00")
    assert "All of it is paid, thank you." in proposal(order, "balance").body


def test_knife_that_is_sent_is_not_agreed_about():
    order = bought(basis={"words": {"lines": ["shipping:0"]}})
    assert "Once that is here, we send it to you." in proposal(order, "balance").body
    pay(order, "1190.00")
    body = proposal(order, "balance").body
    assert "We send it to you next." in body
    assert "how it comes to you" not in body
    other = bought(basis={"words": {"lines": ["fees:0"]}})
    assert "Then we agree with you how it comes" in proposal(other, "balance").body


# --- a quote that was answered --------------------------------------------------------


def test_quote_after_the_yes_says_what_was_accepted(owner_client):
    selling()
    order = accepted(("knife", "890.00", 19), email=TO)
    Knife.objects.update(name="Renamed since")
    made = proposal(order, "quote")
    assert made.subject.endswith("as you accepted it")
    assert "for Test thing, which you accepted on" in made.body
    assert "€890.00" in made.body
    for wrong in ("if you accept", "Renamed", "It holds until", UNKNOWN):
        assert wrong not in made.body
    page = owner_client.get(address("mail-new", order, "quote"))
    assert "The customer said yes to this quote on" in text_of(page)
    assert address("mail-new", order, "progress") in page.content.decode()


def test_quote_that_was_said_no_to_is_told_on_the_page(owner_client):
    page = owner_client.get(address("mail-new", declined(), "quote"))
    assert "The customer said no to this quote on" in text_of(page)


def test_quote_of_a_cancelled_order_is_told_on_the_page(owner_client):
    order = in_state("cancelled", quoted())
    page = owner_client.get(address("mail-new", order, "quote"))
    assert "Nobody can say yes to its quote any more" in text_of(page)


def test_knives_are_named_as_they_stand_in_the_quote():
    order = issued().order
    Knife.objects.update(name="Renamed since")
    label = QuoteLine.objects.filter(kind="knife").first().label
    assert f"for {label}: " in proposal(order, "quote").body


# --- links that lead out --------------------------------------------------------------


@pytest.mark.parametrize("site", ["", "https://127.0.0.1:8931", "https://localhost"])
def test_no_link_is_put_in_that_only_this_machine_opens(owner_client, site):
    order = bought()
    Shop.objects.update(site=site)
    data = begun(owner_client, order, **HERE)
    assert "/q/" not in data["body"]
    page = owner_client.get(address("mail-new", order, "progress"), headers=HERE)
    assert "so a link made now opens on this machine only" in text_of(page)
    assert 'name="link"' in page.content.decode()
    Shop.objects.update(site="https://forge.example")
    assert "/q/…" in begun(owner_client, order, **HERE)["body"]


def test_page_says_why_no_link_can_be_made_over_plain_http(owner_client):
    afar = {"host": "127.0.0.1", "x-forwarded-for": "192.0.2.1"}
    where = address("mail-new", bought(), "progress")
    assert "Put HTTPS in front" in text_of(owner_client.get(where, headers=afar))


# --- languages ------------------------------------------------------------------------


@pytest.mark.parametrize("stands", ["quoted", "accepted", "cancelled", "delivered"])
def test_every_part_is_said_in_the_customers_language(monkeypatch, stands):
    order = STANDS[stands]()
    Customer.objects.update(language="de")
    order = fresh(order)

    def marked(text):
        return f"<{translation.get_language()}>{text}"

    for module in (proposing, standing):
        monkeypatch.setattr(module, "_", marked)
    for kind in KINDS:
        made = proposal(order, kind, linked=True)
        assert made.subject.startswith("<de>")
        assert made.body.startswith("<de>")
        assert "<en>" not in made.subject + made.body
