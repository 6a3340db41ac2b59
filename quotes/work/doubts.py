"""What looks wrong in hours that are about to be written down."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from billets.physics.errors import Flag, _
from quotes.errors import QuoteError
from quotes.money import quantity
from quotes.rates import Rates
from quotes.work.drivers import scale_on
from quotes.work.learned import learned_hours
from shop import stages, work
from shop.learning import LearningError
from shop.models import Knife

TIMES = 4.0
"""From so many times what knives taught, and from so small a part, is asked [1]."""

TIMES_MOST = 2.0
"""From so many times the most of the three points is asked [1]."""

SHORTEST = Decimal("0.25")
"""The least that is ticked: of a row in hand it may be all of a day's work [h]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """What a row of a knife should take, and from where on it is asked about [h]."""

    expected: float
    low: float
    high: float


def doubts(knife: Knife, spent: Sequence[work.Spent], day: dt.date) -> tuple[Flag, ...]:
    """Return what looks wrong; each flag's field is the row it asks about.

    Where the shop's rates cannot be reckoned with, nothing is asked.
    """
    told = [one for one in spent if one.hands_on]
    if not told:
        return ()
    try:
        scale = scale_on(day)
        rates = replace(scale, learned=learned_hours(scale))
        return tuple(_doubts(knife, told, rates))
    except (QuoteError, LearningError):
        return ()


def _doubts(knife: Knife, told: Sequence[work.Spent], rates: Rates) -> Iterator[Flag]:
    before = work.written_so_far(knife)
    for row in dict.fromkeys(one.row for one in told):
        own = [one for one in told if one.row == row]
        usual = usual_of(rates, row, own[-1].driver)
        once = sum((one.hands_on for one in own if not one.again), Decimal(0))
        whole = once + before.get(row, Decimal(0))
        twice = sum((one.hands_on for one in own if one.again), Decimal(0))
        if usual is None:
            continue
        few = once and whole < usual.low and _is_all(knife, row, whole)
        if few or whole > usual.high:
            yield _doubt(row, whole, usual)
        elif twice > usual.high:
            yield _doubt(row, twice, usual)


def _is_all(knife: Knife, row: str, hours: Decimal) -> bool:
    """Tell whether hours are not just the beginning of a row that is in hand."""
    return hours < SHORTEST or work.is_past(knife, row)


def _doubt(row: str, hours: Decimal, usual: Usual) -> Flag:
    return Flag(
        message=_("“{row}” comes to {told} h; about {foreseen} h are expected."),
        field=row,
        values={
            "row": stages.HOURS_ROWS[row],
            "told": hours.normalize(),
            "foreseen": quantity(usual.expected, 2).normalize(),
        },
    )


def usual_of(rates: Rates, row: str, driver: float) -> Usual | None:
    """Return what a row should take, from its knives or else from its three points.

    None where nothing is told of the row, or a job is too small to say.
    """
    three, known = rates.hours(row), rates.learned.get(row)
    if not (three.mean and work.teaches(row, driver)):
        return None
    if known is not None and known.calibrated:
        expected = known.mean * driver
        return Usual(expected=expected, low=expected / TIMES, high=expected * TIMES)
    # Of the billet the driver is the hours of its plan, with the spread of its points.
    unit = driver / float(three.mean) if row == work.BILLET else driver
    return Usual(
        expected=float(three.mean) * unit,
        low=float(three.least) * unit / TIMES,
        high=float(three.most) * unit * TIMES_MOST,
    )
