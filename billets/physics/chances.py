"""Stacks for several chances side by side, and the one that is cheapest."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from billets.physics.drawn_start import drawn_lump_start
from billets.physics.errors import PlanError, _
from billets.physics.lengths import (
    MILLIMETRE,
    check_chance,
    least_length,
    millimetres_for,
    no_length,
)
from billets.physics.start_mass import lump_start, start_for
from billets.physics.sure import (
    Needs,
    SureStack,
    stack_with,
    tried_length,
)
from billets.physics.verdict import share

CHANCES = (0.50, 0.80, 0.90, 0.95)
"""Chances that are shown side by side [1]."""

Making: TypeAlias = Callable[[NDArray[np.float64]], NDArray[np.float64]]
"""What making stacks of some lengths costs [m, currency]."""


def stack_for(needs: Needs, chance: float) -> SureStack:
    """Return the shortest stack in whole millimetres that suffices with a chance.

    Parameters
    ----------
    needs : Needs
        Plan, targets and draws.
    chance : float
        Asked for, between 0 and 1 [1].

    Returns
    -------
    SureStack
        Its chance is the one asked for or a little more. PlanError if no length
        suffices so surely.
    """
    check_chance(chance)
    guess = millimetres_for(needs.lengths, chance) * MILLIMETRE
    found = tried_length(needs, guess)
    # As many draws as foretold: the line is straight, a millimetre less is too little.
    if isinstance(found, SureStack) and found.chance == _foretold(needs, guess):
        if found.chance < chance:
            raise no_length(needs.plan, chance)
        return found

    def suffices(millimetres: int) -> bool:
        made = tried_length(needs, millimetres * MILLIMETRE)
        return isinstance(made, SureStack) and made.chance >= chance

    length = least_length(needs.plan, chance, needs.lengths, suffices)
    return stack_with(needs, length)


def _foretold(needs: Needs, length: float) -> float:
    return share(needs.lengths <= length)


def formula_length(needs: Needs, chance: float) -> float:
    """Return the length for a chance as the closed form has it.

    Parameters
    ----------
    needs : Needs
        Draws, whose mean and spread of logarithms are taken.
    chance : float
        Between 0 and 1 [1].

    Returns
    -------
    float
        Not rounded; right as far as the needs are lognormal [m].
    """
    return start_for(needs.demand, chance)


def cheapest_length(needs: Needs, *, short: float, per_mass: float) -> float | None:
    """Return the length that is cheapest when a short billet costs a known sum.

    Parameters
    ----------
    needs : Needs
        Plan, targets and draws.
    short : float
        What a short billet costs, not below zero [currency].
    per_mass : float
        What a kilogram more of stack costs: steel, gas and time [currency/kg].

    Returns
    -------
    float or None
        In whole millimetres; None where no stack is cheaper than to be short for
        sure [m].
    """
    if not 0.0 <= short < math.inf:
        raise PlanError(
            _("What a short billet costs may not be below zero."), field="short"
        )
    if short == 0.0:
        return None
    start = drawn_lump_start(
        needs.lengths,
        loss=short,
        spare=per_mass * needs.per_length,
        step=MILLIMETRE,
    )
    return None if start is None else start.mass


def cheapest_made(
    needs: Needs, *, short: float, making: Making, least: float = 0.0
) -> SureStack:
    """Return the stack that is cheapest as stacks of each length are really made.

    A press of known force takes a longer bar more heats, so that the cost of making
    grows by steps and no kilogram costs the same as the next.

    Parameters
    ----------
    needs : Needs
        Plan, targets and draws.
    short : float
        What a short billet costs, not below zero [currency].
    making : callable
        What making stacks of some lengths costs [m, currency].
    least : float
        Shortest stack that is looked at [m].

    Returns
    -------
    SureStack
        In whole millimetres, of all that just suffice for one of the draws.
    """
    starts = np.sort(needs.lengths[np.isfinite(needs.lengths)])
    lengths = np.unique(np.ceil(starts / MILLIMETRE - 1e-9)) * MILLIMETRE
    lengths = lengths[lengths >= least - 1e-9]
    chances = np.searchsorted(starts, lengths + 1e-9, side="right") / needs.draws
    costs = making(lengths) + short * (1.0 - chances)
    return stack_with(needs, float(lengths[np.argmin(costs)]))


def formula_cheapest(needs: Needs, *, short: float, per_mass: float) -> float | None:
    """Return the cheapest length as the closed form has it.

    Parameters
    ----------
    needs : Needs
        Draws, whose mean and spread of logarithms are taken.
    short : float
        What a short billet costs, above zero [currency].
    per_mass : float
        What a kilogram more of stack costs [currency/kg].

    Returns
    -------
    float or None
        Not rounded; None where it finds no stack that pays [m].
    """
    spare = per_mass * needs.per_length
    start = lump_start(needs.demand, loss=short, spare=spare)
    return None if start is None else start.mass
