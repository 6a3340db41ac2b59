"""What a quote says beside its lines: tax, deposit, delivery, and its terms.

The paper says it from what is about to be issued, the customer's page from what was
kept of it; both by the same functions.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from quotes import texts
from quotes.changes_after.ladder_words import ladder_note
from quotes.models import Quote
from quotes.money import Taxed, from_gross
from quotes.offer.frozen import Offer
from quotes.offer.sentences import (
    delivery_sentences,
    deposit_sentences,
    tax_notes,
)
from quotes.rate_items import ITEM_OF
from quotes.rates import REGIMES, Rates, rates_from
from shop.models import Order

Part = tuple[str, list[str]]

NOTES = ("terms", "care", "legal")
"""Texts that stand at the end of a quote."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What the words of a quote need, and its offer does not hold.

    Attributes
    ----------
    order : Order
        What it is for.
    day : date
        The day it is issued, whose texts count.
    deposit : Taxed
        What is paid first, with the tax in it.
    tax_note : str
        What the shop's tax setting has to say.
    rates : Rates
        In force on that day; of them only the ladder is told.
    sent : bool
        Whether sending is charged for.
    """

    order: Order
    day: dt.date
    deposit: Taxed
    tax_note: str
    rates: Rates
    sent: bool


def tax_part(offer: Offer, beside: Beside) -> Part:
    """Return how tax was worked out, or why there is none."""
    return _("Tax and rounding"), tax_notes(offer, beside.tax_note, beside.day)


def deposit_part(offer: Offer, beside: Beside) -> Part:
    """Return what is paid first, what it buys, and when the rest is due."""
    whole = Taxed(net=offer.net, tax=offer.tax, gross=offer.total)
    said = deposit_sentences(beside.deposit, whole - beside.deposit, offer.currency)
    return _("Deposit and balance"), said


def delivery_part(beside: Beside) -> Part:
    """Return which week is promised, and how the knife comes to its owner."""
    said = delivery_sentences(beside.order, beside.day, sent=beside.sent)
    return _("Delivery"), said


def notes(beside: Beside) -> tuple[tuple[str, str], ...]:
    """Return terms, care and law, and what a yes binds to."""
    said = texts.said(NOTES, beside.day)
    return (*said, ladder_note(beside.rates, beside.day))


# --- of a quote that is out -------------------------------------------------------


def kept_beside(quote: Quote, order: Order, offer: Offer) -> Beside:
    """Return the same from what an issued quote keeps."""
    lines = offer.words.get("lines", ())
    usual = REGIMES[offer.regime].note if offer.regime in REGIMES else ""
    return Beside(
        order=order,
        day=timezone.localdate(quote.issued_at),
        deposit=_kept_deposit(quote, offer),
        tax_note=quote.basis.get("price", {}).get("note", usual),
        rates=_kept_rates(quote),
        sent=any(one.startswith("shipping:") for one in lines),
    )


def _kept_deposit(quote: Quote, offer: Offer) -> Taxed:
    """Return the deposit with its tax; without one where an old quote kept none."""
    kept = quote.basis.get("deposit")
    if kept:
        return Taxed(**{name: Decimal(text) for name, text in kept.items()})
    if len(offer.taxes) == 1:
        return from_gross(offer.deposit, offer.taxes[0].percent, offer.currency)
    return Taxed(net=offer.deposit, tax=Decimal(0), gross=offer.deposit)


def _kept_rates(quote: Quote) -> Rates:
    kept = quote.basis.get("rates", {}).get("values", {})
    return rates_from(
        {key: Decimal(one["value"]) for key, one in kept.items() if key in ITEM_OF},
        currency=quote.currency,
        valid_from=timezone.localdate(quote.issued_at),
        tax=None,
    )
