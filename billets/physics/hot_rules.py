"""Steps in the fire: weld and draw."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from billets.physics import Number
from billets.physics.atmosphere import ATMOSPHERES
from billets.physics.errors import Flag, PlanError, _
from billets.physics.fire import Worked, draw_heats, draw_strain, work
from billets.physics.flags import door_flags, heat_flags, spread_flags
from billets.physics.guards import (
    MOST_HEATS,
    WIDEST,
    check_not_below_zero,
    check_size,
)
from billets.physics.heating import RETURN, ROOM, heating_integral, heating_time
from billets.physics.press_flags import pull_flags, setting_flags
from billets.physics.pressing import Size, known_force
from billets.physics.pulling import Pull, pull
from billets.physics.scale import AIR_SECONDS, heat_loss
from billets.physics.state import (
    Change,
    Context,
    State,
    above_zero,
    chosen,
    some,
    typical,
)
from billets.physics.steps import Draw, HotStep, Weld
from billets.physics.weld_setting import setting

LOOSE_STACK = 1.3
"""Heating of a loose stack over that of a solid one, common practice, no source [1]."""

WELD_HOLD = 90.0
"""Time kept at welding heat, common practice, no source [s]."""

WORKING = AIR_SECONDS
"""Time out of the fire in one heat, common practice, no source [s]."""

SAME_SECTION = 1.0 - 1e-9
"""Section before over after that counts as the same, for rounding's sake [1]."""


def recession_of(step: HotStep, seconds: Number, state: State, at: Context) -> Number:
    """Return what scale takes off every face in one heat.

    Parameters
    ----------
    step : HotStep
        Its temperature counts [K].
    seconds : float or array (draws,)
        Time at that heat [s].
    state : State
        The billet.
    at : Context
        Forge and factors.

    Returns
    -------
    float or array (draws,)
        Depth [m].
    """
    lost = heat_loss(
        step.temperature,
        seconds,
        atmosphere=ATMOSPHERES[at.forge.atmosphere],
        strength=at.factors.scale_strength,
    )
    return lost / state.density


def time_in_fire(state: State, worked: Worked, step: HotStep, at: Context) -> Number:
    """Return the time in the fire without hold, by the book: float or (draws,) [s]."""
    wall = at.forge.wall_temperature
    again = heating_integral(RETURN, step.temperature, wall)
    from_cold = heating_integral(ROOM, step.temperature, wall)
    start = chosen(state.cold, from_cold, again)
    first = chosen(state.loose, LOOSE_STACK, 1.0) * worked.first_depth
    later = worked.depths - worked.first_depth
    warmed = heating_time(first, start, state.density)
    return warmed + heating_time(later, again, state.density) + worked.soak


def out_of_fire(state: State, worked: Worked) -> State:
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
    extra, of_the_press = _set(state, step, at)
    heats: Number = np.maximum(step.heats + at.factors.weld_heats, 1.0)
    seconds = step.seconds * at.factors.weld_time
    worked = work(state, recession_of(step, seconds, state, at), heats)
    slow = at.factors.heating_time
    return Change(
        state=out_of_fire(state, worked),
        lost_by=(("weld_scale", state.density * worked.lost),),
        heats=heats,
        heating=slow * (time_in_fire(state, worked, step, at) + WELD_HOLD * heats),
        working=slow * (WORKING + extra) * heats,
        core=worked.core,
        hot=step.temperature,
        at_heat=seconds * heats,
        flags=(*flags, *of_the_press),
    )


def _set(state: State, step: Weld, at: Context) -> tuple[Number, tuple[Flag, ...]]:
    """Return the time beyond the usual to set a weld in one heat [s], and flags."""
    if known_force(at.tool) is None:
        return 0.0, ()
    found = setting(at.tool, _size(state), step.temperature, at.carbon)
    return found.extra, setting_flags(at.tool, found, step.temperature, at.carbon)


def _size(state: State) -> Size:
    return state.length, state.width, state.thickness


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
    section = (step.width, step.thickness)
    drawn = pull(at.tool, _size(state), section, step.temperature, at.carbon)
    heats = draw_heats(ratio, drawn.strain * at.factors.strain)
    moved: Number = np.multiply(above_zero(ratio - SAME_SECTION), drawn.able)
    able = replace(state, alive=state.alive * moved)
    recession = recession_of(step, step.seconds, state, at)
    in_fire = part_in_fire(drawn, ratio, heats, at)
    worked = work(able, recession * in_fire, heats, section)
    slow = at.factors.heating_time
    return Change(
        state=out_of_fire(state, worked),
        lost_by=(
            ("draw_scale", (state.mass - able.mass) + state.density * worked.lost),
        ),
        heats=heats,
        heating=slow * time_in_fire(state, worked, step, at),
        working=slow * WORKING * heats,
        core=worked.core,
        hot=step.temperature,
        at_heat=step.seconds * in_fire * heats,
        flags=(*flags, *_pull_flags(state, drawn, step, at)),
    )


def part_in_fire(drawn: Pull, ratio: Number, heats: Number, at: Context) -> Number:
    """Return for what share of the heats a place of the bar is in the fire.

    Parameters
    ----------
    drawn : Pull
        What the tool does on the way.
    ratio : float or array (draws,)
        Section before over section after [1].
    heats : float or array (draws,)
        Whole heats of the draw [1].
    at : Context
        Factors.

    Returns
    -------
    float or array (draws,)
        Share [1].

    Notes
    -----
    All of them where the tool works the whole bar in each, as told. A press of known
    force works a long bar part by part; and how far its last heat goes is known, so
    that a hair more of bar never costs the scale of a whole heat more.
    """
    if drawn.start is None:
        return 1.0
    share: Number = np.maximum(
        draw_strain(ratio) / (drawn.place * at.factors.strain), 1.0
    )
    return share / heats


def _pull_flags(state: State, drawn: Pull, step: Draw, at: Context) -> tuple[Flag, ...]:
    return pull_flags(at.tool, _size(state), drawn, step.temperature, at.carbon)


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
