"""When work will be done: hours ahead against hours a week, as a chance.

Nothing here knows a calendar: holidays, leave and quiet hours are not in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from billets.physics.errors import PlanError, _

STANDARD = NormalDist()

MOST_WEEKS = 520
"""Ten years; who waits longer has no date [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Workload:
    """What is to be done, and what a week at the bench gets done.

    Attributes
    ----------
    hours, hours_spread : float
        Attended hours ahead and their standard deviation [h].
    week, week_spread : float
        Hours at the bench in a week, mean and standard deviation; admin, sickness and
        holidays are off already [h].
    """

    hours: float
    hours_spread: float
    week: float
    week_spread: float

    def __post_init__(self) -> None:
        if not self.week > 0:
            raise PlanError(
                _("Say how many hours a week go into knives; it must be above zero."),
                field="bench_week",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class WeeksNeeded:
    """How long the work takes, a normal spread around its mean.

    Attributes
    ----------
    mean, spread : float
        Mean and standard deviation [week].
    """

    mean: float
    spread: float

    def within(self, chance: float) -> float:
        """Return the weeks that suffice with a chance, between 0 and 1 [week]."""
        if not self.spread:
            return self.mean
        return NormalDist(self.mean, self.spread).inv_cdf(chance)


def chance_within(load: Workload, weeks: float) -> float:
    """Return the chance that the work is done within some weeks.

    Parameters
    ----------
    load : Workload
        What is ahead, and what a week gets done [h].
    weeks : float
        Time there is; a part of a week counts as that part of its hours [week].

    Returns
    -------
    float
        Chance [1].

    Notes
    -----
    Phi((n W - H)/sqrt(s_H^2 + n s_W^2)): n weeks give the sum of n normal weeks, and
    H is normal too. Exact for whole weeks; no derivation is published with it.

    Examples
    --------
    >>> round(chance_within(Workload(hours=60, hours_spread=0, week=30,
    ...                              week_spread=6), 2), 2)
    0.5
    """
    if weeks <= 0:
        return 0.0 if load.hours > 0 else 1.0
    spare = weeks * load.week - load.hours
    spread = math.sqrt(load.hours_spread**2 + weeks * load.week_spread**2)
    if not spread:
        return 1.0 if spare >= 0 else 0.0
    return STANDARD.cdf(spare / spread)


def weeks_needed(load: Workload) -> WeeksNeeded:
    """Return how long the work takes.

    Parameters
    ----------
    load : Workload
        What is ahead, and what a week gets done [h].

    Returns
    -------
    WeeksNeeded
        Mean and standard deviation [week].

    Notes
    -----
    Normal approximation: mean H/W, variance (s_H^2 + s_W^2 H/W)/W^2. Good while the
    spread is small against the mean; for whole weeks ``chance_within`` is exact.
    """
    mean = load.hours / load.week
    variance = load.hours_spread**2 + load.week_spread**2 * mean
    return WeeksNeeded(mean=mean, spread=math.sqrt(variance) / load.week)


def weeks_for(load: Workload, chance: float, left: float = 0.0) -> int | None:
    """Return the first number of whole weeks that suffices with a chance.

    Parameters
    ----------
    load : Workload
        What is ahead, and what a week gets done [h].
    chance : float
        Asked for, between 0 and 1 [1].
    left : float
        What is left of the week that runs, counted beside the whole ones [week].

    Returns
    -------
    int or None
        Weeks; None where ten years do not suffice [week].
    """
    return next(
        (
            weeks
            for weeks in range(MOST_WEEKS + 1)
            if chance_within(load, left + weeks) >= chance
        ),
        None,
    )
