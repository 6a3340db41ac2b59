"""Which length of stack each draw needs, so that a plan ends with what is wanted.

The length of a billet goes through the chain nearly as a straight line: scale, trim
and kerf take the same off a long one as off a short one, and drawing multiplies. Only
a press of known force bends the line, since a long bar takes it more heats. So the
middle draw is solved first, by itself and quickly; two runs about its length lay a
line through every draw, and a few more come close where it is bent.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import TypeAlias

import numpy as np

from billets.physics import Number
from billets.physics.errors import PlanError
from billets.physics.factors import Factors
from billets.physics.guards import LONGEST, THINNEST
from billets.physics.plan import PlanInput, run_plan
from billets.physics.state import typical

AMPLE = 2.5
"""Length first tried, over that of the bare mass wanted [1]."""

WIDER = 1.6
"""The longer of two lengths tried, over what the middle draw needs [1]."""

ROUNDS, CLOSE, STRAYS = 4, 2e-3, 0.02
"""Most tries to come closer, a last step short enough [m], and what share of draws may
take a longer one [1]: what is still off is as small against the last step as that was
against the one before."""

EXACT, FINEST = 1e-12, 1e-6
"""How close to what is wanted a plain plan ends [1], or how close its length is [m]."""

ROUGH = 0.05
"""How close the middle draw is enough to lay the others about it [1]."""

NEVER = 2.0 * LONGEST
"""Length that stands for none being enough [m]."""

NO_GAIN = 1e-9
"""Gain by length that stands for none, so that nothing is divided by zero."""

Wanted: TypeAlias = tuple[float, float]
"""Mass [kg] and length of bar [m] at the end of the plan."""

Point: TypeAlias = tuple[Number, Number]
"""A length and how much of what is wanted it gives [m, 1]."""


def with_length(plan: PlanInput, length: Number) -> PlanInput:
    """Return a plan with another length of stack.

    Parameters
    ----------
    plan : PlanInput
        The plan.
    length : float or array (draws,)
        Of its stack [m].

    Returns
    -------
    PlanInput
        The same but for it.
    """
    return replace(plan, stack=replace(plan.stack, length=length))


def needed_lengths(plan: PlanInput, mass: float, length: float = 0.0) -> Number:
    """Return the length of stack each draw needs.

    Parameters
    ----------
    plan : PlanInput
        Plain or sampled; the length of its stack is not looked at [SI units].
    mass : float
        Steel wanted at the end of the plan [kg].
    length : float
        Length of bar wanted there [m].

    Returns
    -------
    float or array (draws,)
        Not rounded; beyond `LONGEST` where a draw is used up whatever the length [m].
    """
    wanted = mass, length
    if np.ndim(_drawn(plan)) == 0:
        return _middle_length(plan, wanted, (EXACT, FINEST))
    middle = _middle_length(plan, wanted, (ROUGH, ROUGH * THINNEST))
    first = min(middle, LONGEST / WIDER)
    near: Point = first, _reached(plan, first, wanted)
    far: Point = WIDER * first, _reached(plan, WIDER * first, wanted)
    return _closer(plan, wanted, far, _by_line(near, far))


def _reached(plan: PlanInput, length: Number, wanted: Wanted) -> Number:
    """Return how much of what is wanted there is, of what there is least of [1].

    Nothing where it cannot be made.
    """
    try:
        result = run_plan(with_length(plan, length))
    except PlanError:
        return 0.0 * _drawn(plan)
    mass, long = (max(one, NO_GAIN) for one in wanted)
    reached: Number = np.minimum(result.clean_mass / mass, result.clean_length / long)
    return reached


def _drawn(plan: PlanInput) -> Number:
    """Return something of the shape of the plan's draws."""
    drawn: Number = 1.0
    for one in fields(Factors):
        drawn = drawn + np.abs(getattr(plan.factors, one.name))
    return drawn


# --- the middle draw -----------------------------------------------------------------


def _middle_length(
    plan: PlanInput, wanted: Wanted, close: tuple[float, float]
) -> float:
    """Return what is needed with all factors at their medians, or `NEVER` [m].

    So close to what is wanted [1], or to the length [m].
    """
    middle = {
        one.name: typical(getattr(plan.factors, one.name)) for one in fields(Factors)
    }
    plain, stack = replace(plan, factors=Factors(**middle)), plan.stack

    def reached(length: float) -> float:
        return typical(_reached(plain, length, wanted))

    bare = wanted[0] / (stack.density * typical(stack.width) * stack.thickness)
    high = min(max(AMPLE * bare, THINNEST), LONGEST)
    while reached(high) < 1.0:
        if high == LONGEST:
            return NEVER
        high = min(2.0 * high, LONGEST)
    low = high / 2.0
    while low > THINNEST and reached(low) >= 1.0:
        low, high = low / 2.0, low
    return _between(reached, (max(low, THINNEST), high), close)


def _between(
    reached: Callable[[float], float],
    ends: tuple[float, float],
    close: tuple[float, float],
) -> float:
    """Return where enough is reached, between a length too short and one that does.

    By a line through both ends, or by halves where that makes no headway.
    """
    low, high = ends
    at_low, at_high = reached(low), reached(high)
    while high - low > close[1]:
        wide = high - low
        for by_line in (True, False):
            guess = (low + high) / 2.0
            if by_line and at_low > 0.0:
                guess = low + wide * (1.0 - at_low) / (at_high - at_low)
            at = reached(guess)
            if abs(at - 1.0) <= close[0]:
                return guess
            if at < 1.0:
                low, at_low = guess, at
            else:
                high, at_high = guess, at
            if high - low <= wide / 2.0:
                break
    return high


# --- all draws -----------------------------------------------------------------------


def _by_line(near: Point, far: Point) -> Number:
    """Return where a line through two lengths reaches what is wanted [m].

    A draw that cannot be cut from one of them needs more than that.
    """
    (low, at_low), (high, at_high) = near, far
    slope = (at_high - at_low) / (high - low)
    slope = np.where(at_low > 0.0, slope, at_high / high)
    needed = high + (1.0 - at_high) / np.maximum(slope, NO_GAIN)
    needed = np.where(at_low > 0.0, needed, np.maximum(needed, low))
    found: Number = np.where(at_high > 0.0, needed, 2.0 * high)
    return found


def _closer(plan: PlanInput, wanted: Wanted, before: Point, needed: Number) -> Number:
    """Return the needed lengths after a few more tries [m].

    A draw of which nothing is left at two lengths so far apart is used up at any.
    """
    never = np.asarray(before[1]) <= 0.0
    for tried in range(ROUNDS):
        at = np.clip(needed, THINNEST, LONGEST)
        now: Point = at, _reached(plan, at, wanted)
        never &= (now[1] <= 0.0) | (tried > 0)
        better = _better(before, now)
        # Pieces too short to cut: after two tries only what can be cut counts.
        counts = np.asarray(now[1] > 0.0) | (tried < 2)
        moved = np.logical_and(np.abs(better - at) > CLOSE, counts & ~never)
        needed, before = np.where(never, needed, better), now
        if np.mean(moved) <= STRAYS:
            break
    return np.where(never, NEVER, needed)


def _better(before: Point, now: Point) -> Number:
    """Return where a line through two tries reaches what is wanted [m]."""
    (one, at_one), (two, at_two) = before, now
    gap = two - one
    slope = (at_two - at_one) / np.where(gap == 0.0, 1.0, gap)
    # Where two tries tell nothing, as if all of the stack were kept in proportion.
    slope = np.where(slope > 0.0, slope, np.maximum(at_two, NO_GAIN) / two)
    better = np.clip(two + (1.0 - at_two) / slope, 0.5 * two, 2.0 * two)
    longer = np.where(at_one > 0.0, np.maximum(one, two), 1.2 * two)
    found: Number = np.where(at_two > 0.0, better, (longer + two) / 2.0)
    return found
