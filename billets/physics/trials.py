"""Chains gone through as a batch: what they need, what they cost, what rules them out.

Two lengths are run; from the straight line through both comes the length each draw
needs. Where a press bends that line the two lie close to what is needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from billets.physics import Number
from billets.physics.batch import CYCLE_STEPS, Forging, batch_plan
from billets.physics.chains import Chains, Measures
from billets.physics.cheapest import Making
from billets.physics.counting import Counts
from billets.physics.estimates import Goal, steel_cost
from billets.physics.factors import Factors
from billets.physics.guards import LONGEST, THINNEST
from billets.physics.plan import PlanResult, run_plan
from billets.physics.unit_costs import UnitCosts

HOUR = 3600.0

APART = 1.4
"""One of two lengths that are run over the other [1]."""

NO_GAIN = 1e-9
"""Gain by length that stands for none, so that nothing is divided by zero."""

Part = TypeVar("Part", Making, "Seen")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """Plans run at one length each.

    Attributes
    ----------
    lengths : array (candidates,)
        Of the stacks [m].
    mass, length : array (candidates, draws)
        Of the bar at the end, 0 where it is used up [kg, m].
    cost : array (candidates,)
        Gas and hours, the mean of the draws [currency].
    """

    lengths: Measures
    mass: Measures
    length: Measures
    cost: Measures

    @classmethod
    def of(cls, result: PlanResult, lengths: Measures, costs: UnitCosts) -> Run:
        """Return what a batch, or one sampled plan, gives."""
        shape = lengths.size, -1
        mass = np.asarray(result.clean_mass).reshape(shape)
        hours = np.asarray(result.attended_seconds).reshape(shape) / HOUR
        cost = np.asarray(result.gas).reshape(shape) * costs.gas + hours * costs.hour
        return cls(
            lengths=lengths,
            mass=mass,
            length=np.asarray(result.clean_length).reshape(shape) * (mass > 0.0),
            cost=cost.mean(axis=1),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """How chains go, in the first draw of each.

    Attributes
    ----------
    lengths : array (candidates,)
        Of the stacks [m].
    pieces, heights : array (candidates, restacks)
        Length of each restack and its height, 0 where there is none [m].
    ended : array (candidates,)
        First step after which nothing is left; 0 if something is [1].
    """

    lengths: Measures
    pieces: Measures
    heights: Measures
    ended: Counts


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trial:
    """What chains need and cost.

    Attributes
    ----------
    needed : array (candidates, draws)
        Length of stack; infinite where none suffices [m].
    making : Making
        Cost by length [currency].
    near, far : Seen
        How they go at the two lengths that were run.
    """

    needed: Measures
    making: Making
    near: Seen
    far: Seen

    def of(self, left: NDArray[np.bool_]) -> Trial:
        """Return the trial of some of the chains."""
        return Trial(
            needed=self.needed[left],
            making=_some(self.making, left),
            near=_some(self.near, left),
            far=_some(self.far, left),
        )

    def but(self, again: NDArray[np.bool_], other: Trial) -> Trial:
        """Return the trial with another in the place of some of the chains."""
        needed = self.needed.copy()
        needed[again] = other.needed
        return Trial(
            needed=needed,
            making=_but(self.making, again, other.making),
            near=_but(self.near, again, other.near),
            far=_but(self.far, again, other.far),
        )


def tried_out(
    chains: Chains, about: Measures, forging: Forging, factors: Factors, goal: Goal
) -> Trial:
    """Run chains at two lengths and return what they need.

    Parameters
    ----------
    chains : Chains
        The chains.
    about : array (candidates,)
        About how long their stacks will be [m].
    forging : Forging
        What they are made with.
    factors : Factors
        The draws, the same for every chain [1].
    goal : Goal
        What must come out [kg, m].

    Returns
    -------
    Trial
        Lengths and costs.
    """
    low = np.clip(about, THINNEST, LONGEST / APART)
    lengths = low, low * APART
    near, far = (run_plan(batch_plan(chains, one, forging, factors)) for one in lengths)
    needed, making = by_line(
        Run.of(near, lengths[0], goal.costs),
        Run.of(far, lengths[1], goal.costs),
        goal,
        steel_cost(chains, goal.costs),
    )
    return Trial(
        needed=needed,
        making=making,
        near=_seen(chains, near, lengths[0]),
        far=_seen(chains, far, lengths[1]),
    )


def by_line(
    near: Run, far: Run, goal: Goal, steel: Measures
) -> tuple[Measures, Making]:
    """Return what plans need and cost by the straight lines through two runs.

    Parameters
    ----------
    near, far : Run
        The same draws at a length and at a longer one.
    goal : Goal
        What must come out [kg, m].
    steel : array (candidates,)
        Cost of a metre of stack [currency/m].

    Returns
    -------
    array (candidates, draws)
        Length needed; infinite where a draw never gives enough [m].
    Making
        Cost by length [currency].
    """
    slope = (far.cost - near.cost) / (far.lengths - near.lengths)
    making = Making(fixed=near.cost - slope * near.lengths, per_length=steel + slope)
    return needed_by_line(near, far, goal), making


def needed_by_line(near: Run, far: Run, goal: Goal) -> Measures:
    """Return the length each draw needs, by the line through two runs.

    Parameters
    ----------
    near, far : Run
        The same draws at a length and at a longer one.
    goal : Goal
        What must come out [kg, m].

    Returns
    -------
    array (candidates, draws)
        Length; infinite where a draw is used up at both [m].
    """
    short, long = near.lengths[:, np.newaxis], far.lengths[:, np.newaxis]
    needed: Measures = np.zeros(near.mass.shape)
    for wanted, before, after in (
        (goal.mass, near.mass, far.mass),
        (goal.length, near.length, far.length),
    ):
        both = (before > 0.0) & (after > before)
        # Where one of the two was used up, the other tells what a metre gives.
        alone = np.where(before > 0.0, before / short, after / long)
        rise = np.where(both, (after - before) / (long - short), alone)
        gives = np.maximum(rise, NO_GAIN)
        line = wanted / gives + np.where(both, short - before / gives, 0.0)
        needed = np.maximum(needed, np.where(rise > NO_GAIN, line, np.inf))
    return np.where(needed > LONGEST, np.inf, np.maximum(needed, THINNEST))


def _seen(chains: Chains, result: PlanResult, lengths: Measures) -> Seen:
    """Look at the first draw of each chain."""

    def first(values: Number) -> Measures:
        return np.asarray(values).reshape(len(chains), -1)[:, 0]

    def beside(rows: Sequence[Measures]) -> Measures:
        return np.array(rows).reshape(len(rows), len(chains)).T

    restacked = result.steps[CYCLE_STEPS::CYCLE_STEPS]
    there = chains.cuts > 0
    gone = beside([first(step.mass) for step in result.steps]) <= 0.0
    return Seen(
        lengths=lengths,
        pieces=beside([first(one.length) for one in restacked]) * there,
        heights=beside([first(one.thickness) for one in restacked]) * there,
        ended=np.where(gone.any(axis=1), gone.argmax(axis=1), 0),
    )


def _some(whole: Part, left: NDArray[np.bool_]) -> Part:
    """Return a thing of arrays (candidates, ...) for some of the candidates."""
    kept = {one.name: getattr(whole, one.name)[left] for one in fields(whole)}
    return replace(whole, **kept)


def _but(whole: Part, again: NDArray[np.bool_], other: Part) -> Part:
    """Return a thing of arrays with others in the place of some candidates."""
    changed = {one.name: getattr(whole, one.name).copy() for one in fields(whole)}
    for name, values in changed.items():
        values[again] = getattr(other, name)
    return replace(whole, **changed)
