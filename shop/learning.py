"""Hours that learn: what this shop's knives have taught about the next one's hours.

One series for each row of hours, on x = ln(hours / driver), where the driver is what
a job is against the usual one. What is believed of x is normal with an unknown mean
and an unknown spread (normal-inverse-gamma): the shop's three points are its start,
and every finished job moves it a little.

References
----------
K. P. Murphy, Conjugate Bayesian analysis of the Gaussian distribution, University of
British Columbia 2007, sections 3 to 6 (quoted from memory, verify).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import fmean, stdev

from billets.physics.errors import Refusal, _

LEAST_WORTH, MOST_WORTH = 2, 5
"""How many jobs three points may be worth against the shop's own [1]."""

SHAPE = 3.0
"""How firmly the first spread is believed: three, so that it has a variance [1]."""

CALIBRATED = 3
"""From fewer jobs than this, hours are called uncalibrated [1]."""

LOW, P80, HIGH = 0.10, 0.80, 0.90
"""Chances of what is shown: a band outside which one in five falls, and what is not
exceeded four times in five [1]."""

MOST_SCATTER = 3.0
"""From a mean of so many medians on, hours teach nothing that could be charged [1]."""


class LearningError(Refusal):
    """Nothing can be learned from this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What the next job is expected to take, from a prior and the jobs so far.

    For the billet it is a factor on the hours the model gives; for every other row
    the hours of the usual knife [h].

    Attributes
    ----------
    mean : float
        Expected value, which is charged.
    low, median, p80, high : float
        Not exceeded one time in ten, in two, in four of five, in nine of ten.
    location, scale, freedom : float
        Of the Student t its logarithm follows.
    count : int
        Jobs it is learned from.
    """

    mean: float
    low: float
    median: float
    p80: float
    high: float
    location: float
    scale: float
    freedom: float
    count: int

    @property
    def calibrated(self) -> bool:
        """Whether enough jobs stand behind it."""
        return self.count >= CALIBRATED

    @property
    def scattered(self) -> bool:
        """Whether the jobs differ too much for their mean to be charged."""
        return self.mean > MOST_SCATTER * self.median

    @property
    def relative_variance(self) -> float:
        """Variance of the lognormal that is charged, against its mean squared [1]."""
        return math.expm1(self.scale**2 * self.freedom / (self.freedom - 2.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What is believed of x = ln(hours / driver).

    Attributes
    ----------
    centre : float
        Where x lies [1].
    worth : float
        Jobs the centre rests on, those the prior stands for included [1].
    shape, spread : float
        Of the inverse gamma its variance follows [1].
    count : int
        Jobs it has seen.
    """

    centre: float
    worth: float
    shape: float
    spread: float
    count: int = 0


def prior(mean: float, variance: float, worth: float) -> Belief:
    """Return what is believed before the first job, from three points.

    Parameters
    ----------
    mean, variance : float
        Of the three points; the mean is above zero [h, h^2].
    worth : float
        Jobs they are worth, 2 to 5 [1].

    Returns
    -------
    Belief
        Of the lognormal with that mean and variance.
    """
    if not LEAST_WORTH <= worth <= MOST_WORTH:
        raise LearningError(
            _(
                "The hours you set may be worth {least} to {most} knives, not {worth}; "
                "change it with the rates."
            ),
            field="hours_worth",
            least=LEAST_WORTH,
            most=MOST_WORTH,
            worth=worth,
        )
    if mean <= 0.0:
        raise LearningError(
            _("Hours of nothing cannot learn; enter some with the rates.")
        )
    square = math.log1p(variance / mean**2)
    return Belief(
        centre=math.log(mean) - square / 2.0,
        worth=worth,
        shape=SHAPE,
        spread=square * (SHAPE - 1.0),
    )


def updated(belief: Belief, seen: Sequence[float]) -> Belief:
    """Return a belief after some jobs, all at once; one by one comes to the same.

    Parameters
    ----------
    belief : Belief
        What was believed before.
    seen : sequence of float
        ln(hours / driver) of each job [1].

    Returns
    -------
    Belief
        What is believed now.
    """
    if not seen:
        return belief
    count, mean = len(seen), fmean(seen)
    worth = belief.worth + count
    within = sum((one - mean) ** 2 for one in seen)
    between = belief.worth * count * (mean - belief.centre) ** 2 / worth
    return Belief(
        centre=(belief.worth * belief.centre + count * mean) / worth,
        worth=worth,
        shape=belief.shape + count / 2.0,
        spread=belief.spread + (within + between) / 2.0,
        count=belief.count + count,
    )


def forecast(belief: Belief) -> Forecast:
    """Return what the next job of the usual size takes.

    Notes
    -----
    x of the next job follows a Student t, and exp of a Student t has no finite mean:
    its simulated average never settles. Median and quantiles come from the t; what is
    charged is the mean of the lognormal with the same centre and variance.
    """
    wider = 1.0 + 1.0 / belief.worth
    variance = wider * belief.spread / (belief.shape - 1.0)
    scale = math.sqrt(wider * belief.spread / belief.shape)
    freedom = round(2.0 * belief.shape)

    def not_exceeded(chance: float) -> float:
        return math.exp(belief.centre + scale * student_quantile(chance, freedom))

    return Forecast(
        mean=math.exp(belief.centre + variance / 2.0),
        low=not_exceeded(LOW),
        median=math.exp(belief.centre),
        p80=not_exceeded(P80),
        high=not_exceeded(HIGH),
        location=belief.centre,
        scale=scale,
        freedom=float(freedom),
        count=belief.count,
    )


# --- Student's t -------------------------------------------------------------------


@lru_cache(maxsize=4096)
def student_quantile(chance: float, freedom: int) -> float:
    """Return the value a Student t does not exceed with a chance between 0 and 1.

    Newton's method from zero: the chance is concave in the angle, so that no step
    goes too far.

    >>> round(student_quantile(0.975, 10), 3)
    2.228
    """
    wanted, angle = abs(2.0 * chance - 1.0), 0.0
    gammas = math.lgamma((freedom + 1) / 2.0) - math.lgamma(freedom / 2.0)
    steepest = 2.0 / math.sqrt(math.pi) * math.exp(gammas)
    for _step in range(100):
        slope = steepest * math.cos(angle) ** (freedom - 1)
        step = (wanted - chance_within(angle, freedom)) / slope
        angle += step
        if step <= 1e-15:
            break
    return math.copysign(math.sqrt(freedom) * math.tan(angle), chance - 0.5)


def chance_within(angle: float, freedom: int) -> float:
    """Return the chance that a Student t lies within its root of freedom x tan(angle).

    The closed form for whole degrees of freedom: M. Abramowitz and I. A. Stegun,
    Handbook of Mathematical Functions (1964), 26.7.3 and 26.7.4 (quoted from memory,
    verify).

    With one degree it is a Cauchy, half of which lies within 1:

    >>> round(chance_within(math.atan(1.0), 1), 6)
    0.5
    """
    odd = freedom % 2
    square = math.cos(angle) ** 2
    term = math.cos(angle) if odd else 1.0
    whole = term if freedom > 1 else 0.0
    for step in range(1, (freedom - odd) // 2):
        term *= square * (2 * step - 1 + odd) / (2 * step + odd)
        whole += term
    within = math.sin(angle) * whole
    return 2.0 / math.pi * (angle + within) if odd else within


# --- how far the estimates were off ---------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Bias:
    """How far jobs were from what was estimated, as ln(actual / estimate).

    Attributes
    ----------
    mean, sd : float
        Above zero means that jobs took longer; and how much they scatter [1].
    count : int
        Jobs it is taken from.
    """

    mean: float
    sd: float
    count: int

    @property
    def factor(self) -> float:
        """What the typical job took, against its estimate [1]."""
        return math.exp(self.mean)

    @property
    def flagged(self) -> bool:
        """Whether that is more than chance: beyond two standard errors."""
        return self.count > 1 and abs(self.mean) > 2.0 * self.sd / math.sqrt(self.count)


def bias(ratios: Sequence[float]) -> Bias:
    """Return how far off an estimator is, from ln(actual / estimate) of some jobs."""
    if not ratios:
        raise LearningError(_("There is no job yet to compare with its estimate."))
    sd = stdev(ratios) if len(ratios) > 1 else 0.0
    return Bias(mean=fmean(ratios), sd=sd, count=len(ratios))
