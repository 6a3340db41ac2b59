"""How much steel must be welded so that there will be enough.

By length, cut to whole millimetres (`lengths`), or by pieces, as many as pass the door.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from billets.physics.bar import MOST_PIECES, Layer, Stack
from billets.physics.errors import PlanError, _
from billets.physics.factors import PRIORS, FactorBelief
from billets.physics.guards import LONGEST
from billets.physics.lengths import (
    MILLIMETRE,
    chance_with,
    check_chance,
    least_length,
    needed_lengths,
    no_length,
    tried,
    with_length,
)
from billets.physics.plan import PlanInput, run_plan
from billets.physics.search import least_that
from billets.physics.state import typical
from billets.physics.uncertainty import DRAWS, sampled_input
from billets.physics.verdict import (
    CHANCE,
    Target,
    Verdict,
    length_needed,
    mass_needed,
    verdict,
)

__all__ = [
    "Fit",
    "Target",
    "Verdict",
    "fit_length",
    "fit_pieces",
    "start_length",
    "verdict",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A stack that suffices.

    Attributes
    ----------
    stack : Stack
        The stack to weld, for the chance asked for [m].
    chance, asked : float
        Chance that it suffices, and the chance asked for [1].
    median : Stack
        The stack that just suffices if everything goes as planned [m].
    seed, draws : int
        With them the same fit comes again [1].
    """

    stack: Stack
    chance: float
    asked: float
    median: Stack
    seed: int
    draws: int


def start_length(plan: PlanInput, mass: float) -> float:
    """Return the length of stack that ends with a mass, if all goes as planned.

    Parameters
    ----------
    plan : PlanInput
        A plain plan; the length of its stack is not looked at [SI units].
    mass : float
        Steel wanted at the end of the plan [kg].

    Returns
    -------
    float
        Length of the stack, not rounded [m].
    """
    length = float(needed_lengths(plan, mass))
    if length > LONGEST:
        raise no_length(plan, 1.0)
    if run_plan(with_length(plan, length)).clean_mass > mass * (1.0 + 1e-6):
        # The shortest that can be cut gives more: a shorter one says what is wrong.
        run_plan(with_length(plan, length - MILLIMETRE))
    return length


def fit_length(
    plan: PlanInput,
    targets: Sequence[Target],
    beliefs: Mapping[str, FactorBelief] = PRIORS,
    *,
    chance: float = CHANCE,
    seed: int,
    draws: int = DRAWS,
) -> Fit:
    """Return the shortest stack, in whole millimetres, that suffices with a chance.

    Parameters
    ----------
    plan : PlanInput
        The plan; the length of its stack is not looked at [SI units].
    targets : sequence of Target
        One for each knife; masses and lengths add up [kg, m].
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    chance : float
        Chance asked for, between 0 and 1 [1].
    seed, draws : int
        Stream and number of draws, the same for every length tried [1].

    Returns
    -------
    Fit
        The stack, and beside it the one for a plan without surprises [m].
    """
    check_chance(chance)
    sampled = sampled_input(plan, beliefs, seed, draws)
    least = _fitted_length(sampled, targets, chance)
    median = _fitted_length(plan, targets, chance)
    return Fit(
        stack=with_length(plan, least).stack,
        chance=chance_with(with_length(sampled, least), targets),
        asked=chance,
        median=with_length(plan, median).stack,
        seed=seed,
        draws=draws,
    )


def fit_pieces(
    plan: PlanInput,
    targets: Sequence[Target],
    beliefs: Mapping[str, FactorBelief] = PRIORS,
    *,
    chance: float = CHANCE,
    seed: int,
    draws: int = DRAWS,
) -> Fit:
    """Return the stack of fewest pieces that suffices with a chance.

    Parameters
    ----------
    plan : PlanInput
        The plan; its stack shows the order of steels, length and width [SI units].
    targets : sequence of Target
        One for each knife; masses and lengths add up [kg, m].
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    chance : float
        Chance asked for, between 0 and 1 [1].
    seed, draws : int
        Stream and number of draws, the same for every stack tried [1].

    Returns
    -------
    Fit
        The stack, and beside it the one for a plan without surprises [m]. The order
        of steels goes on as it began, and ends as the stack at hand does.
    """
    check_chance(chance)
    sampled = sampled_input(plan, beliefs, seed, draws)
    least = _fitted_pieces(sampled, targets, chance)
    median = _fitted_pieces(plan, targets, chance)
    return Fit(
        stack=least.stack,
        chance=chance_with(least, targets),
        asked=chance,
        median=median.stack,
        seed=seed,
        draws=draws,
    )


def _fitted_length(plan: PlanInput, targets: Sequence[Target], chance: float) -> float:
    """Return the least length in whole millimetres that suffices [m]."""

    def suffices(millimetres: int) -> bool:
        length = millimetres * MILLIMETRE
        return tried(lambda: with_length(plan, length), targets, chance)

    needed = needed_lengths(plan, mass_needed(targets), length_needed(targets))
    return least_length(plan, chance, needed, suffices)


def _fitted_pieces(
    plan: PlanInput, targets: Sequence[Target], chance: float
) -> PlanInput:
    """Return the plan with the fewest layers that suffice."""
    period = _period(plan.stack.layers)
    base = len(plan.stack.layers) % period or period

    def candidate(repeats: int) -> PlanInput:
        layers = _continued(plan.stack.layers, base + period * (repeats - 1), period)
        return replace(plan, stack=replace(plan.stack, layers=layers))

    most = _most_repeats(plan, base, period)
    at_hand = (len(plan.stack.layers) - base) // period + 1
    least = least_that(
        lambda repeats: tried(lambda: candidate(repeats), targets, chance),
        min(at_hand, most),
        most,
    )
    if least is None:
        raise _no_pieces(plan, chance)
    return candidate(least)


def _most_repeats(plan: PlanInput, base: int, period: int) -> int:
    """Return how often the order may repeat before the stack is too tall or silly."""
    wide, high = plan.forge.door_width, plan.forge.door_height
    low, tall = min(wide, high), max(wide, high)
    room = tall if typical(plan.stack.width) <= low else low
    layers, most = plan.stack.layers, (MOST_PIECES - base) // period + 1
    begun = sum(one.thickness for one in layers[:base])
    repeat = sum(one.thickness for one in layers[:period])
    return max(1, min(most, 1 + math.floor((room - begun) / repeat + 1e-9)))


def _no_pieces(plan: PlanInput, chance: float) -> PlanError:
    # If the plan at hand cannot be made at all, that is what to say.
    run_plan(plan)
    return PlanError(
        _(
            "No number of layers that passes the forge door suffices with a chance "
            "of {chance}; plan a longer stack, fewer welds or less grinding."
        ),
        field="layers",
        chance=chance,
    )


def _period(layers: tuple[Layer, ...]) -> int:
    """Return after how many layers the order of a stack begins again."""
    return next(
        period
        for period in range(1, len(layers) + 1)
        if all(a == b for a, b in zip(layers, layers[period:], strict=False))
    )


def _continued(layers: tuple[Layer, ...], count: int, period: int) -> tuple[Layer, ...]:
    return tuple(layers[place % period] for place in range(count))
