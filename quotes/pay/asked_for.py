"""What a request for payment is for, in words, by how its order stands."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone
from django.utils.translation import gettext as _

from quotes.wording import long_day, money_text
from shop.models import AgreedChange, Order, StageEvent
from shop.payments import What
from shop.settled import cancellation


def sentences(order: Order, what: What, currency: str) -> list[str]:
    """Say what is asked for, and when or why it is due."""
    if what == "deposit":
        return _deposit(order)
    settled = cancellation(order)
    if settled is not None:
        return _kept(order, settled, currency)
    first = _("This is the balance for what you ordered: {knives}.")
    return [first.format(knives=_knives(order)), _due(order)]


def total_label(order: Order) -> str:
    """Name the sum that all is reckoned from."""
    if cancellation(order) is None:
        return _("Agreed in all")
    if order.state == "cancelled":
        return _("Kept of what was cancelled")
    return _("Handed over, and kept of what was cancelled")


def _knives(order: Order) -> str:
    gone = ("cancelled", "scrapped")
    return ", ".join(one.name for one in order.knives.exclude(stage__in=gone))


def _deposit(order: Order) -> list[str]:
    first = _("This is the deposit on what you ordered: {knives}.")
    return [
        first.format(knives=_knives(order)),
        _("It buys the steel and your place in the queue. The work begins when it is "
          "here."),
    ]  # fmt: skip


def _due(order: Order) -> str:
    if order.state == "accepted":
        return _("It is due before the knife is handed over.")
    day = _handed_over(order)
    if day is None:
        return _("What you ordered was handed over, so it is due now.")
    said = _("What you ordered was handed over on {day}, so it is due now.")
    return said.format(day=long_day(day))


def _handed_over(order: Order) -> dt.date | None:
    moves = StageEvent.objects.filter(knife__order=order, stage="delivered")
    last = moves.order_by("pk").last()
    return timezone.localdate(last.at) if last else None


def _kept(order: Order, settled: AgreedChange, currency: str) -> list[str]:
    day = long_day(timezone.localdate(settled.answered_at or settled.made_at))
    kept = money_text(settled.fee, currency)
    if order.state == "cancelled":
        said = _("Your order was cancelled on {day}. By what was agreed on cancelling "
                 "{kept} of its price is kept.")  # fmt: skip
    else:
        said = _("The rest of your order was cancelled on {day}. With what was handed "
                 "over, and what was agreed on cancelling, {kept} is to be paid in "
                 "all.")  # fmt: skip
    return [said.format(day=day, kept=kept), _("This is what of it is still open.")]
