"""Stacks for several chances side by side, and the one that is cheapest."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from billets.physics.drawn_start import drawn_lump_start
from billets.physics.errors import PlanError, _
from billets.physics.factors import PRIORS, FactorBelief
from billets.physics.lengths import (
    MILLIMETRE,
    check_chance,
    least_length,
    millimetres_for,
    no_length,
)
from billets.physics.plan import PlanInput
from billets.physics.start_mass import lump_start, start_for
from billets.physics.sure import (
    Needs,
    SureStack,
    needs_of,
    stack_with,
    tried_length,
)
from billets.physics.uncertainty import DRAWS
from billets.physics.verdict import Target, share

CHANCES = (0.50, 0.80, 0.90, 0.95)
"""Chances that are shown side by side [1]."""


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


def cheapest_of(needs: Needs, *, short: float, per_mass: float) -> SureStack | None:
    """Return the stack that is cheapest when a short billet costs a known sum.

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
    SureStack or None
        In whole millimetres; None where no stack is cheaper than to be short for
        sure.
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
    return None if start is None else stack_with(needs, start.mass)


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


# --- all at once ---------------------------------------------------------------------


def stacks_for(
    plan: PlanInput,
    targets: Sequence[Target],
    beliefs: Mapping[str, FactorBelief] = PRIORS,
    chances: Sequence[float] = CHANCES,
    *,
    seed: int,
    draws: int = DRAWS,
) -> tuple[SureStack, ...]:
    """Return a stack for each of several chances, from one batch of draws.

    Parameters
    ----------
    plan : PlanInput
        The plan; the length of its stack is not looked at [SI units].
    targets : sequence of Target
        One for each knife; masses and lengths add up [kg, m].
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    chances : sequence of float
        Asked for, each between 0 and 1 [1].
    seed, draws : int
        Stream and number of draws, the same for every chance [1].

    Returns
    -------
    tuple of SureStack
        In the order of the chances; PlanError if one of them cannot be reached.
    """
    needs = needs_of(plan, targets, beliefs, seed=seed, draws=draws)
    return tuple(stack_for(needs, chance) for chance in chances)


def cheapest(
    plan: PlanInput,
    targets: Sequence[Target],
    beliefs: Mapping[str, FactorBelief] = PRIORS,
    *,
    short: float,
    per_mass: float,
    seed: int,
) -> SureStack | None:
    """Return the stack that is cheapest when a short billet costs a known sum.

    Parameters
    ----------
    plan : PlanInput
        The plan; the length of its stack is not looked at [SI units].
    targets : sequence of Target
        One for each knife; masses and lengths add up [kg, m].
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    short : float
        What a short billet costs, not below zero [currency].
    per_mass : float
        What a kilogram more of stack costs: steel, gas and time [currency/kg].
    seed : int
        Stream of the draws [1].

    Returns
    -------
    SureStack or None
        In whole millimetres; None where no stack pays.
    """
    needs = needs_of(plan, targets, beliefs, seed=seed)
    return cheapest_of(needs, short=short, per_mass=per_mass)
