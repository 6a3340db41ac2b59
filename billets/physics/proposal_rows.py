"""One proposed stack, run like any plan: what the list shows of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from billets.physics.cheapest import cheapest_lengths, within
from billets.physics.estimates import Goal
from billets.physics.factors import FactorBelief
from billets.physics.first_stacks import BarOffer
from billets.physics.layers import layer_thickness
from billets.physics.lengths import MILLIMETRE, tried, with_length
from billets.physics.plan import PlanInput, run_plan
from billets.physics.search import least_that
from billets.physics.trials import APART, HOUR, Run, by_line
from billets.physics.uncertainty import Band, sample_plan, sampled_input
from billets.physics.verdict import Target, verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A chain with a length, before it is run.

    Attributes
    ----------
    plan : PlanInput
        With the shop's factors at their medians [SI units].
    bars : tuple of BarOffer
        What it is laid of, one for each letter of the order.
    order : str
        One letter a piece, from the bottom up.
    steel : float
        What a metre of stack costs, whole bar widths counted [currency/m].
    longest : float
        No longer stack can be cut from the bars [m].
    """

    plan: PlanInput
    bars: tuple[BarOffer, ...]
    order: str
    steel: float
    longest: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProposalRow:
    """A proposed stack with everything that is said of it.

    Attributes
    ----------
    plan : PlanInput
        With the shop's factors at their medians [SI units].
    bars : tuple of BarOffer
        What it is laid of, one for each letter of the order.
    order : str
        One letter a piece, from the bottom up.
    start_mass : float
        Of the stack [kg].
    layers, distinct, welds : int
        Layers by multiplication, layers told apart, and welds [1].
    layer_thickness : float
        Mean of a layer at the spine of the thinnest blade; 0 if no spine is known [m].
    heats, gas, seconds : float
        Heats [1], gas [kg] and attended time [s], if all goes as planned.
    bands : mapping of str to Band
        Where they will probably lie, as `uncertainty.TOTALS` names them.
    chance : float
        That the stack suffices [1].
    making, cost : float
        Expected cost of making it; and of that and, if it happens, of its falling
        short [currency].
    """

    plan: PlanInput
    bars: tuple[BarOffer, ...]
    order: str
    start_mass: float
    layers: int
    distinct: int
    welds: int
    layer_thickness: float
    heats: float
    gas: float
    seconds: float
    bands: Mapping[str, Band]
    chance: float
    making: float
    cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Judge:
    """By what rows are judged.

    Attributes
    ----------
    targets : tuple of Target
        What must come out [kg, m].
    goal : Goal
        The same, with what everything costs.
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    chance : float or None
        Least chance asked for [1].
    seed, draws : int
        Stream and number of draws of a row [1].
    """

    targets: tuple[Target, ...]
    goal: Goal
    beliefs: Mapping[str, FactorBelief]
    chance: float | None
    seed: int
    draws: int


def proposal_row(laid: Laid, judge: Judge) -> ProposalRow | None:
    """Return a row with the length that is cheapest, by the draws of its own plan.

    Parameters
    ----------
    laid : Laid
        The chain, about as long as it will be [m].
    judge : Judge
        By what it is judged.

    Returns
    -------
    ProposalRow or None
        None if no length suffices so surely as asked.
    """
    sampled = sampled_input(laid.plan, judge.beliefs, judge.seed, judge.draws)
    length = _cheapest(laid, sampled, judge)
    if length is None:
        return None
    row = _row(laid, length, judge)
    if judge.chance is None or row.chance >= judge.chance:
        return row
    # The line through two runs is bent by a press: look beside it.
    longer = _longer(sampled, (length, laid.longest), judge)
    return None if longer is None else _row(laid, longer, judge)


def _cheapest(laid: Laid, sampled: PlanInput, judge: Judge) -> float | None:
    """Return the cheapest length for many draws, in whole millimetres [m]."""
    about, costs = float(laid.plan.stack.length), judge.goal.costs
    # As a batch of itself: its layers need not be counted each time.
    sampled = replace(sampled, on=(True,) * len(sampled.steps))
    near, far = (
        Run.of(run_plan(with_length(sampled, one)), np.array([one]), costs)
        for one in (about, about * APART)
    )
    needed, making = by_line(near, far, judge.goal, np.array([laid.steel]))
    needed = within(needed, np.array([laid.longest]))
    found = cheapest_lengths(needed, making, costs.short, judge.chance)
    length = float(found.length[0])
    return length if np.isfinite(length) else None


def _longer(
    sampled: PlanInput, ends: tuple[float, float], judge: Judge
) -> float | None:
    """Return the least length that suffices as asked, if there is one [m]."""
    asked = judge.chance or 0.0
    millimetres = least_that(
        lambda count: tried(
            lambda: with_length(sampled, count * MILLIMETRE), judge.targets, asked
        ),
        round(ends[0] / MILLIMETRE) + 1,
        math.floor(ends[1] / MILLIMETRE + 1e-6),
    )
    return None if millimetres is None else millimetres * MILLIMETRE


def _row(laid: Laid, length: float, judge: Judge) -> ProposalRow:
    plan = with_length(laid.plan, length)
    plain = run_plan(plan)
    sampled = sample_plan(plan, judge.beliefs, judge.seed, judge.draws)
    drawn, costs = sampled.result, judge.goal.costs
    chance = verdict(drawn, judge.targets).chance
    hours = float(np.mean(drawn.attended_seconds)) / HOUR
    gas = float(np.mean(drawn.gas))
    making = laid.steel * length + gas * costs.gas + hours * costs.hour
    lost = making if costs.short is None else costs.short
    blanks = [one.thickness for one in judge.targets if one.thickness > 0.0]
    return ProposalRow(
        plan=plan,
        bars=laid.bars,
        order=laid.order,
        start_mass=float(plain.start_mass),
        layers=plain.layers,
        distinct=plain.distinct,
        welds=plain.welds,
        layer_thickness=(layer_thickness(min(blanks), plain.left) if blanks else 0.0),
        heats=float(plain.heats),
        gas=float(plain.gas),
        seconds=float(plain.attended_seconds),
        bands=sampled.totals,
        chance=chance,
        making=making,
        cost=making + lost * (1.0 - chance),
    )
