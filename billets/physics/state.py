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
    density : float or array (draws,)
        Of the cold steel; a core's share of it may differ from draw to draw [kg/m^3].
    cold : bool or array of bool (draws,)
        Whether it comes back to the forge cold.
    loose : bool or array of bool (draws,)
        Whether it is a stack of pieces not yet welded.
    """

    length: Number
    width: Number
    thickness: Number
    alive: Number
    density: Number
    cold: Mask
    loose: Mask

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
    carbon : float
        Mean of the stack, mass fraction in percent: how hard it resists a press; a
        core laid in later hardly changes that [%].
    """

    forge: Forge
    tool: Tool
    saw: Saw
    factors: Factors
    hardest: Steel
    carbon: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Figure:
    """What a step did to the pattern; 0 where its kind does no such thing.

    Attributes
    ----------
    depth : float or array (draws,)
        Depth of a cut or dimple over the thickness of the bar [1].
    removed : float or array (draws,)
        Share of the bar cut away for the pattern [1].
    shear : float or array (draws,)
        Of the outermost fibre of a twist: the tangent of its angle [1].
    face_shear : float or array (draws,)
        The same in the middle of a face [1].
    core : float or array (draws,)
        Share of the thickness that a core has as it is laid in [1].
    """

    depth: Number = 0.0
    removed: Number = 0.0
    shear: Number = 0.0
    face_shear: Number = 0.0
    core: Number = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Change:
    """What one step did.

    Attributes
    ----------
    state : State
        The billet after it.
    lost_by : tuple of (str, float or array (draws,))
        Steel lost to each cause, a field of `plan.LossByCause`, in the order of the
        work [kg].
    added : float or array (draws,)
        Steel laid in [kg].
    heats : float or array (draws,)
        Heats taken [1].
    heating, working : float or array (draws,)
        Time in the forge, and under the tool [s].
    core : float or array (draws,)
        Share of the thickness between outer layers not yet taken [1].
    hot : float
        Steel temperature of the step, 0 for cold work [K].
    at_heat : float or array (draws,)
        Time a place of the billet was at that heat, as scale reckons it [s].
    pieces : int
        Pieces that lie on one another after it [1].
    figure : Figure or None
        What it did to the pattern, if that is what it is for.
    flags : tuple of Flag
        What to look at twice.
    """

    state: State
    lost_by: tuple[tuple[str, Number], ...] = ()
    added: Number = 0.0
    heats: Number = 0.0
    heating: Number = 0.0
    working: Number = 0.0
    core: Number = 1.0
    hot: float = 0.0
    at_heat: Number = 0.0
    pieces: int = 1
    figure: Figure | None = None
    flags: tuple[Flag, ...] = ()

    @property
    def lost(self) -> Number:
        """Steel lost to all causes, float or array (draws,) [kg]."""
        total: Number = 0.0
        for _cause, lost in self.lost_by:
            total = total + lost
        return total


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


def chosen(condition: Mask, yes: float, no: float) -> Number:
    """Return one of two values, as something holds or not.

    Parameters
    ----------
    condition : bool or array of bool (draws,)
        Whether it holds.
    yes, no : float
        The value where it does, and where it does not [any one unit].

    Returns
    -------
    float or array (draws,)
        One or the other [same unit].
    """
    if isinstance(condition, np.ndarray):
        return np.where(condition, yes, no)
    return yes if condition else no


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
    if not isinstance(value, np.ndarray):
        return float(value)
    # The same as numpy's own np.median, which takes twice as long.
    low, high = (value.size - 1) // 2, value.size // 2
    found = np.partition(value, (low, high), axis=None)
    return float(found[low] + found[high]) / 2.0
