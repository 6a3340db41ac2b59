"""Attended hours: of the billet from its plan, of all else from the shop's rates.

The billet's hours come from the physics, forging the blade's from the row "forge,
normalise" of the rates (its heats and their gas are counted apart, since a forge
burns gas while nobody is paid). Every row is told by three points, whose mean is
charged; the spread of the billet's row is laid around the plan's hours.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from billets.physics.errors import _
from quotes import pert
from quotes.job import Job, KnifeJob
from quotes.money import ZERO, quantity, rounded
from quotes.rates import Rates
from shop import stages

PLACES = 4
"""Decimal places of hours in a line: a rate an hour times 0.0001 h is no cent."""


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
    """

    row: str
    label: str
    expected: Decimal
    low: Decimal
    high: Decimal


def knife_hours(job: Job, rates: Rates, knife: KnifeJob) -> dict[str, Decimal]:
    """Return the attended hours of a knife by row, its part of the billet included."""
    billet = job.billets[knife.billet]
    hours = {"billet": billet.hours * job.share_of(knife)}
    for row in stages.HOURS_ROWS:
        if row != "billet":
            hours[row] = rates.hours(row).mean * _factor(row, rates, knife)
    return {**hours, **knife.hours}


def _factor(row: str, rates: Rates, knife: KnifeJob) -> Decimal:
    """Return what the rates' hours are multiplied with for this knife."""
    if row != "handle":
        return Decimal(1)
    more = rates.value("handle_bolster") if knife.bolster else ZERO
    return rates.value(f"handle_{knife.handle}") + more


def estimates(job: Job, rates: Rates) -> tuple[HoursEstimate, ...]:
    """Return the hours of every row over all knives, and their sum, with bands.

    Means and variances of rows, billets and knives are added as if independent; one
    person's good and bad weeks make the true band of the sum wider.
    """
    means = dict.fromkeys(stages.HOURS_ROWS, ZERO)
    variances = dict.fromkeys(stages.HOURS_ROWS, ZERO)
    together: dict[int, Decimal] = {}
    for knife in job.knives:
        for row, hours in knife_hours(job, rates, knife).items():
            means[row] += hours
            if row == "billet":  # a slow billet is slow for all its knives at once
                together[knife.billet] = together.get(knife.billet, ZERO) + hours
            else:
                variances[row] += _variance(rates, row, hours)
    for hours in together.values():
        variances["billet"] += _variance(rates, "billet", hours)
    rows = [
        _estimate(row, label, means[row], variances[row])
        for row, label in stages.HOURS_ROWS.items()
    ]
    return (*rows, _whole(means, variances))


def _variance(rates: Rates, row: str, hours: Decimal) -> Decimal:
    """Return the variance of hours that scatter like their row, in proportion."""
    three = rates.hours(row)
    return three.beta_variance * (hours / three.mean) ** 2 if three.mean else ZERO


def _whole(
    means: Mapping[str, Decimal], variances: Mapping[str, Decimal]
) -> HoursEstimate:
    mean, variance = sum(means.values(), ZERO), sum(variances.values(), ZERO)
    return _estimate("all", _("All together"), mean, variance)


def _estimate(row: str, label: str, mean: Decimal, variance: Decimal) -> HoursEstimate:
    low, high = pert.band(mean, variance)
    return HoursEstimate(
        row=row,
        label=label,
        expected=rounded(mean, PLACES),
        low=quantity(low, PLACES),
        high=quantity(high, PLACES),
    )
