"""An order as its private page looks at it: its last quote, the answer, how it stands.

Everything the page says is made of a ``Case``; the template never sees one.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from django.db.models import prefetch_related_objects
from django.utils import timezone

from quotes.models import Quote, QuoteAnswer
from quotes.offer.beside import Beside, kept_beside
from quotes.offer.frozen import Offer, kept_offer
from quotes.private.tokens import last_quote
from shop.models import Order, Shop, StageEvent

State = Literal[
    "open", "run_out", "declined", "closed", "accepted", "delivered", "cancelled"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What a private page is made from.

    Attributes
    ----------
    order, shop
        Whose page it is, and who shows it.
    quote, offer, beside
        The revision that counts, and what it said.
    answer : QuoteAnswer or None
        What was said to it.
    state : State
        How it stands.
    left : mapping of int to date
        When knives were last moved to where they stand, if they left the bench.
    """

    order: Order
    shop: Shop
    quote: Quote
    offer: Offer
    beside: Beside
    answer: QuoteAnswer | None
    state: State
    left: dict[int, dt.date]

    @property
    def is_over(self) -> bool:
        """Whether what was ordered is handed over or cancelled."""
        return self.state in ("delivered", "cancelled")

    @property
    def is_ordered(self) -> bool:
        """Whether a yes was said, whatever became of it."""
        return self.is_over or self.state == "accepted"


def case_of(order: Order, shop: Shop) -> Case | None:
    """Return what the page of an order is made from; None without a quote."""
    quote = last_quote(order)
    if quote is None:
        return None
    if order.state != "quoted":
        prefetch_related_objects([order], "payments", "knives", "changes")
    answer, offer = getattr(quote, "answer", None), kept_offer(quote)
    return Case(
        order=order, shop=shop, quote=quote, offer=offer,
        beside=kept_beside(quote, order, offer), answer=answer,
        state=_state(order, quote, answer),
        left={} if order.state == "quoted" else _left(order),
    )  # fmt: skip


def _state(order: Order, quote: Quote, answer: QuoteAnswer | None) -> State:
    if answer:
        if not answer.accepted:
            return "declined"
        known: dict[str, State] = {"delivered": "delivered", "cancelled": "cancelled"}
        return known.get(order.state, "accepted")
    if order.state != "quoted":
        return "closed"
    return "open" if quote.valid_until >= timezone.localdate() else "run_out"


def _left(order: Order) -> dict[int, dt.date]:
    """Return the days of the last moves of knives that are handed over or cancelled."""
    stands = {
        one.pk: one.stage
        for one in order.knives.all()
        if one.stage in ("delivered", "cancelled")
    }
    if not stands:
        return {}
    moves = StageEvent.objects.filter(knife__in=stands).order_by("pk")
    return {
        one.knife_id: timezone.localdate(one.at)
        for one in moves
        if stands[one.knife_id] == one.stage
    }


def last_day(case: Case, stage: str) -> dt.date | None:
    """Return the last day a knife of an order was handed over, or cancelled."""
    days = [
        case.left[one.pk]
        for one in case.order.knives.all()
        if one.stage == stage and one.pk in case.left
    ]
    return max(days, default=None)
