"""What the papers that go with messages say, and whether they may still go out.

A message and its paper are read side by side, so they name the same sum: the text
takes it from the paper, and a paper that is out of date is not sent. A request keeps
no sum but a digest of what it says; it still holds if it would be printed alike today.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from quotes.errors import QuoteError
from quotes.models import Invoice, Paper, Quote
from quotes.pay.documents import requests_of
from quotes.pay.request import amount_asked, request_paper
from quotes.services import changed_since, digest
from quotes.wording import money_text
from shop import payments
from shop.models import Order, Shop
from shop.payments import What

ASKS: tuple[What, ...] = ("deposit", "balance")
"""What a request can be for; what is missing of the deposit is asked for first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Says:
    """What a paper says that a text beside it may say too.

    Attributes
    ----------
    sums : tuple of Decimal
        Amounts it may be named by, the one a text takes first; empty where it asks for
        no money.
    currency : str
        Theirs.
    until : date or None
        Of a quote the last day it holds.
    before_tax : bool
        Whether a quote is read before tax.
    stale : str
        Why it is not sent any more; empty while it may be.
    """

    sums: tuple[Decimal, ...] = ()
    currency: str = ""
    until: dt.date | None = None
    before_tax: bool = False
    stale: str | Promise = ""


def says(paper: Paper, kind: str, shop: Shop, day: dt.date) -> Says:
    """Return what a paper says in a message of a kind."""
    if paper.kind == "quote":
        quote = Quote.objects.filter(paper=paper).prefetch_related("options").first()
        return quote_says(quote, _stale_quote(quote, day)) if quote else Says()
    if paper.kind == "request":
        return _request(paper, kind, shop, day)
    if paper.kind == "change":
        return Says(stale=_stale_change(paper) if kind == "change" else "")
    invoice = Invoice.objects.filter(paper=paper).first()
    return _invoice(invoice, paper.order, kind) if invoice else Says()


# --- quotes -----------------------------------------------------------------------


def quote_says(quote: Quote, stale: str | Promise = "") -> Says:
    """Return what a quote says; where it offers several ways, of each."""
    before_tax = quote.mode == "net"
    options = [one.amount for one in quote.options.all()]
    return Says(
        sums=tuple(options) or (quote.net if before_tax else quote.total,),
        currency=quote.currency,
        until=quote.valid_until,
        before_tax=before_tax,
        stale=stale,
    )


def _stale_quote(quote: Quote, day: dt.date) -> str | Promise:
    last = Quote.objects.filter(order=quote.order_id).order_by("-revision").first()
    if last and last.revision != quote.revision:
        return _("A later revision has replaced this quote: send that one.")
    if quote.order.state != "quoted":
        return ""  # said yes or no to: a copy may be sent at any time
    if quote.valid_until < day:
        return _("This quote has run out: issue a new revision first.")
    if changed_since(quote):
        return _(
            "A knife of this order is not as quoted any more: issue a new revision "
            "first."
        )
    return ""


def _stale_change(paper: Paper) -> str | Promise:
    """Say that a change was answered: the text would ask for a yes or no again."""
    change = paper.order.changes.filter(values__paper=paper.pk).first()
    if change is None or change.state == "open":
        return ""
    return _("This change has its answer already: write how the order stands instead.")


# --- requests ---------------------------------------------------------------------


def asked_now(order: Order, kind: str) -> tuple[What, Decimal] | None:
    """Return what a request for a message of a kind would ask for today.

    The balance is asked for with the balance, else what is missing of the deposit
    before it; None where nothing is open.
    """
    for what in ASKS:
        if kind == "balance" and what != "balance":
            continue
        try:
            return what, amount_asked(order, what)
        except QuoteError:
            continue
    return None


def _request(paper: Paper, kind: str, shop: Shop, day: dt.date) -> Says:
    order = paper.order
    last = requests_of(order).first()
    if last != paper:
        return Says(stale=_("A later request has replaced this one: send that one."))
    what = _asks_for(paper, shop, day)
    if what is None:
        return Says(stale=_(
            "This request is out of date: the sum that is open, the account or an "
            "address has changed since. Make a new one first."
        ))  # fmt: skip
    if kind == "balance" and what != "balance":
        return Says(stale=_(
            "This request asks for the deposit and not for the balance: make one for "
            "the balance first."
        ))  # fmt: skip
    return Says(sums=(amount_asked(order, what),), currency=payments.currency_of(order))


def _asks_for(paper: Paper, shop: Shop, day: dt.date) -> What | None:
    """Return what a request asks for, if it would be printed alike today."""
    for what in ASKS:
        try:
            now = request_paper(paper.order, shop, what, day)
        except QuoteError:
            continue
        if digest(list(now.parts)) == paper.content:
            return what
    return None


# --- invoices ---------------------------------------------------------------------


def _invoice(invoice: Invoice, order: Order, kind: str) -> Says:
    """Return what an invoice says; with the balance it has to say what is open now."""
    if Invoice.objects.filter(cancels=invoice).exists():
        return Says(stale=_(
            "This invoice was cancelled: send the cancelling document, or the new "
            "invoice."
        ))  # fmt: skip
    if kind == "balance" and invoice.due != payments.balance(order):
        return Says(stale=_(
            "This invoice asks for another sum than is open now, for money has come "
            "or gone since: make a request for the balance first."
        ))  # fmt: skip
    sums = (invoice.due, invoice.gross, invoice.paid)
    return Says(sums=sums, currency=invoice.currency)


# --- what a text says -------------------------------------------------------------

DIGITS = r"\d(?:[\d.,'’\u00a0\u202f ]*\d)?"


def named_sums(text: str, currency: str) -> set[str]:
    """Return the amounts a text names in a currency, their digits alone.

    >>> sorted(named_sums("Pay €1,250.00, or 1.000,00 € at once, on May 3", "EUR"))
    ['100000', '125000']
    """
    sign = money_text(Decimal(0), currency).strip("0.,\u00a0\u202f ")
    mark = rf"(?:{re.escape(sign)}|{currency})"
    gap = "[\\u00a0\\u202f ]?"
    found = re.findall(
        rf"{mark}{gap}({DIGITS})|({DIGITS}){gap}{mark}", text, re.IGNORECASE
    )
    return {re.sub(r"\D", "", one or other) for one, other in found}


def other_sum(text: str, said: Says) -> bool:
    """Say whether a text names money, and none of it is what its paper says."""
    if not said.sums or not said.currency:
        return False
    named = named_sums(text, said.currency)
    own = {re.sub(r"\D", "", money_text(one, said.currency)) for one in said.sums}
    own |= {str(abs(int(one))) for one in said.sums if one == int(one)}
    return bool(named) and not named & own
