"""Which length of stack a plan needs, draw by draw and in whole millimetres.

What each draw needs is foretold (`needed`); whole millimetres beside that are tried
out on the chain itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from billets.physics import Number
from billets.physics.errors import PlanError, _
from billets.physics.guards import LONGEST
from billets.physics.needed import needed_lengths, with_length
from billets.physics.plan import PlanInput, PlanResult, run_plan
from billets.physics.search import least_that
from billets.physics.verdict import Target, length_needed, mass_needed, share

__all__ = ["MILLIMETRE", "needed_lengths", "with_length"]

MILLIMETRE = 1e-3
"""Steel is cut to whole millimetres [m]."""


def check_chance(chance: float) -> None:
    """Raise PlanError unless a chance [1] lies between 0 and 1."""
    if not 0.0 < chance < 1.0:
        raise PlanError(
            _("A chance lies between 0 and 1, not at {value}."),
            field="chance",
            value=chance,
        )


def suffices_in(result: PlanResult, targets: Sequence[Target]) -> float:
    """Return the share of draws [1] in which mass and length suffice."""
    enough = (result.clean_mass >= mass_needed(targets)) & (
        result.clean_length >= length_needed(targets)
    )
    return share(enough)


def chance_with(plan: PlanInput, targets: Sequence[Target]) -> float:
    """Return the share of draws [1] in which a plan ends with enough of both."""
    return suffices_in(run_plan(plan), targets)


def millimetres_for(needed: Number, chance: float) -> int:
    """Return the whole millimetres that suffice for a share of needed lengths.

    Parameters
    ----------
    needed : float or array (draws,)
        Length each draw needs [m].
    chance : float
        Share of the draws [1].

    Returns
    -------
    int
        At most those of `LONGEST` [mm].
    """
    length = float(np.quantile(needed, chance, method="inverted_cdf"))
    return math.ceil(min(length, LONGEST) / MILLIMETRE)


def least_length(
    plan: PlanInput,
    chance: float,
    needed: Number,
    suffices: Callable[[int], bool],
) -> float:
    """Return the least length in whole millimetres that suffices.

    Parameters
    ----------
    plan : PlanInput
        The plan, to say what is wrong if no length does.
    chance : float
        Chance asked for [1].
    needed : float or array (draws,)
        Length each draw needs, as foretold [m].
    suffices : callable
        Whether a number of millimetres does, tried on the chain.

    Returns
    -------
    float
        The length [m].
    """
    longest = round(LONGEST / MILLIMETRE)
    least = least_that(suffices, millimetres_for(needed, chance), longest)
    if least is None:
        raise no_length(plan, chance)
    return least * MILLIMETRE


def no_length(plan: PlanInput, chance: float) -> PlanError:
    """Return why no length suffices with a chance [1]: the plan's own reason first."""
    run_plan(with_length(plan, LONGEST))
    return PlanError(
        _(
            "No length of stack up to {longest} suffices with a chance of {chance}; "
            "plan a thicker stack, fewer welds or less grinding."
        ),
        field="length",
        longest=LONGEST,
        chance=chance,
    )


def tried(
    candidate: Callable[[], PlanInput], targets: Sequence[Target], chance: float
) -> bool:
    """Say whether a candidate suffices with a chance [1]; no if it cannot be made."""
    try:
        return chance_with(candidate(), targets) >= chance
    except PlanError:
        return False
