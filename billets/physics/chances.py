"""Stacks for several chances side by side, and the one that is cheapest.

One batch of draws is made once. From it comes the length each draw needs, and every
question is a question about those lengths; whatever is answered is then tried out on
the chain with the very same draws.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from billets.physics.drawn_start import drawn_lump_start
from billets.physics.errors import PlanError, _
from billets.physics.factors import PRIORS, FactorBelief
from billets.physics.guards import LONGEST
from billets.physics.lengths import (
    MILLIMETRE,
    check_chance,
    least_length,
    millimetres_for,
    needed_lengths,
    no_length,
    suffices_in,
    with_length,
)
from billets.physics.plan import PlanInput, PlanResult, run_plan
from billets.physics.start_mass import Demand, demand_of, lump_start, start_for
from billets.physics.uncertainty import DRAWS, sampled_input
from billets.physics.verdict import Target, length_needed, mass_needed, share

CHANCES = (0.50, 0.80, 0.90, 0.95)
"""Chances that are shown side by side [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SureStack:
    """A stack and how sure it is.

    Attributes
    ----------
    length, start_mass : float
        Of the stack [m, kg].
    chance : float
        Share of draws in which it suffices [1].
    spare : float
        Steel left over beyond what is needed, the mean of all draws [kg].
    """

    length: float
    start_mass: float
    chance: float
    spare: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Needs:
    """What each draw of a plan needs, so that it ends with enough.

    Attributes
    ----------
    plan : PlanInput
        The plan with its factors drawn [SI units].
    targets : tuple of Target
        What it is needed for [kg, m].
    lengths : array (draws,)
        Length of stack; infinite where no length suffices [m].
    seed, draws : int
        With them the same draws come again [1].
    """

    plan: PlanInput
    targets: tuple[Target, ...]
    lengths: NDArray[np.float64]
    seed: int
    draws: int
    tried: dict[float, SureStack | PlanError] = field(default_factory=dict)

    @property
    def per_length(self) -> float:
        """Mass of the stack over its length [kg/m]."""
        stack = self.plan.stack
        return float(stack.density * stack.width * stack.thickness)

    @property
    def demand(self) -> Demand:
        """The lognormal closest to the lengths; masses in it are metres [m]."""
        return demand_of(self.lengths)


def needs_of(
    plan: PlanInput,
    targets: Sequence[Target],
    beliefs: Mapping[str, FactorBelief] = PRIORS,
    *,
    seed: int,
    draws: int = DRAWS,
) -> Needs:
    """Return what each of many shops that might be this one needs.

    Parameters
    ----------
    plan : PlanInput
        The plan; the length of its stack is not looked at [SI units].
    targets : sequence of Target
        At least one, one for each knife; masses and lengths add up [kg, m].
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    seed, draws : int
        Stream and number of draws [1].

    Returns
    -------
    Needs
        Length of stack for each draw [m].
    """
    if not targets:
        raise PlanError(
            _(
                "No knife is to come out of this billet yet: choose it on the page "
                "of a knife."
            ),
            field="targets",
        )
    sampled = sampled_input(plan, beliefs, seed, draws)
    lengths = np.asarray(
        needed_lengths(sampled, mass_needed(targets), length_needed(targets))
    )
    return Needs(
        plan=sampled,
        targets=tuple(targets),
        lengths=np.where(lengths > LONGEST, math.inf, lengths),
        seed=seed,
        draws=draws,
    )


def stack_with(needs: Needs, length: float) -> SureStack:
    """Return how sure a stack of a length is; PlanError if it cannot be made.

    Parameters
    ----------
    needs : Needs
        Plan, targets and draws.
    length : float
        Of the stack [m].

    Returns
    -------
    SureStack
        As the chain with these draws gives it.
    """
    found = _tried(needs, length)
    if isinstance(found, PlanError):
        raise found
    return found


def _tried(needs: Needs, length: float) -> SureStack | PlanError:
    """Return what a length comes to; each length is run through the chain once."""
    key = round(length, 9)
    if key not in needs.tried:
        try:
            needs.tried[key] = _run(needs, length)
        except PlanError as error:
            needs.tried[key] = error
    return needs.tried[key]


def _run(needs: Needs, length: float) -> SureStack:
    return weighed(needs, length, run_plan(with_length(needs.plan, length)))


def weighed(needs: Needs, length: float, result: PlanResult) -> SureStack:
    """Return how sure a stack is that has been run through the chain already.

    Parameters
    ----------
    needs : Needs
        Plan, targets and draws.
    length : float
        Of the stack [m].
    result : PlanResult
        Of the plan with these draws and this length (draws,) [SI units].

    Returns
    -------
    SureStack
        Its chance [1] and what it leaves over [kg].
    """
    over = np.maximum(result.clean_mass - mass_needed(needs.targets), 0.0)
    return SureStack(
        length=length,
        start_mass=length * needs.per_length,
        chance=suffices_in(result, needs.targets),
        spare=float(np.mean(over)),
    )


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
    found = _tried(needs, guess)
    # As many draws as foretold: the line is straight, a millimetre less is too little.
    if isinstance(found, SureStack) and found.chance == _foretold(needs, guess):
        if found.chance < chance:
            raise no_length(needs.plan, chance)
        return found

    def suffices(millimetres: int) -> bool:
        made = _tried(needs, millimetres * MILLIMETRE)
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
