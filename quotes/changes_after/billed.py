"""What a change or a cancellation alters of the bill, to the cent.

Where amounts are read before tax, not every total with tax in it can be billed. What is
agreed on is what the invoice will say.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from django.utils import timezone

from quotes.changes_after.agreed import answer_of
from quotes.invoices.billing import Billing, billing_of
from shop.models import AgreedChange, Knife, Order


def billing_if_quoted(order: Order) -> Billing | None:
    """Return what there is to bill; None where no quote was accepted."""
    return billing_of(order) if answer_of(order) else None


def billed_more(knife: Knife, gross: Decimal) -> Decimal:
    """Return what a change adds to the bill if it is to add so much."""
    now = billing_if_quoted(knife.order)
    if now is None:
        return gross
    one = AgreedChange(knife=knife, more=gross, made_at=timezone.now())
    return replace(now, changes=(*now.changes, one)).gross - now.gross


def billed_kept(order: Order, kept: Decimal, gone: Iterable[str]) -> Decimal:
    """Return what is billed if so much is kept when some knives are cancelled."""
    now = billing_if_quoted(order)
    if now is None:
        return kept
    one = AgreedChange(knife=None, more=0, fee=kept, made_at=timezone.now())
    cancelled = now.cancelled | frozenset(gone)
    return replace(now, changes=(*now.changes, one), cancelled=cancelled).gross
