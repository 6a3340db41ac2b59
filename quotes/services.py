"""Issuing, answering and printing: what a paper says stays as it was said."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction

from billets.physics.errors import _
from quotes import store
from quotes.basis import knife_basis
from quotes.errors import QuoteError
from quotes.models import Paper, Quote, QuoteAnswer, QuoteLine
from quotes.pricing import wanted
from shop import services as shop_services
from shop.models import Knife, Order, Shop

LETTERS = "ABCDEFGHJKMNPQRTUVWXYZ"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A paper as it came out of the printer: its bytes, and whether they are a PDF."""

    body: bytes
    media: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferLine:
    """One line a customer reads: a knife, with its specification in words."""

    label: str
    detail: str
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """All a quote says in numbers; made once, printed and frozen from the same."""

    revision: int
    issued_at: dt.datetime
    valid_until: dt.date
    currency: str
    net: Decimal
    tax_rate: Decimal
    tax: Decimal
    total: Decimal
    deposit: Decimal
    lines: tuple[OfferLine, ...]


def next_revision(order: Order) -> int:
    """Return the revision the next quote of an order gets."""
    last = order.quotes.order_by("-revision").first()
    return last.revision + 1 if last else 1


@transaction.atomic
def issue_quote(
    order: Order, offer: Offer, printed: Printed, basis: dict[str, Any], *,
    by: User | None,
) -> Quote:  # fmt: skip
    """Freeze a quote: rows, file and hash in one act.

    QuoteError if another revision was issued since this one was computed.
    """
    shop_services.hold_order(order)
    check_quotable(order)
    if offer.revision != next_revision(order):
        raise QuoteError(
            _("Someone else has just issued a quote; look at it first."),
            field="revision",
        )
    paper = _paper(
        printed, order=order, kind="quote", revision=offer.revision, by=by,
        made_at=offer.issued_at,
    )  # fmt: skip
    quote = Quote.objects.create(
        order=order, by=by, basis=basis, paper=paper,
        **{name: getattr(offer, name) for name in (
            "revision", "issued_at", "valid_until", "currency", "net", "tax_rate",
            "tax", "total", "deposit",
        )},
    )  # fmt: skip
    QuoteLine.objects.bulk_create(
        QuoteLine(
            quote=quote,
            position=place,
            label=line.label,
            detail=line.detail,
            amount=line.amount,
        )
        for place, line in enumerate(offer.lines, start=1)
    )
    if order.state != "quoted":
        shop_services.change_state(order, "quoted")
    return quote


def check_quotable(order: Order) -> None:
    """Refuse a quote for an order that is accepted, delivered or cancelled."""
    if order.state not in ("enquiry", "quoted", "declined"):
        raise QuoteError(
            _("This order is past quoting; a change after the yes is agreed with the "
              "customer first."), field="state",
        )  # fmt: skip


@transaction.atomic
def answer_quote(
    quote: Quote,
    *,
    accepted: bool,
    note: str,
    by: User | None,
    at: dt.datetime,
) -> QuoteAnswer:
    """Write down what the customer said; a yes puts the knives at the bench.

    QuoteError if it is answered already, replaced by a later revision, or run out.
    """
    order = quote.order
    shop_services.hold_order(order)
    check_answerable(quote, order, accepted=accepted, day=at.date())
    answer = QuoteAnswer.objects.create(
        quote=quote, accepted=accepted, note=note, by=by, at=at
    )
    if accepted:
        shop_services.start_work(order, by=by, at=at)
    else:
        shop_services.change_state(order, "declined")
    return answer


def check_answerable(
    quote: Quote, order: Order, *, accepted: bool, day: dt.date
) -> None:
    """Refuse an answer to a quote that no longer stands."""
    if QuoteAnswer.objects.filter(quote__order=order, quote=quote).exists():
        raise QuoteError(_("This quote has been answered already."), field="answer")
    if quote.revision != next_revision(order) - 1:
        raise QuoteError(
            _("A later revision has replaced this quote; answer that one."),
            field="answer",
        )
    if accepted and order.state == "quoted" and changed_since(quote):
        raise QuoteError(
            _("A knife of this order is not as quoted any more; issue a new revision."),
            field="answer",
        )
    if accepted and quote.valid_until < day:
        raise QuoteError(
            _("This quote held until {until}; issue a new revision first."),
            field="answer", until=quote.valid_until,
        )  # fmt: skip


def changed_since(quote: Quote) -> bool:
    """Say whether a knife was changed, added or taken away since a quote was issued."""
    kept = {one["serial"]: one for one in quote.basis.get("knives", ())}
    now = {knife.serial: knife_basis(knife) for knife in wanted(quote.order)}
    if not kept:
        return False
    return kept.keys() != now.keys() or any(
        kept[serial][key] != value
        for serial, one in now.items()
        for key, value in one.items()
    )


def keep_sheet(
    knife: Knife, content: str, printed: Printed, revision: int, *,
    by: User | None, at: dt.datetime,
) -> Paper:  # fmt: skip
    """Keep a build sheet as printed; equal content keeps its revision."""
    return _paper(
        printed, order=knife.order, knife=knife, kind="sheet", revision=revision,
        content=content, by=by, made_at=at,
    )  # fmt: skip


def sheet_revision(knife: Knife, content: str) -> tuple[int, Paper | None]:
    """Return the revision a sheet of this content has, and its paper if printed."""
    papers = Paper.objects.filter(knife=knife, kind="sheet")
    last = papers.order_by("-revision").first()
    if last is None:
        return 1, None
    if last.content == content:
        return last.revision, last
    return last.revision + 1, None


def letter(revision: int) -> str:
    """Return a revision as the letter a sheet shows: A, B, C.

    >>> letter(1), letter(2)
    ('A', 'B')
    """
    text, left = "", revision
    while left:
        left, place = divmod(left - 1, len(LETTERS))
        text = LETTERS[place] + text
    return text


def digest(parts: Sequence[Any] | dict[str, Any]) -> str:
    """Return a digest of what a paper says, so that a change makes a new revision."""
    text = json.dumps(parts, sort_keys=True, default=str, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def valid_until(shop: Shop, day: dt.date) -> dt.date:
    """Return the last day a quote issued on a day holds."""
    return day + dt.timedelta(days=shop.validity_days)


def _paper(printed: Printed, **row: Any) -> Paper:
    return Paper.objects.create(
        sha256=store.keep(printed.body), media=printed.media, **row
    )
