"""Steps in the fire: weld and draw."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from billets.physics import Number
from billets.physics.atmosphere import ATMOSPHERES
from billets.physics.errors import PlanError, _
from billets.physics.fire import Worked, draw_heats, work
from billets.physics.flags import door_flags, heat_flags, spread_flags
from billets.physics.guards import (
    MOST_HEATS,
    WIDEST,
    check_not_below_zero,
    check_size,
)
from billets.physics.heating import RETURN, ROOM, heating_integral, heating_time
from billets.physics.scale import heat_loss
from billets.physics.state import Change, Context, State, above_zero, some, typical
from billets.physics.steps import Draw, Weld

LOOSE_STACK = 1.3
"""Heating of a loose stack over that of a solid one, common practice, no source [1]."""

WELD_HOLD = 90.0
"""Time kept at welding heat, common practice, no source [s]."""

WORKING = 45.0
"""Time out of the fire in one heat, common practice, no source [s]."""

SAME_SECTION = 1.0 - 1e-9
"""Section before over after that counts as the same, for rounding's sake [1]."""


def _recession(step: Weld | Draw, seconds: Number, state: State, at: Context) -> Number:
    """Return what scale takes off every face in one heat [m]."""
    lost = heat_loss(
        step.temperature,
        seconds,
        atmosphere=ATMOSPHERES[at.forge.atmosphere],
        strength=at.factors.scale_strength,
    )
    return lost / state.density


def _heating(state: State, worked: Worked, step: Weld | Draw, at: Context) -> Number:
    """Return the time in the fire without hold, by the book [s]."""
    wall = at.forge.wall_temperature
    again = heating_integral(RETURN, step.temperature, wall)
    start = heating_integral(ROOM, step.temperature, wall) if state.cold else again
    first = (LOOSE_STACK if state.loose else 1.0) * worked.first_depth
    later = worked.depths - worked.first_depth
    warmed = heating_time(first, start, state.density)
    return warmed + heating_time(later, again, state.density) + worked.soak


def _hot(state: State, worked: Worked) -> State:
    """Return the billet as it comes from the fire: one piece, not cold."""
    return State(
        length=worked.length,
        width=worked.width,
        thickness=worked.thickness,
        alive=worked.alive,
        density=state.density,
        cold=False,
        loose=False,
    )


def weld(state: State, step: Weld, at: Context) -> Change:
    """Weld: heats that scale every face and change no shape.

    Parameters
    ----------
    state : State
        The stack, sizes float or array (draws,) [m].
    step : Weld
        Heats [1], temperature [K] and time [s].
    at : Context
        Forge and factors.

    Returns
    -------
    Change
        What is left, what was lost [kg] and how long it took [s].
    """
    if not 1 <= step.heats <= MOST_HEATS:
        raise PlanError(
            _("Step {step}: a weld takes 1 to {most} heats, not {value}."),
            field="heats",
            value=step.heats,
            most=MOST_HEATS,
        )
    check_not_below_zero("seconds", step.seconds)
    flags = (*heat_flags(step.temperature, at), *door_flags(state, at.forge))
    heats: Number = np.maximum(step.heats + at.factors.weld_heats, 1.0)
    seconds = step.seconds * at.factors.weld_time
    worked = work(state, _recession(step, seconds, state, at), heats)
    slow = at.factors.heating_time
    return Change(
        state=_hot(state, worked),
        cause="weld_scale",
        lost=state.density * worked.lost,
        heats=heats,
        heating=slow * (_heating(state, worked, step, at) + WELD_HOLD * heats),
        working=slow * WORKING * heats,
        core=worked.core,
        hot=step.temperature,
        flags=flags,
    )


def draw(state: State, step: Draw, at: Context) -> Change:
    """Draw out: heats that scale every face and bring the section to its target.

    Parameters
    ----------
    state : State
        The billet, sizes float or array (draws,) [m].
    step : Draw
        Section to reach [m], temperature [K] and time [s].
    at : Context
        Forge, tool and factors.

    Returns
    -------
    Change
        What is left, what was lost [kg] and how long it took [s]. A draw whose
        section is already smaller than the target is used up.
    """
    check_size("width", step.width, WIDEST)
    check_size("thickness", step.thickness, WIDEST)
    check_not_below_zero("seconds", step.seconds)
    ratio = state.width * state.thickness / (step.width * step.thickness)
    _refuse_upsetting(state, step, ratio)
    reached = replace(state, width=step.width, thickness=step.thickness)
    flags = (
        *heat_flags(step.temperature, at),
        *door_flags(state, at.forge),
        *door_flags(reached, at.forge),
        *spread_flags(state, step.width),
    )
    heats = draw_heats(ratio, at.tool.strain * at.factors.strain)
    able = replace(state, alive=state.alive * above_zero(ratio - SAME_SECTION))
    worked = work(
        able,
        _recession(step, step.seconds, state, at),
        heats,
        (step.width, step.thickness),
    )
    slow = at.factors.heating_time
    return Change(
        state=_hot(state, worked),
        cause="draw_scale",
        lost=(state.mass - able.mass) + state.density * worked.lost,
        heats=heats,
        heating=slow * _heating(state, worked, step, at),
        working=slow * WORKING * heats,
        core=worked.core,
        hot=step.temperature,
        flags=flags,
    )


def _refuse_upsetting(state: State, step: Draw, ratio: Number) -> None:
    """Raise PlanError if drawing would have to make the section bigger."""
    if some(ratio > SAME_SECTION):
        return
    thicker = typical(step.thickness) > typical(state.thickness)
    raise PlanError(
        _(
            "Step {step}: drawing makes a section smaller; {width} by {thickness} is "
            "more than the {from_width} by {from_thickness} at hand. Plan a smaller "
            "section or a bigger stack."
        ),
        field="thickness" if thicker else "width",
        width=typical(step.width),
        thickness=typical(step.thickness),
        from_width=typical(state.width),
        from_thickness=typical(state.thickness),
    )
