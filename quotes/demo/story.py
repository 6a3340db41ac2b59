"""The demo's story as data: who, what, and how many working days ago.

Every row of ``quotes/data/demo.toml`` is invented. Quantities are typed with their
units, as a smith types them; days are working days before today, weeks are counted
from this one, so that the story is always a fresh one.
"""

from __future__ import annotations

import datetime as dt
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from django.db.models import Model
from django.utils import timezone

from billets.fields import SIField
from billets.units import to_si
from shop.weeks import monday_of

STORY = Path(__file__).resolve().parent.parent / "data" / "demo.toml"
FIRST_HOUR = dt.time(8, 40)
BETWEEN = dt.timedelta(minutes=35)
UNEVEN, MORNING = 47, 300
"""Days begin so many minutes apart from one another, within so many."""

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing that happened to an order: what, when, and all that was said of it."""

    order: str
    kind: str
    at: dt.datetime
    said: Row


def read(path: Path = STORY) -> dict[str, Any]:
    """Return the story as it is written."""
    return tomllib.loads(path.read_text("utf-8"))


def acts(story: Row, today: dt.date) -> Iterator[Act]:
    """Yield everything that happened, in the order in which it did.

    Acts of one day follow one another as they are written.
    """
    told = [
        (act["ago"], number, act)
        for number, act in enumerate(_written(story["orders"]))
    ]
    busy: Counter[dt.date] = Counter()
    for ago, _number, act in sorted(told, key=lambda one: (-one[0], one[1])):
        day = workday(today, ago)
        yield Act(
            order=act["order"],
            kind=act["act"],
            at=_moment(day) + busy[day] * BETWEEN,
            said=act,
        )
        busy[day] += 1


def _written(orders: Mapping[str, Row]) -> Iterator[Row]:
    for key, order in orders.items():
        yield {**order, "order": key, "act": "ask"}
        yield from ({**act, "order": key} for act in order["acts"])


def workday(today: dt.date, ago: int) -> dt.date:
    """Return a working day so many working days before today.

    >>> workday(dt.date(2026, 3, 9), 1), workday(dt.date(2026, 3, 8), 5)
    (datetime.date(2026, 3, 6), datetime.date(2026, 2, 27))
    """
    day = np.busday_offset(np.datetime64(today), -ago, roll="backward")
    return dt.date.fromisoformat(str(day))


def week(today: dt.date, later: int) -> dt.date:
    """Return the Monday so many weeks after this week's; before it if below zero."""
    return monday_of(today) + dt.timedelta(weeks=later)


def _moment(day: dt.date) -> dt.datetime:
    """Return when the first thing of a day happened: no two days are alike."""
    first = dt.datetime.combine(day, FIRST_HOUR, timezone.get_current_timezone())
    return first + dt.timedelta(minutes=day.toordinal() * UNEVEN % MORNING)


def measured(model: type[Model], row: Row) -> dict[str, Any]:
    """Return a row's values with its typed quantities in SI."""
    kinds = {
        field.name: field.kind
        for field in model._meta.get_fields()
        if isinstance(field, SIField)
    }
    return {
        name: to_si(value, kinds[name]) if name in kinds else value
        for name, value in row.items()
    }


def typed(model: type[Model], row: Row) -> dict[str, str]:
    """Return the quantities of a row as they were typed, to keep beside the values."""
    kinds = {field.name for field in model._meta.get_fields()
             if isinstance(field, SIField)}  # fmt: skip
    return {name: value for name, value in row.items() if name in kinds}
