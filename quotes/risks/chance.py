"""What is left to chance in the cost of an order, and how it scatters."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from billets.physics.errors import _
from quotes import scrap
from quotes.errors import QuoteError
from quotes.pert import lognormal_with
from quotes.rates import Rates
from shop import stages
from shop.learning import Forecast

Draws = NDArray[np.float64]

DRAWS = 4000
"""Draws of a simulation: the chance of a loss is then good to 1 % [1]."""

FEWEST, MOST = 100, 100_000
"""Draws that say something, and that a page can wait for [1]."""

MOST_PASSES = 200
"""Stages walked for one good knife beyond which nobody would make it [1]."""

FARTHEST = 4.0
"""Draws are cut at so many times their scale [1].

With few records the logarithm of hours follows a Student t, and beyond it lie hours
no knife ever took, which would make the mean endless and the spread meaningless.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How far hours scatter around what is charged for them: a factor of mean 1.

    Attributes
    ----------
    location, scale : float
        Of the logarithm of the factor [1].
    freedom : float
        Of the Student t it follows; infinite for a normal one [1].
    """

    location: float
    scale: float
    freedom: float = math.inf

    def __post_init__(self) -> None:
        told = math.isfinite(self.location) and math.isfinite(self.scale)
        if not (told and self.scale >= 0 and self.freedom > 0):
            raise QuoteError(
                _("The spread of the hours is no number; look at the hours entered."),
                field="hours",
            )

    def draw(self, generator: np.random.Generator, draws: int) -> NDArray[np.float64]:
        """Return factors by chance, array (draws,) [1]."""
        if math.isinf(self.freedom):
            steps = generator.standard_normal(draws)
        else:
            steps = generator.standard_t(self.freedom, draws)
        cut = np.clip(steps, -FARTHEST, FARTHEST)
        factors: NDArray[np.float64] = np.exp(self.location + self.scale * cut)
        return factors


def even_spread(log_sd: float) -> Spread:
    """Return the lognormal spread of mean 1 with a log-standard deviation [1].

    >>> even_spread(0.2).location
    -0.02
    """
    return Spread(location=-(log_sd**2) / 2, scale=log_sd)


def spread_of(rates: Rates, row: str) -> Spread:
    """Return the spread of a row of hours: learned from records, else the three points.

    Notes
    -----
    Learned, the logarithm of the factor is that of the forecast less that of its mean,
    which is what is charged. The knives it was learned from were made in good weeks and
    in bad ones, so that their scatter holds that of the weeks already; it is taken out
    here, as ``weeks`` puts it back for all rows together. Of a Student t with f degrees
    of freedom the variance is scale^2 f/(f - 2), hence scale^2 - week^2 (f - 2)/f is
    what is left, not below zero. What is left has the mean 1 again, and together with
    the weeks the median and the variance of the forecast. Told by three points, the
    factor is lognormal with the beta variance of the points over the square of their
    mean; the billet's is laid around the hours of its plan.
    """
    learned = rates.learned.get(row)
    if learned is not None:
        return _without_weeks(learned, float(rates.share("week_spread")))
    three = rates.hours(row)
    if not three.mean:
        return even_spread(0.0)
    return even_spread(lognormal_with(three.mean, three.beta_variance).sigma)


def _without_weeks(learned: Forecast, week: float) -> Spread:
    """Return a learned spread without that of good and bad weeks."""
    narrower = max(0.0, 1.0 - 2.0 / learned.freedom)
    own = learned.scale**2
    weeks = min(week**2, own / narrower) if narrower else week**2
    return Spread(
        location=learned.location - math.log(learned.mean) + weeks / 2.0,
        scale=math.sqrt(max(0.0, own - weeks * narrower)),
        freedom=learned.freedom,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chance:
    """All that is left to chance, and how.

    Attributes
    ----------
    links : tuple of Link
        The chain of stages.
    spreads : mapping of str to Spread
        How far the hours of each row scatter.
    weeks : Spread
        Of all hours of the order together.
    gas : tuple of array (draws,)
        Gas burnt by each billet, as a multiple of what is planned [1].
    seed, draws : int
        Start of the stream of chance, and how many draws [1].
    """

    links: tuple[scrap.Link, ...]
    spreads: Mapping[str, Spread]
    weeks: Spread
    gas: tuple[Draws, ...]
    seed: int
    draws: int

    def __post_init__(self) -> None:
        if not FEWEST <= self.draws <= MOST:
            raise QuoteError(
                _("Between {fewest} and {most} draws are made, not {draws}."),
                field="draws", fewest=FEWEST, most=MOST, draws=self.draws,
            )  # fmt: skip
        if self.seed < 0:
            raise QuoteError(_("A seed is a number from zero on."), field="seed")
        _check_gas(self.gas, self.draws)
        _check_passes(self.links)


def _check_gas(gas: Sequence[Draws], draws: int) -> None:
    for one in gas:
        if one.shape != (draws,) or not np.all(np.isfinite(one) & (one >= 0)):
            raise QuoteError(
                _("The gas of a billet is not known in every draw; look at its plan."),
                field="gas",
            )


def _check_passes(links: Sequence[scrap.Link]) -> None:
    walked = sum(scrap.expected_passes(links))
    if walked > MOST_PASSES:
        raise QuoteError(
            _("With these chances a good knife takes {count} stages at the bench; look "
              "at how often a stage goes well."),
            field="success", count=int(walked),
        )  # fmt: skip


def chance_of(
    rates: Rates, gas: Sequence[Draws], *, seed: int, draws: int = DRAWS
) -> Chance:
    """Return what the rates leave to chance; QuoteError if that cannot be reckoned.

    Parameters
    ----------
    rates : Rates
        Hours, chances of stages and how far weeks differ.
    gas : sequence of array (draws,)
        Gas burnt by each billet, as a multiple of what is planned [1].
    seed, draws : int
        Start of the stream of chance, and how many draws [1].

    Returns
    -------
    Chance
        What ``simulate`` takes.
    """
    return Chance(
        links=rates.chain(),
        spreads={row: spread_of(rates, row) for row in stages.HOURS_ROWS},
        weeks=even_spread(float(rates.share("week_spread"))),
        gas=tuple(gas),
        seed=seed,
        draws=draws,
    )
