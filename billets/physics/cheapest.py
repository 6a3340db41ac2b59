"""The length of stack that costs least when a short billet costs something, by draws.

The same question as `drawn_start.drawn_lump_start`, for many stacks side by side, and
for a billet whose failure costs what it cost to make.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Measures = NDArray[np.float64]

MILLIMETRE = 1e-3
"""Steel is cut to whole millimetres [m]."""

LEAST_CHANCE = 0.5
"""A stack that rather fails than not is no proposal, whatever it saves [1]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Making:
    """What making billets costs, as a straight line over the length of the stack.

    Attributes
    ----------
    fixed : array (candidates,)
        Whatever the length [currency].
    per_length : array (candidates,)
        More for each metre [currency/m].
    """

    fixed: Measures
    per_length: Measures

    def at(self, length: Measures) -> Measures:
        """Return the cost [currency] of stacks of a length (candidates,) [m]."""
        return self.fixed + self.per_length * length


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cheapest:
    """The cheapest length of each stack.

    Attributes
    ----------
    length : array (candidates,)
        In whole millimetres; infinite where none will do [m].
    chance : array (candidates,)
        That it suffices [1].
    cost : array (candidates,)
        Of making it and, if that happens, of its falling short [currency].
    """

    length: Measures
    chance: Measures
    cost: Measures

    def of(self, left: NDArray[np.bool_]) -> Cheapest:
        """Return those of some of the stacks."""
        return Cheapest(
            length=self.length[left], chance=self.chance[left], cost=self.cost[left]
        )


def within(needed: Measures, longest: Measures) -> Measures:
    """Return what draws need, infinite where no stack can be so long.

    Parameters
    ----------
    needed : array (candidates, draws)
        Length each draw needs [m].
    longest : array (candidates,)
        Longest stack of each [m].

    Returns
    -------
    array (candidates, draws)
        The same, or infinite [m].
    """
    # A stack is cut to whole millimetres: what is left of one is no length.
    most = np.floor(longest / MILLIMETRE + 1e-6) * MILLIMETRE
    return np.where(needed > most[:, np.newaxis], np.inf, needed)


def cheapest_lengths(
    needed: Measures,
    making: Making,
    short: float | None,
    chance: float | None = None,
) -> Cheapest:
    """Return for each stack the length that costs least.

    Parameters
    ----------
    needed : array (candidates, draws)
        Length each draw needs; infinite where none suffices [m].
    making : Making
        What stacks cost to make [currency].
    short : float or None
        What is lost when a billet falls short; None for what it cost to make
        [currency].
    chance : float or None
        Least chance of sufficing; None for `LEAST_CHANCE` [1].

    Returns
    -------
    Cheapest
        Of all lengths that just suffice for one of the draws [m].

    Notes
    -----
    With more to lose the length can only grow: the gain of a longer stack grows
    with it, its price does not.
    """
    draws = needed.shape[1]
    starts = np.ceil(np.sort(needed, axis=1) / MILLIMETRE - 1e-9) * MILLIMETRE
    reached = np.arange(1, draws + 1) / draws
    there = np.isfinite(starts)
    tried = np.where(there, starts, 0.0)
    made = making.fixed[:, np.newaxis] + making.per_length[:, np.newaxis] * tried
    lost = made if short is None else short
    costs = made + lost * (1.0 - reached)
    fine = there & (reached >= (chance or LEAST_CHANCE) - 1e-12)
    costs = np.where(fine, costs, np.inf)
    place = np.argmin(costs, axis=1)
    row = np.arange(place.size)
    # Where two draws need the same length, the chance is that of the last of them.
    found = np.where(np.isfinite(costs[row, place]), starts[row, place], np.inf)
    enough = np.mean(starts <= found[:, np.newaxis], axis=1)
    last = np.maximum(np.round(enough * draws).astype(np.intp) - 1, 0)
    return Cheapest(
        length=found,
        chance=np.where(np.isfinite(found), enough, 0.0),
        cost=np.where(np.isfinite(found), costs[row, last], np.inf),
    )
