"""How much work is ahead of a knife, and when it would be done: a rough guess.

Only accepted orders count, each knife with what is left of it from its stage on, those
of failures included. Its hours go with its own size; only its billet counts as a usual
one, since plans take too long to reckon while a caller waits.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from statistics import NormalDist

from billets.physics.errors import PlanError, _
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import KnifeSpec
from quotes import scrap
from quotes.drivers import driver
from quotes.errors import QuoteError
from quotes.floor.answer import FloorPrice
from quotes.hours import HoursEstimate, scatter_of, usual_hours
from quotes.job import KnifeJob
from quotes.money import HUNDRED, ZERO
from quotes.pricing import BilletPlace, knife_job, prices_in
from quotes.rates import Rates
from shop import stages
from shop.learning import HIGH, LOW
from shop.models import Knife, Rate
from shop.schedule import WeeksNeeded, Workload, chance_within, weeks_for, weeks_needed
from shop.services import spec_of
from shop.weeks import monday_of

SURE = 0.8
"""Chance with which a week is named [1]."""

DAYS = 7
SIZES_KEPT = 512
"""Knives whose sizes are remembered: no shop has more of them at the bench [1]."""

WEEK_RATES = ("year_week_hours", "year_billable")
"""What a week at the bench is made of: rates of the shop's hour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """When a knife would be done.

    Attributes
    ----------
    hours : float
        Left of all accepted knives, without this one [h].
    knives : int
        How many they are.
    week_hours : float
        Hours at the bench in a week [h].
    needed : WeeksNeeded
        How long all of it takes, this knife included [week].
    chance : float or None
        That it is done by the end of the wanted week; None if none was named [1].
    first : date or None
        Monday of the first week by whose end it is done with a chance of ``SURE``;
        None if it is more than ten years off.
    """

    hours: float
    knives: int
    week_hours: float
    needed: WeeksNeeded
    chance: float | None
    first: dt.date | None


def ahead_of(found: FloorPrice, today: dt.date) -> Ahead:
    """Return when a knife would be done, if it were accepted today.

    QuoteError if the shop has not said how many hours a week go into knives.
    """
    week = week_hours(today)
    waiting = list(Knife.objects.in_work())
    hours, variance = ZERO, ZERO
    for knife in waiting:
        left, spread = _left(found.rates, knife.stage, job_of(knife))
        hours, variance = hours + left, variance + spread
    variance += _own_variance(found.lines.hours[-1])
    load = Workload(
        hours=float(hours + found.hours),
        hours_spread=math.sqrt(variance),
        week=float(week),
        week_spread=float(found.rates.value("bench_week_spread")),
    )
    return _ahead(load, float(hours), len(waiting), today, found.asked.wanted)


def week_hours(day: dt.date) -> Decimal:
    """Return the hours a week that customers pay, as the shop's hour has them [h]."""
    rows = Rate.objects.filter(key__in=WEEK_RATES).on(day)
    if len(rows) < len(WEEK_RATES):
        raise QuoteError(
            _("Say on the page of the shop's hour how many hours a week are paid."),
            field="year_week_hours",
        )
    worked, paid = (rows[key].value for key in WEEK_RATES)
    return worked * paid / HUNDRED


def _ahead(
    load: Workload, hours: float, knives: int, today: dt.date, wanted: dt.date | None
) -> Ahead:
    monday = monday_of(today)
    left = (monday - today).days / DAYS + 1.0
    weeks = weeks_for(load, SURE, left)
    return Ahead(
        hours=hours,
        knives=knives,
        week_hours=load.week,
        needed=weeks_needed(load),
        chance=None if wanted is None
        else chance_within(load, left + (wanted - monday).days / DAYS),
        first=None if weeks is None else monday + weeks * dt.timedelta(days=DAYS),
    )  # fmt: skip


def job_of(knife: Knife) -> KnifeJob:
    """Return a knife as its hours see it; a usual one if it cannot be reckoned."""
    try:
        return _job_of(spec_of(knife))
    except PlanError:
        return KnifeJob(
            name="", needed=Decimal(1), ground=ZERO, handle=knife.handle,
            bolster=knife.bolster_mass > 0,
        )  # fmt: skip


@lru_cache(maxsize=SIZES_KEPT)
def _job_of(spec: KnifeSpec) -> KnifeJob:
    return knife_job(
        "", spec, weigh_knife(spec),
        billet=BilletPlace(place=0, clean=False), prices=prices_in({}),
    )  # fmt: skip


def _left(rates: Rates, stage: str, knife: KnifeJob) -> tuple[Decimal, Decimal]:
    """Return the hours left of a knife from its stage on, and their variance.

    The stage it is in counts in full: nobody has written down how far it is.
    """
    rows = {
        row: usual_hours(rates, row) * driver(row, rates, knife)
        for row in stages.HOURS_ROWS
    }
    by_stage = stages.hours_by_stage(rows)
    place = tuple(by_stage).index(stage)
    passed = scrap.expected_by_stage(tuple(by_stage.values()), rates.chain())
    return sum(passed[place:], ZERO), _variance(rates, rows, tuple(by_stage)[place:])


def _variance(rates: Rates, rows: dict[str, Decimal], left: Iterable[str]) -> Decimal:
    """Return the variance of what is left, each row scattering as it is known to."""
    whole = ZERO
    for stage in left:
        for row, share in stages.stage_of(stage).hours:
            whole += (share * rows[row]) ** 2 * scatter_of(rates, row)
    return whole


def _own_variance(hours: HoursEstimate) -> Decimal:
    """Return the variance behind the band of hours of the knife that is asked for."""
    if not hours.low:
        return ZERO
    width = NormalDist().inv_cdf(HIGH) - NormalDist().inv_cdf(LOW)
    spread = math.log(hours.high / hours.low) / width
    return Decimal(math.expm1(spread**2)) * hours.expected**2
