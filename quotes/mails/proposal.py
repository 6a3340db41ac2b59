"""The message that is proposed: to whom, in which words, with which paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from django.db.models import QuerySet
from django.utils import translation
from django.utils.translation import gettext as _

from quotes.choices import paper_kind
from quotes.mails.texts import MAILS, UNKNOWN, fill
from quotes.models import Paper, Quote
from quotes.wording import money_text
from shop import payments, stages
from shop.models import Knife, Order, Shop
from shop.templatetags.shop_words import day, names_of, stage_words, week_of

PAPERS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "quote": ("quote",), "request": ("request",),
        "invoice": ("advance", "final", "cancel"), "progress": (),
        "balance": ("request", "final"), "change": ("change",),
    }
)  # fmt: skip
"""Kinds of paper that go with each kind of message; the latest one is proposed."""

OWN_PAPERS = frozenset({"sheet"})
"""Papers of the bench, which no customer is sent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A message as the boxes begin: all of it can be changed."""

    to: str
    subject: str
    body: str
    paper: Paper | None


def papers_for(order: Order) -> QuerySet[Paper]:
    """Return the papers of an order that a customer may be sent, latest first."""
    of_order = Paper.objects.filter(order=order).exclude(kind__in=OWN_PAPERS)
    return of_order.select_related("order", "knife").order_by("-pk")


def proposed(order: Order, kind: str, shop: Shop) -> Proposal:
    """Return a message about an order in its customer's language."""
    paper = papers_for(order).filter(kind__in=PAPERS[kind]).first()
    subject, body = MAILS[kind]
    with translation.override(order.customer.language):
        values = _values(order, paper, shop)
        return Proposal(
            to=order.customer.email,
            subject=fill(_(subject), values),
            body=fill(_(body), values),
            paper=paper,
        )


def _values(order: Order, paper: Paper | None, shop: Shop) -> dict[str, str]:
    """Return what is known, in the language spoken; the rest stays open."""
    knives = list(order.knives.all())
    promised = order.promised_week
    return {
        "name": order.customer.name,
        "number": order.number,
        "knives": names_of(knives) or UNKNOWN,
        "paper": str(dict(paper_kind())[paper.kind]) if paper else UNKNOWN,
        "stages": _stages(knives),
        "promised": _("Promised: {week}.").format(week=week_of(promised))
        if promised else "",
        "signed": "\n".join(dict.fromkeys(filter(None, (shop.owner, shop.name)))),
        **_of_quote(order.quotes.first()),
        **_owed(order),
    }  # fmt: skip


def _of_quote(quote: Quote | None) -> dict[str, str]:
    if quote is None:
        return {}
    read = quote.net if quote.mode == "net" else quote.total
    return {"total": money_text(read, quote.currency), "until": day(quote.valid_until)}


def _owed(order: Order) -> dict[str, str]:
    """Return what is asked for now, and what is owed in all; nothing before a yes."""
    if order.agreed is None:
        return {}
    currency = payments.currency_of(order)
    left = max(payments.balance(order), payments.ZERO)
    asked = payments.deposit_missing(order) or left
    return {
        "balance": money_text(left, currency), "amount": money_text(asked, currency),
    }  # fmt: skip


def _stages(knives: list[Knife]) -> str:
    """Return where each knife stands, one a line."""
    made = [one for one in knives if one.stage not in stages.EXITS]
    return "\n".join(f"{one.name}: {stage_words(one)}" for one in made) or UNKNOWN
