"""The first page: what is due, what waits on whom, what is at the bench."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import F, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from shop import owing, payments, stages
from shop.context import may_see_prices
from shop.guesses import forget
from shop.models import CustomerQuestion, Knife, Order
from shop.weeks import monday_of

MOST_DUE = 25
MOST_WAITING = 8
"""So many rows a list of the first page shows; the rest is in the table of orders."""

MOST_KNIVES = 200
WEEK = dt.timedelta(days=7)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkList:
    """One list of the first page; ``more`` says that there are others."""

    title: str
    rows: Sequence[Any]
    note: str = ""
    more: bool = False


@require_safe
def front(request: HttpRequest) -> HttpResponse:
    """Show the day: due, waiting, at the bench."""
    forget(timezone.now())
    today = timezone.localdate()
    context = {
        "due": _due(today),
        "enquiries": _enquiries(),
        "idle": _without_work(),
        "asked": _asked() if may_see_prices(request) else None,
        "owing": _money(owing.owing(), today) if may_see_prices(request) else None,
        "back": _money(owing.going_back(), today) if may_see_prices(request) else None,
        "bench": _bench(),
    }
    return render(request, "shop/front.html", context)


def _due(today: dt.date) -> list[WorkList]:
    """Return the accepted orders promised up to next week, overdue first."""
    this = monday_of(today)
    orders = list(Order.objects.due_by(this + WEEK).for_list()[: MOST_DUE + 1])
    more, orders = len(orders) > MOST_DUE, orders[:MOST_DUE]
    groups = (
        (_("Overdue"), [one for one in orders if _week(one) < this]),
        (_("This week"), [one for one in orders if _week(one) == this]),
        (_("Next week"), [one for one in orders if _week(one) > this]),
    )
    lists = [WorkList(title=title, rows=rows) for title, rows in groups if rows]
    return [*lists, WorkList(title=_("More"), rows=(), more=True)] if more else lists


def _week(order: Order) -> dt.date:
    return order.promised_week or dt.date.max


def _enquiries() -> WorkList:
    """Return the enquiries, whoever waits longest first."""
    orders = Order.objects.filter(state="enquiry").for_list().order_by("pk")
    return _first_of(orders.prefetch_related("knives__target"))


def _without_work() -> WorkList:
    """Return the orders that need a knife made again, most pressing first."""
    orders = Order.objects.without_work().for_list()
    return _first_of(orders.order_by("promised_week", "pk"))


def _first_of(orders: QuerySet[Order]) -> WorkList:
    found = list(orders[: MOST_WAITING + 1])
    more = len(found) > MOST_WAITING
    return WorkList(title="", rows=found[:MOST_WAITING], more=more)


def _asked() -> WorkList:
    """Return what customers asked on their private pages, longest unanswered first."""
    waiting = CustomerQuestion.objects.filter(
        answered_at=None, order__customer__erased=None
    )
    found = list(
        waiting.select_related("order__customer").order_by("pk")[: MOST_WAITING + 1]
    )
    more = len(found) > MOST_WAITING
    return WorkList(title="", rows=found[:MOST_WAITING], more=more)


def _money(found: Sequence[owing.Owed], today: dt.date) -> WorkList:
    """Return the orders with money to come or to go back, each with its days."""
    shown = found[:MOST_WAITING]
    if not shown:
        return WorkList(title="", rows=())
    paid_in = payments.currencies([one.order for one in shown])
    rows = [
        (one, paid_in[one.order.pk], max((today - one.since).days, 0)) for one in shown
    ]
    return WorkList(title="", rows=rows, more=len(found) > MOST_WAITING)


def _bench() -> list[WorkList]:
    """Return the knives at the bench by stage, with what each stage must pass."""
    pressing = F("order__promised_week").asc(nulls_last=True)
    in_work = Knife.objects.in_work().for_list().order_by(pressing, "pk")
    knives = list(in_work[:MOST_KNIVES])
    return [
        WorkList(
            title=_(stage.label),
            note=" ".join(_(one) for one in stage.gate),
            rows=[knife for knife in knives if knife.stage == stage.key],
        )
        for stage in stages.STAGES
        if any(knife.stage == stage.key for knife in knives)
    ]
