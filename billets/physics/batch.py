"""Many chains as one batch: arrays of candidates times draws through the one chain."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from billets.physics import Number
from billets.physics.bar import Layer, Stack
from billets.physics.chains import Chains, Means, Measures
from billets.physics.factors import Factors
from billets.physics.first_stacks import Kit
from billets.physics.plan import PlanInput
from billets.physics.state import Mask
from billets.physics.steps import Cut, Draw, Fold, Grind, Step, Trim, Weld

FIRST_TRIM, LATER_TRIM = 0.010, 0.005
"""Off each end after the first weld and later, common practice, no source [m]."""

CYCLE_STEPS = 6
"""Steps of a cycle: weld, draw, trim, grind, cut, fold [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forging:
    """What is the same for every chain of a batch.

    Attributes
    ----------
    means : Means
        Bars and equipment.
    welding : float
        Steel temperature at the welds [K].
    thickness : float
        Of the bar at the end [m].
    """

    means: Means
    welding: float
    thickness: float


def one_plan(
    chains: Chains, place: int, length: float, forging: Forging, factors: Factors
) -> PlanInput:
    """Return one chain as a plan of its own.

    Parameters
    ----------
    chains : Chains
        All of them.
    place : int
        Which one.
    length : float
        Of its stack [m].
    forging : Forging
        What it is made with.
    factors : Factors
        The shop's own factors [1].

    Returns
    -------
    PlanInput
        The plan [SI units].
    """
    kit, pieces = kit_of(chains, place)
    bars = [kit.bars[one] for one in kit.order(pieces)]
    steps: list[Step] = []
    for cycle, count in enumerate(chains.cuts[place].tolist()):
        if not count:
            break
        width, thickness = chains.width[place], chains.thickness[place, cycle]
        restack = Fold() if chains.folded[place, cycle] else Cut(pieces=count)
        steps += [*_drawn(cycle, float(width), float(thickness), forging), restack]
    return PlanInput(
        stack=Stack(
            tuple(Layer(bar.steel, bar.thickness) for bar in bars),
            length,
            float(chains.width[place]),
        ),
        steps=(*steps, *_last(float(chains.bar_width[place]), forging)),
        forge=forging.means.forge,
        tool=forging.means.tool,
        saw=forging.means.saw,
        factors=factors,
    )


def batch_plan(
    chains: Chains, lengths: Measures, forging: Forging, factors: Factors
) -> PlanInput:
    """Return all chains as one batch.

    Parameters
    ----------
    chains : Chains
        Those of most welds first.
    lengths : array (candidates,)
        Of their stacks [m].
    forging : Forging
        What they are made with.
    factors : Factors
        The shop's own factors, the same draws for every chain [1].

    Returns
    -------
    PlanInput
        Arrays of shape (candidates x draws,), the draws of one chain side by side.
    """
    draws = max(np.size(getattr(factors, one.name)) for one in fields(factors))

    def each(values: NDArray[Any]) -> NDArray[Any]:
        return np.repeat(values, draws)

    width = each(chains.width)
    steps: list[Step] = []
    on: list[Mask] = []
    for cycle in range(chains.cuts.shape[1]):
        pieces, folded = chains.cuts[:, cycle], chains.folded[:, cycle]
        thickness = each(chains.thickness[:, cycle])
        taken = each(pieces > 0)
        steps += _drawn(cycle, width, thickness, forging)
        on += [taken] * 4
        steps += [Cut(pieces=cast(int, each(pieces))), Fold()]
        on += [each((pieces > 0) & ~folded), each(folded)]
    last = _last(each(chains.bar_width), forging)
    means = forging.means
    return PlanInput(
        stack=_stack(chains, each(lengths), width, draws),
        steps=(*steps, *last),
        forge=means.forge,
        tool=means.tool,
        saw=means.saw,
        factors=_tiled(factors, len(chains)),
        on=(*on, *(True for _step in last)),
    )


def kit_of(chains: Chains, place: int) -> tuple[Kit, int]:
    """Return the bars a chain is laid of, and how many pieces it begins with."""
    row = int(chains.row[place])
    stacks = chains.stacks
    return stacks.kits[int(stacks.kit[row])], int(stacks.pieces[row])


def _drawn(
    cycle: int, width: Number, thickness: Number, forging: Forging
) -> tuple[Step, ...]:
    """Return a cycle up to its restack: weld, draw, trim, grind."""
    return (
        Weld(temperature=forging.welding),
        Draw(width=width, thickness=thickness),
        Trim(per_end=LATER_TRIM if cycle else FIRST_TRIM),
        Grind(),
    )


def _last(width: Number, forging: Forging) -> tuple[Step, ...]:
    """Return the last weld and the draw to the bar, which stays as forged."""
    return (
        Weld(temperature=forging.welding),
        Draw(width=width, thickness=forging.thickness),
    )


def _stack(chains: Chains, length: Number, width: Number, draws: int) -> Stack:
    """Return the stacks of a batch: each steel one layer, as thick as its pieces."""
    stacks = chains.stacks
    thickness = np.array([[bar.thickness for bar in kit.bars] for kit in stacks.kits])
    piled = stacks.counts[chains.row] * thickness[stacks.kit[chains.row]]
    layers = tuple(
        # What a plan keeps as one number is an array here: the batch is many plans.
        Layer(bar.steel, cast(float, np.repeat(piled[:, place], draws)))
        for place, bar in enumerate(stacks.kits[0].bars)
    )
    return Stack(layers, length, width)


def _tiled(factors: Factors, times: int) -> Factors:
    """Return the same draws again for every chain."""
    values = {one.name: getattr(factors, one.name) for one in fields(factors)}
    return replace(
        factors,
        **{
            name: np.tile(value, times)
            for name, value in values.items()
            if isinstance(value, np.ndarray)
        },
    )
