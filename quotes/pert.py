"""Three-point estimates: least, likely and most hours, and what follows from them.

Two variances are in use for the same three points. This project uses the beta one:
it belongs to the distribution that is meant, and it is the wider of the two for
every row of hours. The classical one is here to be compared with.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from statistics import NormalDist

from billets.physics.errors import _
from quotes.errors import QuoteError
from shop.learning import HIGH, LOW


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreePoint:
    """Least, likely and most of something, in one unit.

    Notes
    -----
    Mean (a + 4 m + b)/6; classical variance ((b - a)/6)^2; the beta distribution on
    [a, b] with shapes 1 + 4 (m - a)/(b - a) and 1 + 4 (b - m)/(b - a) has that mean
    and the variance (mean - a)(b - mean)/7.

    References
    ----------
    R. Davis, Teaching project simulation in Excel using PERT-beta distributions,
    San Jose State University. D. G. Malcolm et al., Operations Research 7 (1959)
    646 (quoted from memory, verify).

    Examples
    --------
    >>> hours = ThreePoint(least=Decimal(2), likely=Decimal(4), most=Decimal(9))
    >>> str(hours.mean), str(round(hours.beta_variance, 4))
    ('4.5', '1.6071')
    """

    least: Decimal
    likely: Decimal
    most: Decimal

    def __post_init__(self) -> None:
        if not 0 <= self.least <= self.likely <= self.most:
            raise QuoteError(
                _(
                    "Least {least}, likely {likely} and most {most} must rise from "
                    "zero on."
                ),
                least=self.least,
                likely=self.likely,
                most=self.most,
            )

    @property
    def mean(self) -> Decimal:
        """Expected value."""
        return (self.least + 4 * self.likely + self.most) / 6

    @property
    def classical_variance(self) -> Decimal:
        """Variance of the classical rule, a sixth of the range squared."""
        return ((self.most - self.least) / 6) ** 2

    @property
    def beta_variance(self) -> Decimal:
        """Variance of the beta distribution with this mean."""
        return (self.mean - self.least) * (self.most - self.mean) / 7

    @property
    def beta_shapes(self) -> tuple[Decimal, Decimal]:
        """Both shapes of the beta distribution; (1, 1) where the range is nothing."""
        span = self.most - self.least
        if span == 0:
            return Decimal(1), Decimal(1)
        below, above = self.likely - self.least, self.most - self.likely
        return 1 + 4 * below / span, 1 + 4 * above / span


@dataclass(frozen=True, slots=True, kw_only=True)
class Lognormal:
    """A positive quantity whose logarithm is normal."""

    mu: float
    sigma: float

    def quantile(self, chance: float) -> float:
        """Return the value that is not exceeded with a chance between 0 and 1."""
        return math.exp(self.mu + NormalDist().inv_cdf(chance) * self.sigma)


def lognormal_with(mean: Decimal, variance: Decimal) -> Lognormal:
    """Return the lognormal of a given mean, above zero, and variance.

    >>> spread = lognormal_with(Decimal("5.5"), Decimal("1.361111"))
    >>> spread.mu, spread.sigma
    (1.6827, 0.2098)
    """
    square = math.log1p(variance / mean**2)
    return Lognormal(mu=math.log(mean) - square / 2, sigma=math.sqrt(square))


def band(mean: Decimal, variance: Decimal) -> tuple[float, float]:
    """Return the values not exceeded one time in ten and nine times in ten.

    >>> band(Decimal("5.5"), Decimal("1.6071"))
    (4.0, 7.2)
    """
    return not_exceeded(mean, variance, LOW), not_exceeded(mean, variance, HIGH)


def not_exceeded(mean: Decimal, variance: Decimal, chance: float) -> float:
    """Return what is not exceeded with a chance between 0 and 1.

    >>> not_exceeded(Decimal("5.5"), Decimal("1.6071"), 0.80)
    6.5
    """
    if mean == 0:
        return 0.0
    return lognormal_with(mean, variance).quantile(chance)
