"""Issuing, answering and printing: what a paper says stays as it was said."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from billets.physics.errors import _
from quotes import store
from quotes.basis import knife_basis
from quotes.choices import quote_kind
from quotes.errors import QuoteError
from quotes.models import Paper, Quote, QuoteAnswer, QuoteLine, QuoteOption
from quotes.offer.frozen import Offer, line_rows, option_rows, quote_row
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
class Reply:
    """What a customer says to a quote.

    Attributes
    ----------
    accepted : bool
        Whether it is a yes.
    note : str
        How it was said, and what with it.
    option : int or None
        The place of the option that is taken; None where there is none to take.
    typed_name : str
        The name typed under a yes on the private page.
    """

    accepted: bool
    note: str
    option: int | None = None
    typed_name: str = ""


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

    QuoteError if another revision was issued since this one was computed, or if it
    does not say whether its price binds.
    """
    shop_services.hold_order(order)
    check_quotable(order)
    check_offer(offer)
    if offer.revision != next_revision(order):
        raise QuoteError(
            _("Someone else has just issued a quote; look at it first."),
            field="revision",
        )
    paper = _paper(
        printed, order=order, kind="quote", revision=offer.revision, by=by,
        made_at=offer.issued_at,
    )  # fmt: skip
    # So many, and no more are taken in (``quotes/triggers.py``).
    counts = {"lines": len(offer.lines), "options": len(offer.options)}
    kept = {**basis, "words": offer.words, "counts": counts}
    quote = quote_row(offer, order=order, by=by, paper=paper, basis=kept)
    quote.save(force_insert=True)
    QuoteLine.objects.bulk_create(line_rows(quote, offer))
    QuoteOption.objects.bulk_create(option_rows(quote, offer))
    if order.state != "quoted":
        shop_services.change_state(order, "quoted")
    return quote


def check_offer(offer: Offer) -> None:
    """Refuse an offer that does not say whether it binds, or that is over already."""
    if offer.kind not in dict(quote_kind()):
        raise QuoteError(
            _("Say whether the price is fixed or an estimate: the customer has to "
              "know."), field="kind",
        )  # fmt: skip
    if offer.valid_until < timezone.localdate(offer.issued_at):
        raise QuoteError(
            _("This quote would have run out on {until}, before it goes out: choose a "
              "later day."), field="valid_until", until=offer.valid_until,
        )  # fmt: skip


def check_quotable(order: Order) -> None:
    """Refuse a quote for an order that is accepted, delivered or cancelled."""
    if order.state not in ("enquiry", "quoted", "declined"):
        raise QuoteError(
            _("This order is past quoting; a change after the yes is agreed with the "
              "customer first."), field="state",
        )  # fmt: skip


@transaction.atomic
def answer_quote(
    quote: Quote, reply: Reply, *, by: User | None, at: dt.datetime
) -> QuoteAnswer:
    """Write down what the customer said; a yes puts the knives at the bench.

    A yes to a quote with options names one by its place; its knife is then written
    so before the work starts. QuoteError if the quote is answered already, replaced
    by a later revision, or run out, or if no option is named.
    """
    order = quote.order
    shop_services.hold_order(order)
    day = timezone.localdate(at)
    check_answerable(quote, order, accepted=reply.accepted, day=day)
    chosen = chosen_option(quote, reply.option) if reply.accepted else None
    answer = QuoteAnswer.objects.create(
        quote=quote, accepted=reply.accepted, option=chosen, note=reply.note,
        typed_name=reply.typed_name, sha256=quote.paper.sha256, by=by, at=at,
    )  # fmt: skip
    if reply.accepted:
        _write_choice(order, chosen)
        bought = chosen or quote
        shop_services.agree_on(order, total=bought.total, deposit=bought.deposit)
        shop_services.start_work(order, by=by, at=at)
    else:
        shop_services.change_state(order, "declined")
    return answer


def chosen_option(quote: Quote, place: int | None) -> QuoteOption | None:
    """Return the option a yes means; QuoteError where there are some and none is."""
    known = {one.position: one for one in quote.options.all()}
    if not known:
        return None
    if place not in known:
        raise QuoteError(
            _("This quote offers several ways: choose the one the customer takes."),
            field="option",
        )
    return known[place]


def _write_choice(order: Order, chosen: QuoteOption | None) -> None:
    """Write a chosen option into its knife, so that the bench makes what was bought."""
    if chosen is None or not chosen.values:
        return
    values: dict[str, Any] = dict(chosen.values)
    knife = order.knives.select_related("target__plan", "order").get(
        serial=chosen.serial
    )
    typed = {name: text for name, text in knife.typed.items() if name not in values}
    try:
        shop_services.change_knife(knife, values | {"typed": typed})
    except shop_services.StaleError as error:
        raise QuoteError(
            _("Someone else has just changed this knife; look at it again."),
            field="answer",
        ) from error


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
    """Say whether a knife was changed, added or taken away since a quote was issued.

    A knife made as the option that was accepted is as quoted.
    """
    kept = {one["serial"]: one for one in quote.basis.get("knives", ())}
    now = {knife.serial: knife_basis(knife) for knife in wanted(quote.order)}
    if not kept:
        return False
    answer = QuoteAnswer.objects.filter(quote=quote).select_related("option").first()
    chosen = answer.option if answer else None
    if chosen and chosen.values and chosen.serial in kept:
        own = kept[chosen.serial]
        told = {name: None if value == "" else value  # a knife without a ferrule
                for name, value in chosen.values.items()}  # fmt: skip
        kept[chosen.serial] = {**own, "spec": {**own["spec"], **told}}
    return _differs(kept, now)


def is_as_quoted(kept: Iterable[Mapping[str, Any]], knives: Iterable[Knife]) -> bool:
    """Say whether knives are as an open quote has them; so is one that kept none."""
    then = {one["serial"]: one for one in kept}
    now = {knife.serial: knife_basis(knife) for knife in knives}
    return not (then and _differs(then, now))


def _differs(
    kept: Mapping[str, Mapping[str, Any]], now: Mapping[str, Mapping[str, Any]]
) -> bool:
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
