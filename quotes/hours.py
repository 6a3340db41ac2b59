"""Attended hours: of the billet from its plan, of all else from the shop's rates.

The billet's hours come from the physics, forging the blade's from the row "forge,
normalise" of the rates (its heats and their gas are counted apart, since a forge
burns gas while nobody is paid). Every row is told by three points, whose mean is
charged, times what the knife is against the usual one; the spread of the billet's row
is laid around the plan's hours. Where the shop's own knives have taught a row, what
they taught takes the place of the three points, and of the plan's hours it is a factor
on what the model alone gives. Waiting is no attended hour and is not charged.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from billets.physics.errors import _
from quotes import pert
from quotes.drivers import driver
from quotes.job import BilletJob, Job, KnifeJob
from quotes.money import ZERO, quantity, rounded
from quotes.rates import Rates
from shop import stages
from shop.learning import HIGH, LOW, P80, Forecast

PLACES = 4
"""Decimal places of hours in a line: a rate an hour times 0.0001 h is no cent."""

FINE = 12
"""Decimal places of a relative variance, which is no quantity on paper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursEstimate:
    """Attended hours of one row, or of all, over all knives of a job.

    Attributes
    ----------
    row, label : str
        Key and label of the row; ``"all"`` for the sum.
    expected : Decimal
        What is charged [h].
    low, high : Decimal
        Not exceeded one time in ten, and nine times in ten [h].
    p80 : Decimal or None
        Not exceeded four times in five; None in what was kept before it was told [h].
    count : int
        Knives, or billets, of the shop it is learned from; 0 goes by three points.
    """

    row: str
    label: str
    expected: Decimal
    low: Decimal
    high: Decimal
    p80: Decimal | None = None
    count: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """Hours of one knife, or of one billet, and what is known of their scatter."""

    hours: Decimal
    variance: Decimal
    forecast: Forecast | None = None


def knife_hours(job: Job, rates: Rates, knife: KnifeJob) -> dict[str, Decimal]:
    """Return the attended hours of a knife by row, its part of the billet included."""
    billet = job.billets[knife.billet]
    hours = {"billet": billet_hours(rates, billet) * job.share_of(knife)}
    for row in stages.HOURS_ROWS:
        if row != "billet":
            hours[row] = usual_hours(rates, row) * driver(row, rates, knife)
    return {**hours, **knife.hours}


def billet_hours(rates: Rates, billet: BilletJob) -> Decimal:
    """Return the attended hours of a whole billet."""
    taught = rates.taught("billet")
    if taught is None or billet.model_hours is None:
        return billet.hours
    return billet.model_hours * taught


def usual_hours(rates: Rates, row: str) -> Decimal:
    """Return the hours of the usual knife: as learned, else as told.

    A billet whose plan is not looked at takes the hours told, times what is learned.
    """
    told, taught = rates.hours(row).mean, rates.taught(row)
    if taught is None:
        return told
    return told * taught if row == "billet" else taught


def scatter_of(rates: Rates, row: str, *, told: bool = False) -> Decimal:
    """Return the variance of a row's hours over their mean squared [1].

    As learned, else, or where the hours were ``told`` for one job, by the beta
    distribution of the three points.
    """
    known = None if told else rates.learned.get(row)
    if known is not None:
        return quantity(known.relative_variance, FINE)
    three = rates.hours(row)
    return three.beta_variance / three.mean**2 if three.mean else ZERO


def estimates(job: Job, rates: Rates) -> tuple[HoursEstimate, ...]:
    """Return the hours of every row over all knives, and their sum, with bands.

    Means and variances of rows, billets and knives are added as if independent; one
    person's good and bad weeks make the true band of the sum wider.
    """
    parts: dict[str, list[_Part]] = {row: [] for row in stages.HOURS_ROWS}
    together: dict[int, Decimal] = {}
    for knife in job.knives:
        for row, hours in knife_hours(job, rates, knife).items():
            if row == "billet":  # a slow billet is slow for all its knives at once
                together[knife.billet] = together.get(knife.billet, ZERO) + hours
            else:
                parts[row].append(_part(rates, row, hours, told=row in knife.hours))
    for place, hours in together.items():
        told = job.billets[place].model_hours is None
        parts["billet"].append(_part(rates, "billet", hours, told=told))
    rows = [
        _estimate(row, label, parts[row]) for row, label in stages.HOURS_ROWS.items()
    ]
    return (*rows, _whole(parts))


def _part(rates: Rates, row: str, hours: Decimal, *, told: bool) -> _Part:
    """Return hours that scatter like their row, in proportion."""
    known = None if told else rates.learned.get(row)
    relative = scatter_of(rates, row, told=told)
    return _Part(hours=hours, variance=relative * hours**2, forecast=known)


def _estimate(row: str, label: str, parts: Sequence[_Part]) -> HoursEstimate:
    known = [one.forecast for one in parts if one.forecast]
    low, p80, high = _quantiles(parts)
    return HoursEstimate(
        row=row,
        label=label,
        expected=rounded(_mean(parts), PLACES),
        low=quantity(low, PLACES),
        high=quantity(high, PLACES),
        p80=quantity(p80, PLACES),
        count=known[0].count if len(known) == len(parts) else 0,
    )


def _quantiles(parts: Sequence[_Part]) -> tuple[float, float, float]:
    """Return what is not exceeded in one of ten, in four of five, in nine of ten.

    One learned part has the quantiles it was learned with; several are added.
    """
    if len(parts) == 1 and parts[0].forecast:
        one = parts[0].forecast
        size = float(parts[0].hours) / one.mean
        return one.low * size, one.p80 * size, one.high * size
    mean, variance = _mean(parts), sum((one.variance for one in parts), ZERO)
    low, p80, high = (
        pert.not_exceeded(mean, variance, chance) for chance in (LOW, P80, HIGH)
    )
    return low, p80, high


def _mean(parts: Iterable[_Part]) -> Decimal:
    return sum((one.hours for one in parts), ZERO)


def _whole(parts: Mapping[str, Sequence[_Part]]) -> HoursEstimate:
    every = [
        _Part(hours=one.hours, variance=one.variance)
        for row in parts.values()
        for one in row
    ]
    return _estimate("all", _("All together"), every)
