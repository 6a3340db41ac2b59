"""What is billed in words, in the language spoken; the knives as agreed now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from babel.dates import format_date
from django.utils import timezone
from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.units import locale_of
from quotes.changes_after.agreed import last_begun
from quotes.changes_after.as_agreed import AgreedKnife, agreed_knives, words_of
from quotes.invoices.amounts import Asked
from quotes.invoices.entries import Entry
from quotes.models import Quote, QuoteOption
from quotes.offer.frozen import OfferLine
from quotes.offer.specification import spec_sentences
from shop.models import AgreedChange, Order, Shop

LONGEST = 200
"""So many letters fit into a line's name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Knives:
    """The knives of an order as they are agreed now.

    Attributes
    ----------
    again : mapping of str to str
        Which knife was begun in the place of a lost one.
    agreed : mapping of str to AgreedKnife
        Each knife by its number.
    option : QuoteOption or None
        What was chosen with the yes.
    """

    again: Mapping[str, str]
    agreed: Mapping[str, AgreedKnife]
    option: QuoteOption | None


def asked_for(
    entries: Iterable[Entry], order: Order, quote: Quote, again: Mapping[str, str]
) -> list[Asked]:
    """Return what is billed with its words; ``again`` as ``begun_again`` says."""
    answer = quote.answer
    knives = Knives(
        again=again, agreed=agreed_knives(order, answer), option=answer.option
    )
    return [_said(one, knives) for one in entries]


def _said(one: Entry, knives: Knives) -> Asked:
    if one.change is not None:
        return _change(one.change, one)
    assert one.line is not None  # noqa: S101  it is one or the other
    if one.line.serial:
        return _knife(one.line, one, knives)
    return Asked(label=one.line.label, detail=one.line.detail, amount=one.amount)


def _knife(line: OfferLine, one: Entry, knives: Knives) -> Asked:
    """Say a knife as it is agreed now; one that was lost is the one made instead."""
    serial = last_begun(line.serial, knives.again)
    name, detail, anew = line.label, line.detail, False
    now = knives.agreed.get(serial)
    if now is not None and (now.altered or serial != line.serial):
        name, anew = now.knife.name, True
        detail = spec_sentences(words_of(now, Shop.current().units)) or line.detail
    chosen = _chosen(line, knives.option, said=anew)
    return Asked(
        label=f"{name}, {serial}"[:LONGEST],
        detail="\n".join(text for text in (detail, chosen) if text),
        amount=one.amount,
    )


def _chosen(line: OfferLine, option: QuoteOption | None, *, said: bool) -> str:
    """Name the option taken of a knife; what is in it too, where the knife says not."""
    if option is None or option.serial != line.serial or option.position == 1:
        return ""
    more = "" if said or not option.detail else f" ({option.detail})"
    return _("As chosen: {option}").format(option=option.label + more)


def _change(one: AgreedChange, entry: Entry) -> Asked:
    day = timezone.localdate(one.answered_at or one.made_at)
    said = _("Change agreed on {day}")
    if one.knife is None:
        said = _("Kept for what was cancelled on {day}")
    return Asked(
        label=said.format(day=format_date(day, "long", locale=locale_of(spoken()))),
        detail=one.wish if one.knife else "",
        amount=entry.amount,
    )
