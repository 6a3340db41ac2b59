"""Money that is waited for: deposits and balances, and what goes back to customers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from django.db.models import (
    Case,
    ExpressionWrapper,
    F,
    FloatField,
    Q,
    QuerySet,
    Sum,
    Value,
    When,
)
from django.utils import timezone

from shop import stages
from shop.models import Knife, Order
from shop.payments import (
    LAST_AT_THE_BENCH,
    OVER,
    What,
    balance,
    deposit_missing,
    goes_back,
    ready,
)

HALF_A_COIN = 0.0005
"""No coin is smaller than twice this, and no sum of floats is off by so much."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Owed:
    """Money an order waits for: which, and since when."""

    order: Order
    what: What | Literal["back"]
    amount: Decimal
    since: dt.date


def owing() -> list[Owed]:
    """Return the money the shop waits for, longest first.

    A deposit is waited for from the yes on, a balance once every knife is at the last
    stage of the bench, and for an order that was handed over unpaid or cancelled.
    """
    found = [_owed(order) for order in _candidates()]
    return sorted((one for one in found if one), key=lambda one: one.since)


def going_back() -> list[Owed]:
    """Return what customers paid above what is agreed, longest first.

    It is owed to them from the day of the last payment or of the last change.
    """
    more = _with_paid().filter(Q(paid__gt=_agreed(HALF_A_COIN)))
    orders = Order.objects.filter(pk__in=more.values("pk"))
    found = [
        _open(order, "back", goes_back(order), _last_day(order))
        for order in _read(orders).prefetch_related("changes")
    ]
    return sorted((one for one in found if one), key=lambda one: one.since)


def _last_day(order: Order) -> dt.date:
    paid = [one.received_on for one in order.payments.all() if one.taken_back is None]
    said = [one.answered_at for one in order.changes.all() if one.answered_at]
    asked = timezone.localdate(order.created)
    return max([*paid, *map(timezone.localdate, said)], default=asked)


def _candidates() -> Iterable[Order]:
    """Return orders that may owe something: at work, or over and not paid.

    Those that are over grow more with the years: the database leaves out the ones that
    are paid. It may add decimals up as floats, so that what is left is added up anew.
    """
    working = Order.objects.filter(state="accepted")
    over = _with_paid().filter(state__in=OVER)
    less = Q(paid=None) | Q(paid__lt=_agreed(-HALF_A_COIN))
    unpaid = over.filter(less, agreed__gt=0)
    known = working.exclude(agreed=None) | Order.objects.filter(
        pk__in=unpaid.values("pk")
    )
    return _read(known).prefetch_related("knives__events")


def _read(orders: QuerySet[Order]) -> QuerySet[Order]:
    return orders.select_related("customer").prefetch_related("payments")


def _agreed(more: float) -> ExpressionWrapper:
    return ExpressionWrapper(F("agreed") + Value(more), FloatField())


def _with_paid() -> QuerySet[Order]:
    signed = Case(
        When(payments__back=True, then=-F("payments__amount")),
        default=F("payments__amount"),
    )
    paid = Sum(signed, filter=Q(payments__taken_back=None))
    return Order.objects.alias(paid=paid)


def _owed(order: Order) -> Owed | None:
    knives = list(order.knives.all())
    finished = _days(knives, stage=LAST_AT_THE_BENCH)
    if finished and ready(order):
        return _open(order, "balance", balance(order), max(finished))
    asked = timezone.localdate(order.created)
    if order.state in OVER:
        last = max(_days(knives), default=asked)
        return _open(order, "balance", balance(order), last)
    since = min(_days(knives, came_from=stages.NOT_STARTED), default=asked)
    return _open(order, "deposit", deposit_missing(order), since)


def _open(
    order: Order, what: What | Literal["back"], amount: Decimal, since: dt.date
) -> Owed | None:
    if amount <= 0:
        return None
    return Owed(order=order, what=what, amount=amount, since=since)


def _days(knives: Iterable[Knife], **of: str) -> list[dt.date]:
    """Return the days of the moves of some knives that are as told."""
    return [
        timezone.localdate(event.at)
        for knife in knives
        for event in knife.events.all()
        if all(getattr(event, name) == value for name, value in of.items())
    ]
