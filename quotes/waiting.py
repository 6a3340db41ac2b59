"""Quotes without an answer: which wait on the customer, and which on the shop.

A customer cannot say yes to a quote that has run out, or whose knives are other ones by
now: it waits for a new revision, and nobody but the shop can make one.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from quotes.models import Quote
from quotes.services import is_as_quoted
from shop import stages
from shop.models import Knife, Order

MOST = 8
"""So many orders a list shows; the rest is in the table of orders."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """Quoted orders, oldest first, each with why it needs a new revision, if it does.

    Attributes
    ----------
    rows : sequence of (Order, str)
        The first of them.
    more : bool
        Whether there are others.
    """

    rows: Sequence[tuple[Order, str]]
    more: bool


def waiting_quotes() -> tuple[Waiting, Waiting]:
    """Return what waits on the shop and what on the customer; in five queries."""
    found = Order.objects.filter(state="quoted").order_by("pk")
    keys, why = list(found.values_list("pk", flat=True)), _outdated()
    again = [pk for pk in keys if pk in why]
    asked = [pk for pk in keys if pk not in why]
    shown = [*again[:MOST], *asked[:MOST]]
    orders = Order.objects.filter(pk__in=shown).for_list().in_bulk()
    return _list(again, orders, why), _list(asked, orders, why)


def _list(
    keys: Sequence[int], orders: dict[int, Order], why: dict[int, str]
) -> Waiting:
    rows = [(orders[pk], why.get(pk, "")) for pk in keys[:MOST]]
    return Waiting(rows=rows, more=len(keys) > MOST)


def _outdated() -> dict[int, str]:
    """Return why the last quotes of orders cannot be accepted any more."""
    rows = Quote.objects.filter(order__state="quoted").order_by("revision")
    kept = rows.values_list("order", "valid_until", "basis__knives")
    last = {order: (until, knives or ()) for order, until, knives in kept}
    now, today = _knives(), timezone.localdate()
    found = {pk: _why(*one, now[pk], today) for pk, one in last.items()}
    return {pk: why for pk, why in found.items() if why}


def _why(
    until: dt.date, kept: Sequence[dict[str, Any]], now: list[Knife], day: dt.date
) -> str:
    if until < day:
        return _("The quote has run out: issue a new revision.")
    if not is_as_quoted(kept, now):
        return _("A knife is not as quoted any more, so that no yes can be given: "
                 "issue a new revision.")  # fmt: skip
    return ""


def _knives() -> defaultdict[int, list[Knife]]:
    """Return the knives of quoted orders that are still to be paid for, by order."""
    found: defaultdict[int, list[Knife]] = defaultdict(list)
    rows = Knife.objects.filter(order__state="quoted").select_related("target")
    for knife in rows.exclude(stage__in=stages.EXITS):
        found[knife.order_id].append(knife)
    return found
