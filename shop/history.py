"""What happened to an order, latest first: its knives at the bench and its quotes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.utils.translation import gettext as _

from shop.models import Order, StageEvent


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteEvent:
    """A quote that went out, or what the customer said to it."""

    what: str
    text: str
    url: str
    amount: Decimal
    currency: str
    at: dt.datetime
    by: User | None


def history(
    order: Order, quotes: Iterable[Any], most: int
) -> list[StageEvent | QuoteEvent]:
    """Return the last so many things that happened to an order, latest first."""
    moves = StageEvent.objects.filter(knife__order=order).select_related("knife", "by")
    found: list[StageEvent | QuoteEvent] = [*moves.order_by("-pk")[:most]]
    found += _of_quotes(quotes)
    found.sort(key=lambda one: one.at, reverse=True)
    return found[:most]


def _of_quotes(quotes: Iterable[Any]) -> Iterator[QuoteEvent]:
    """Yield issues and answers; quotes belong to the app above this one."""
    for quote in quotes:
        answer = getattr(quote, "answer", None)
        if answer is not None:
            taken = answer.option
            yield QuoteEvent(
                what=_("Quote accepted") if answer.accepted else _("Quote declined"),
                text=_revision(quote, answer.note), url=quote.get_absolute_url(),
                amount=taken.total if taken else quote.total,
                currency=quote.currency, at=answer.at, by=answer.by,
            )  # fmt: skip
        yield QuoteEvent(
            what=_("Quote issued"), text=_revision(quote), url=quote.get_absolute_url(),
            amount=quote.total, currency=quote.currency, at=quote.issued_at,
            by=quote.by,
        )  # fmt: skip


def _revision(quote: Any, note: str = "") -> str:
    said = _("revision {revision}").format(revision=quote.revision)
    return f"{said}: {note}" if note else said
