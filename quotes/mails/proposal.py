"""The message that is proposed: to whom, in which words, with which paper."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from django.db.models import QuerySet
from django.utils import translation
from django.utils.functional import Promise
from django.utils.translation import gettext as _

from quotes.choices import paper_kind
from quotes.mails.linking import signature
from quotes.mails.masking import MASK
from quotes.mails.papers import Says, asked_now, quote_says, says
from quotes.mails.standing import (
    accepted_says,
    knives_named,
    owes_unsettled,
    settled_words,
    since_then,
    stage_rows,
    text_key,
    told,
    way_to_customer,
)
from quotes.mails.texts import LINKS, MAILS, OWED, STILL_OPEN, UNKNOWN, fill
from quotes.models import Paper
from quotes.wording import money_text
from shop import payments
from shop.models import Knife, Order, Photo, Shop
from shop.templatetags.shop_words import day, stage_words, week_of

PAPERS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "quote": ("quote",), "request": ("request",),
        "invoice": ("advance", "final", "cancel"), "progress": (),
        "balance": ("request", "final"), "change": ("change",),
    }
)  # fmt: skip
"""Kinds of paper that go with each kind of message; the latest one is proposed."""

ASKING = frozenset({"request", "balance"})
"""Kinds of message a request for payment can be made for."""

OWN_PAPERS = frozenset({"sheet"})
"""Papers of the bench, which no customer is sent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A message as the boxes begin: all of it can be changed.

    Attributes
    ----------
    to, subject, body : str
        Of the message.
    paper : Paper or None
        What is attached.
    photos : tuple of int
        Keys of the photos that are ticked.
    stale : str
        Why the latest paper that fits is not proposed; empty if it is.
    """

    to: str
    subject: str
    body: str
    paper: Paper | None
    photos: tuple[int, ...] = ()
    stale: str | Promise = ""


def papers_for(order: Order) -> QuerySet[Paper]:
    """Return the papers of an order that a customer may be sent, latest first."""
    of_order = Paper.objects.filter(order=order).exclude(kind__in=OWN_PAPERS)
    known = of_order.select_related("order__customer", "knife")
    return known.order_by("-pk")


def proposed(
    order: Order, kind: str, shop: Shop, today: dt.date, *, linked: bool = False
) -> Proposal:
    """Return a message about an order in its customer's language.

    ``linked`` puts a mark where a private link takes its place when it is sent.
    """
    paper, said, stale = fitting(order, kind, shop, today)
    key = text_key(order, kind)
    finals = final_photos(order) if _shows_work(order, kind) else ()
    subject, body = MAILS[key]
    with translation.override(order.customer.language):
        values = _values(order, kind, shop, paper) | _sums(order, kind, said)
        leads = linked and key in LINKS
        values["link"] = _(LINKS[key]).format(link=MASK) if leads else ""
        values["photos"] = _("Its last photographs are attached.") if finals else ""
        return Proposal(
            to=order.customer.email,
            subject=fill(_(subject), values),
            body=fill(_(body), values),
            paper=paper,
            photos=tuple(finals),
            stale=stale,
        )


def needs_paper(order: Order, kind: str) -> bool:
    """Say whether a paper goes with a message; none does with a balance of nothing."""
    if kind == "balance" and payments.balance(order) <= 0:
        return False
    return bool(PAPERS[kind])


def _shows_work(order: Order, kind: str) -> bool:
    return kind == "balance" and order.state != "cancelled"


def fitting(
    order: Order, kind: str, shop: Shop, today: dt.date
) -> tuple[Paper | None, Says, str | Promise]:
    """Return the latest paper that fits and still holds, and what it says.

    Where none does, with the reason of the latest one.
    """
    why: str | Promise = ""
    for fits in _latest(order, kind):
        said = says(fits, kind, shop, today)
        if not said.stale:
            return fits, said, ""
        why = why or said.stale
    return None, Says(), why


def _latest(order: Order, kind: str) -> list[Paper]:
    """Return the latest paper of each kind that fits a message, latest first."""
    found: dict[str, Paper] = {}
    for paper in papers_for(order).filter(kind__in=PAPERS[kind]):
        found.setdefault(paper.kind, paper)
    return list(found.values())


def final_photos(order: Order) -> list[int]:
    """Return the keys of the photos that are meant for the balance."""
    final = Photo.objects.filter(knife__order=order, final=True, taken_back=None)
    return list(final.order_by("-pk").values_list("pk", flat=True))


# --- what is put in -----------------------------------------------------------------


def _values(order: Order, kind: str, shop: Shop, paper: Paper | None) -> dict[str, str]:
    """Return what is known, in the language spoken; the rest stays open."""
    knives = list(order.knives.all())
    promised = order.promised_week
    open_yet = order.state not in payments.OVER
    return {
        "name": order.customer.name,
        "number": order.number,
        "knives": knives_named(order, kind, knives),
        "paper": str(dict(paper_kind())[paper.kind]) if paper else UNKNOWN,
        "stages": _stages(knives),
        "promised": _("Promised: {week}.").format(week=week_of(promised))
        if promised and open_yet else "",
        "told": told(order),
        "way": way_to_customer(order),
        "signed": signature(shop),
    }  # fmt: skip


def _sums(order: Order, kind: str, said: Says) -> dict[str, str]:
    """Return the sums of a text: those of its paper, else as they are today."""
    if kind == "quote":
        return _of_quote(order, said)
    if owes_unsettled(order):
        return {"owed": settled_words(order)}
    if order.agreed is None:
        return {}
    if kind == "balance" and payments.balance(order) <= 0:
        return {"owed": settled_words(order)}
    return _of_money(order, kind, said)


def _of_money(order: Order, kind: str, said: Says) -> dict[str, str]:
    """Return what a message asks for; nothing where nothing of it is open."""
    currency = said.currency or payments.currency_of(order)
    asked = asked_now(order, kind)
    amount = said.sums[0] if said.sums else asked[1] if asked else payments.ZERO
    if amount <= 0:
        return {"owed": settled_words(order)}
    text = money_text(amount, currency)
    owed = _(STILL_OPEN if order.state in payments.OVER else OWED)
    return {"amount": text, "owed": owed.format(balance=text, number=order.number)}


def _of_quote(order: Order, said: Says) -> dict[str, str]:
    """Return total and last day of a quote, as the paper or else the last one says.

    After the yes, what was said yes to.
    """
    if text_key(order, "quote") != "quote":
        total, on = accepted_says(order)
        return {"total": total, "accepted": on, "since": since_then(order)}
    quote = order.quotes.first()
    if not said.sums and quote:
        said = quote_says(quote)
    if not said.sums:
        return {}
    text = money_text(said.sums[0], said.currency)
    if said.before_tax:
        text = _("{total} before tax").format(total=text)
    if len(said.sums) > 1:
        text = _("{total}, with other ways to have it").format(total=text)
    return {"total": text, "until": day(said.until)}


def _stages(knives: list[Knife]) -> str:
    """Return where each knife stands, one a line."""
    rows = stage_rows(knives)
    return "\n".join(f"{one.name}: {stage_words(one)}" for one in rows) or UNKNOWN
