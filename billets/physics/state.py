"""A billet between two steps, and what one step changes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from billets.physics import Number
from billets.physics.bar import Stack, Steel
from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.errors import Flag
from billets.physics.factors import Factors

Mask: TypeAlias = bool | NDArray[np.bool_]
"""Whether something holds, or in which draws it holds, shape (draws,)."""

LEAST_SIZE = 1e-6
"""What a used-up billet measures, so that sums go on without dividing by zero [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class State:
    """A billet, cold.

    Attributes
    ----------
    length, width, thickness : float or array (draws,)
        Its size [m].
    alive : float or array (draws,)
        1 while there is steel, 0 once it is used up [1].
    density : float
        Of the cold steel [kg/m^3].
    cold : bool
        Whether it comes back to the forge cold.
    loose : bool
        Whether it is a stack of pieces not yet welded.
    """

    length: Number
    width: Number
    thickness: Number
    alive: Number
    density: float
    cold: bool
    loose: bool

    @property
    def mass(self) -> Number:
        """Steel in the billet, float or array (draws,) [kg]."""
        volume = self.length * self.width * self.thickness
        return self.density * volume * self.alive


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Context:
    """What is the same for all steps of one plan.

    Attributes
    ----------
    forge, tool, saw : Forge, Tool, Saw
        Equipment.
    factors : Factors
        The shop's own factors [1].
    hardest : Steel
        The steel of the stack that burns first.
    """

    forge: Forge
    tool: Tool
    saw: Saw
    factors: Factors
    hardest: Steel


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Change:
    """What one step did.

    Attributes
    ----------
    state : State
        The billet after it.
    cause : str
        What the steel was lost to, a field of `plan.LossByCause`; empty if nothing is.
    lost : float or array (draws,)
        Steel lost [kg].
    heats : float or array (draws,)
        Heats taken [1].
    heating, working : float or array (draws,)
        Time in the forge, and under the tool [s].
    core : float or array (draws,)
        Share of the thickness between outer layers not yet taken [1].
    hot : float
        Steel temperature of the step, 0 for cold work [K].
    pieces : int
        Pieces that lie on one another after it [1].
    flags : tuple of Flag
        What to look at twice.
    """

    state: State
    cause: str = ""
    lost: Number = 0.0
    heats: Number = 0.0
    heating: Number = 0.0
    working: Number = 0.0
    core: Number = 1.0
    hot: float = 0.0
    pieces: int = 1
    flags: tuple[Flag, ...] = ()


def stacked(stack: Stack) -> State:
    """Return the billet before its first step: a cold, loose stack.

    Parameters
    ----------
    stack : Stack
        The pieces; length and width float or array (draws,) [m].

    Returns
    -------
    State
        Sizes as they are [m].
    """
    # Adding nothing makes a new array: results must not change with the caller's.
    return State(
        length=stack.length + 0.0,
        width=stack.width + 0.0,
        thickness=stack.thickness,
        alive=1.0,
        density=stack.density,
        cold=True,
        loose=True,
    )


def shrunk(size: Number, by: Number) -> Number:
    """Return a size less what is taken off it, never under the least size.

    Parameters
    ----------
    size, by : float or array (draws,)
        Size and what is taken off [m].

    Returns
    -------
    float or array (draws,)
        What is left [m].
    """
    left: Number = np.maximum(size - by, LEAST_SIZE)
    return left


def above_zero(value: Number) -> Number:
    """Return 1 where a value is above zero and 0 elsewhere.

    Parameters
    ----------
    value : float or array (draws,)
        Any quantity [any unit].

    Returns
    -------
    float or array (draws,)
        1 or 0 [1]; a ufunc, so that a single value costs no array.
    """
    step: Number = np.multiply(np.greater(value, 0.0), 1.0)
    return step


def every(condition: Mask) -> bool:
    """Return whether something holds in all draws; a plain plan is one draw."""
    # numpy's own np.all takes longer than a whole step does for one value.
    return bool(condition.all() if isinstance(condition, np.ndarray) else condition)


def some(condition: Mask) -> bool:
    """Return whether something holds in any draw; a plain plan is one draw."""
    return bool(condition.any() if isinstance(condition, np.ndarray) else condition)


def mostly(condition: Mask) -> bool:
    """Return whether something holds in more than half of the draws.

    A plain plan counts as one draw.
    """
    if isinstance(condition, np.ndarray):
        return bool(2 * np.count_nonzero(condition) > condition.size)
    return bool(condition)


def typical(value: Number) -> float:
    """Return the median of the draws, to be shown in a sentence.

    Parameters
    ----------
    value : float or array (draws,)
        Any quantity [any unit].

    Returns
    -------
    float
        Its median [same unit]; the value itself in a plain plan.
    """
    return float(np.median(value)) if isinstance(value, np.ndarray) else float(value)
