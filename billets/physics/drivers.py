"""What makes a billet uncertain: which factor of the shop, and by how much.

Factors are drawn independently of one another, so the variance of what is left falls
into a part for each of them and a rest that only several together make. The part of
one is the correlation ratio: the spread of the means of draws alike in that factor
(Pearson; textbook knowledge, quoted from memory, verify).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from billets.physics import Number
from billets.physics.factors import (
    PRIORS,
    WELD_HEAT_OFFSETS,
    FactorBelief,
    Factors,
    medians,
)
from billets.physics.plan import PlanInput, run_plan
from billets.physics.uncertainty import BAND, DRAWS, sampled_input

GROUPS, FEWEST = 20, 25
"""Into how many groups alike in a cause draws are put, and how few are one [1]."""

ENDS = (BAND[0], BAND[-1])
"""Shares of draws below the two ends a factor is set to, one at a time [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """What one factor does to the steel at the end of a plan.

    Attributes
    ----------
    name : str
        A field of `Factors`.
    share : float
        Part of the variance that it makes alone [1].
    usual, low, high : float
        The factor at its median, where one draw in ten is below it, and where one in
        ten is above [1].
    at_low, at_high : float
        Steel at the end with it so, all other factors at their medians [kg].
    """

    name: str
    share: float
    usual: float
    low: float
    high: float
    at_low: float
    at_high: float

    @property
    def swing(self) -> float:
        """How far apart the two ends are [kg]."""
        return abs(self.at_high - self.at_low)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drivers:
    """What makes the steel at the end of a plan uncertain.

    Attributes
    ----------
    rows : tuple of Driver
        Factors that move it at all, the one with the largest share first.
    together : float
        Part of the variance that no factor makes alone [1].
    middle : float
        Steel at the end with all factors at their medians [kg].
    seed, draws : int
        With them the same shares come again [1].
    """

    rows: tuple[Driver, ...]
    together: float
    middle: float
    seed: int
    draws: int


def drivers(
    plan: PlanInput,
    beliefs: Mapping[str, FactorBelief] = PRIORS,
    *,
    seed: int,
    draws: int = DRAWS,
) -> Drivers:
    """Return what makes the steel at the end of a plan uncertain.

    Parameters
    ----------
    plan : PlanInput
        The plan; its own factors are replaced [SI units].
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    seed, draws : int
        Stream and number of draws [1].

    Returns
    -------
    Drivers
        Factors by their share of the variance [1], with what each does alone [kg].
    """
    sampled = sampled_input(plan, beliefs, seed, draws)
    masses = run_plan(sampled).clean_mass
    return drivers_of(sampled, masses, beliefs, seed=seed)


def drivers_of(
    sampled: PlanInput,
    masses: Number,
    beliefs: Mapping[str, FactorBelief] = PRIORS,
    *,
    seed: int,
) -> Drivers:
    """Return the same of draws that have been run through the chain already.

    Parameters
    ----------
    sampled : PlanInput
        The plan with its factors drawn [SI units].
    masses : float or array (draws,)
        Steel at its end [kg].
    beliefs : mapping of str to FactorBelief
        What the factors were drawn from [1].
    seed : int
        With which they were drawn [1].

    Returns
    -------
    Drivers
        Factors by their share of the variance [1], with what each does alone [kg].
    """
    usual, ends, masses = medians(beliefs), _ends(beliefs), np.asarray(masses)
    middle, alone = _one_at_a_time(sampled, usual, ends)
    rows = [
        Driver(
            name=name,
            share=_share(getattr(sampled.factors, name), masses),
            usual=float(getattr(usual, name)),
            low=ends[name][0],
            high=ends[name][1],
            at_low=at_low,
            at_high=at_high,
        )
        for name, (at_low, at_high) in alone.items()
        if (at_low, at_high) != (middle, middle)
    ]
    rows.sort(key=lambda row: (-row.share, -row.swing))
    return Drivers(
        rows=tuple(rows),
        together=max(0.0, 1.0 - sum(row.share for row in rows)) if rows else 0.0,
        middle=middle,
        seed=seed,
        draws=masses.size,
    )


def _ends(beliefs: Mapping[str, FactorBelief]) -> dict[str, tuple[float, float]]:
    """Return for each factor that is drawn what it is in two draws of ten [1]."""
    found: dict[str, tuple[float, float]] = {}
    for name in (one.name for one in fields(Factors)):
        if name == "weld_heats":
            low, high = np.quantile(WELD_HEAT_OFFSETS, ENDS, method="inverted_cdf")
            found[name] = float(low), float(high)
        elif name in beliefs:
            belief = beliefs[name]
            places = [NormalDist().inv_cdf(end) * belief.spread() for end in ENDS]
            low, high = belief.median * np.exp(places)
            found[name] = float(low), float(high)
    return found


def _one_at_a_time(
    plan: PlanInput,
    usual: Factors,
    ends: Mapping[str, tuple[float, float]],
) -> tuple[float, dict[str, tuple[float, float]]]:
    """Return the steel at the medians, and with each factor at its two ends [kg].

    One batch: first the medians, then two draws for each factor.
    """
    table: dict[str, Number] = {}
    for place, (name, pair) in enumerate(ends.items()):
        values = np.full(1 + 2 * len(ends), float(getattr(usual, name)))
        values[1 + 2 * place : 3 + 2 * place] = pair
        table[name] = values
    factors = replace(usual, **table)
    masses = np.asarray(run_plan(replace(plan, factors=factors)).clean_mass).tolist()
    pairs = zip(masses[1::2], masses[2::2], strict=True)
    return masses[0], dict(zip(ends, pairs, strict=True))


def _share(cause: Number, outcome: NDArray[np.float64]) -> float:
    """Return which part of the variance of an outcome one cause makes alone [1].

    The spread of the means of draws that are alike in the cause, over the whole
    spread; less what as many groups would show by mere chance.
    """
    groups = _alike(np.asarray(cause))
    counts = np.bincount(groups)
    means = np.bincount(groups, weights=outcome) / counts
    spread = float(np.var(outcome))
    if spread == 0.0 or counts.size == 1:
        return 0.0
    between = float(np.sum(counts * (means - outcome.mean()) ** 2)) / outcome.size
    left = (1.0 - between / spread) * (outcome.size - 1) / (outcome.size - counts.size)
    return max(0.0, 1.0 - left)


def _alike(cause: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return a number for each draw, the same for those alike in a cause."""
    values, which = np.unique(cause, return_inverse=True)
    if values.size <= GROUPS:
        return which
    groups = max(2, min(GROUPS, cause.size // FEWEST))
    return which * groups // values.size
