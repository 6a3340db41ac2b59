"""How much steel must be welded so that there will be enough.

The length of a billet goes through the chain as a straight line: scale, trim and
kerf take the same off a long one as off a short one, and drawing multiplies. Two
runs therefore foretell the length each draw needs, and whole millimetres beside it
are then tried out on the chain itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from billets.physics import Number
from billets.physics.bar import MOST_PIECES, Layer, Stack
from billets.physics.errors import PlanError, _
from billets.physics.factors import PRIORS, FactorBelief
from billets.physics.guards import LONGEST
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
    share,
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

MILLIMETRE = 1e-3
"""Steel is cut to whole millimetres [m]."""

TRIED = (1.0, 2.0)
"""Lengths by which a straight line is laid through the chain [m]."""


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
    length = float(_foretold(plan, mass, 0.0))
    if length > LONGEST:
        raise _no_length(plan, 1.0)
    run_plan(_with_length(plan, length))
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
    _check_chance(chance)
    sampled = sampled_input(plan, beliefs, seed, draws)
    least = _fitted_length(sampled, targets, chance)
    median = _fitted_length(plan, targets, chance)
    return Fit(
        stack=_with_length(plan, least).stack,
        chance=_chance(_with_length(sampled, least), targets),
        asked=chance,
        median=_with_length(plan, median).stack,
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
    _check_chance(chance)
    sampled = sampled_input(plan, beliefs, seed, draws)
    least = _fitted_pieces(sampled, targets, chance)
    median = _fitted_pieces(plan, targets, chance)
    return Fit(
        stack=least.stack,
        chance=_chance(least, targets),
        asked=chance,
        median=median.stack,
        seed=seed,
        draws=draws,
    )


def _check_chance(chance: float) -> None:
    if not 0.0 < chance < 1.0:
        raise PlanError(
            _("A chance lies between 0 and 1, not at {value}."),
            field="chance",
            value=chance,
        )


def _with_length(plan: PlanInput, length: float) -> PlanInput:
    return replace(plan, stack=replace(plan.stack, length=length))


def _chance(plan: PlanInput, targets: Sequence[Target]) -> float:
    """Return the share of draws in which mass and length suffice."""
    result = run_plan(plan)
    enough = (result.clean_mass >= mass_needed(targets)) & (
        result.clean_length >= length_needed(targets)
    )
    return share(enough)


def _foretold(plan: PlanInput, mass: float, length: float) -> Number:
    """Return the length of stack each draw needs, by a straight line [m]."""
    low, high = (run_plan(_with_length(plan, one)) for one in TRIED)
    needed: Number = 0.0
    for wanted, before, after in (
        (mass, low.clean_mass, high.clean_mass),
        (length, low.clean_length, high.clean_length),
    ):
        # A draw that is used up whatever the length gains nothing by it.
        slope = np.maximum((after - before) / (TRIED[1] - TRIED[0]), 1e-9)
        needed = np.maximum(needed, TRIED[0] + (wanted - before) / slope)
    return needed


def _fitted_length(plan: PlanInput, targets: Sequence[Target], chance: float) -> float:
    """Return the least length in whole millimetres that suffices [m]."""

    def suffices(millimetres: int) -> bool:
        return _tried(
            lambda: _with_length(plan, millimetres * MILLIMETRE), targets, chance
        )

    needed = _foretold(plan, mass_needed(targets), length_needed(targets))
    guess = float(np.quantile(needed, chance, method="inverted_cdf")) / MILLIMETRE
    longest = round(LONGEST / MILLIMETRE)
    least = least_that(suffices, math.ceil(min(guess, longest)), longest)
    if least is None:
        raise _no_length(plan, chance)
    return least * MILLIMETRE


def _no_length(plan: PlanInput, chance: float) -> PlanError:
    run_plan(_with_length(plan, LONGEST))
    return PlanError(
        _(
            "No length of stack up to {longest} suffices with a chance of {chance}; "
            "plan a thicker stack, fewer welds or less grinding."
        ),
        field="length",
        longest=LONGEST,
        chance=chance,
    )


def _tried(
    candidate: Callable[[], PlanInput], targets: Sequence[Target], chance: float
) -> bool:
    """Return whether a candidate suffices; one that cannot be made does not."""
    try:
        return _chance(candidate(), targets) >= chance
    except PlanError:
        return False


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
        lambda repeats: _tried(lambda: candidate(repeats), targets, chance),
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
