"""The same plan for many shops that might be this one: bands and chances."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from billets.physics import Number
from billets.physics.factors import FactorBelief, sample
from billets.physics.plan import PlanInput, PlanResult, run_plan

DRAWS = 4000
"""Draws of a sampled plan: the chance of sufficing is then good to 1 % [1]."""

BAND = (0.10, 0.50, 0.90)
"""Shares of draws below the three figures of a band [1]."""

TOTALS = (
    "bar_mass",
    "clean_mass",
    "retained",
    "heats",
    "forge_seconds",
    "attended_seconds",
    "gas",
)
"""Fields of a plan's result that are shown with a band."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Where a figure will probably lie.

    Attributes
    ----------
    low, middle, high : float
        One draw in ten is below low, one in two below middle, one in ten above
        high [unit of the figure].
    """

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StepBand:
    """The billet after one step, with its bands.

    Attributes
    ----------
    kind : str
        "start" or the kind of the step.
    number : int
        Place in the plan, 0 for the start [1].
    mass : Band
        Steel in the billet [kg].
    length : Band
        Length, cold [m].
    """

    kind: str
    number: int
    mass: Band
    length: Band


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SampledPlan:
    """A plan under all that is uncertain about it.

    Attributes
    ----------
    result : PlanResult
        Every figure as an array (draws,) [SI units].
    steps : tuple of StepBand
        The billet at the start and after every step.
    totals : mapping of str to Band
        Bands of the figures named in `TOTALS` [their units].
    seed, draws : int
        With them the same draws come again, with this version of numpy [1].
    """

    result: PlanResult
    steps: tuple[StepBand, ...]
    totals: Mapping[str, Band]
    seed: int
    draws: int

    def chance(self, needed: float) -> float:
        """Return the share of draws [1] that end with at least a mass [kg]."""
        return float(np.mean(self.result.clean_mass >= needed))


def sampled_input(
    plan: PlanInput, beliefs: Mapping[str, FactorBelief], seed: int, draws: int
) -> PlanInput:
    """Return the plan with its factors drawn at random.

    Parameters
    ----------
    plan : PlanInput
        The plan; its own factors are replaced.
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    seed : int
        Start of the stream of chance [1].
    draws : int
        How many draws [1].

    Returns
    -------
    PlanInput
        The same plan, factors of shape (draws,) [1].
    """
    return replace(plan, factors=sample(beliefs, np.random.default_rng(seed), draws))


def sample_plan(
    plan: PlanInput,
    beliefs: Mapping[str, FactorBelief],
    seed: int,
    draws: int = DRAWS,
) -> SampledPlan:
    """Run a plan for many shops that might be this one.

    Parameters
    ----------
    plan : PlanInput
        The plan; its own factors are replaced.
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    seed : int
        Start of the stream of chance; keep it beside the result [1].
    draws : int
        How many draws [1].

    Returns
    -------
    SampledPlan
        Arrays of shape (draws,), and bands [SI units].
    """
    result = run_plan(sampled_input(plan, beliefs, seed, draws))
    rows = [step.mass for step in result.steps]
    rows += [step.length for step in result.steps]
    rows += [getattr(result, name) for name in TOTALS]
    bands = _bands(rows, draws)
    count = len(result.steps)
    return SampledPlan(
        result=result,
        steps=tuple(
            StepBand(kind=step.kind, number=step.number, mass=mass, length=length)
            for step, mass, length in zip(
                result.steps, bands[:count], bands[count : 2 * count], strict=True
            )
        ),
        totals=dict(zip(TOTALS, bands[2 * count :], strict=True)),
        seed=seed,
        draws=draws,
    )


def _bands(rows: list[Number], draws: int) -> list[Band]:
    """Return a band for each row of draws, found in one pass."""
    table = np.stack([np.broadcast_to(row, (draws,)) for row in rows])
    low, middle, high = np.quantile(table, BAND, axis=1).tolist()
    return [
        Band(low=one, middle=two, high=three)
        for one, two, three in zip(low, middle, high, strict=True)
    ]
