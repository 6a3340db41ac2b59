"""Steps that make the figure: twist, ladder cuts, drilled dimples."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from billets.physics import Number
from billets.physics.cold_rules import cold_change, worked_cold
from billets.physics.errors import PlanError, _
from billets.physics.fire import draw_heats, work
from billets.physics.flags import door_flags, heat_flags
from billets.physics.guards import (
    MOST_HEATS,
    check_above_zero,
    check_not_below_zero,
)
from billets.physics.hot_rules import (
    WORKING,
    out_of_fire,
    part_in_fire,
    recession_of,
    time_in_fire,
)
from billets.physics.pattern_flags import (
    depth_flags,
    twist_flags,
)
from billets.physics.patterns import (
    DEEPEST,
    dimple_share,
    dimple_volume,
    dimple_width,
    flat_thickness,
    floors_meet,
    groove_area,
    ladder_share,
)
from billets.physics.pulling import pull
from billets.physics.state import (
    LEAST_SIZE,
    Change,
    Context,
    Figure,
    State,
    above_zero,
    every,
    typical,
)
from billets.physics.steps import Dimple, HotStep, Ladder, Twist
from billets.physics.twisting import (
    TURNS_IN_HEAT,
    corner_radius,
    corner_share,
    fibre_slope,
    octagon_corner,
    twist_heats,
)

FLATTEST_TWIST = 1.5
"""Longer side over shorter beyond which a bar is not twisted, common practice [1]."""


# --- twist ---------------------------------------------------------------------------


def twist(state: State, step: Twist, at: Context) -> Change:
    """Twist: corners ground off if asked for, then heats that only scale.

    Parameters
    ----------
    state : State
        The bar, sizes float or array (draws,) [m].
    step : Twist
        Turns [1], temperature [K] and time [s].
    at : Context
        Forge and factors.

    Returns
    -------
    Change
        What is left, what was lost [kg] and how long it took [s]. Length and section
        are kept but for corners and scale; an octagon is shown as the square of its
        area.
    """
    _check_turns(step.turns)
    check_not_below_zero("seconds", step.seconds)
    longer = np.maximum(state.width, state.thickness)
    shorter = np.minimum(state.width, state.thickness)
    corner = octagon_corner(shorter) if step.octagon else 0.0
    figure = _twisted(state, step, corner)
    flags = twist_flags(longer, shorter, figure.shear, octagon=step.octagon)
    flat = above_zero(longer - FLATTEST_TWIST * shorter)
    _refuse_flat(every(flat > 0.0), state)
    removed = corner_share(state.width, state.thickness, corner)
    side = np.sqrt(1.0 - removed)
    bar = replace(
        state,
        width=state.width * side,
        thickness=state.thickness * side,
        alive=state.alive * (1.0 - flat),
        cold=state.cold | step.octagon,
    )
    volume = state.length * state.width * state.thickness * removed
    cause = "pattern" if step.octagon else "draw_scale"
    cut = cold_change(state, bar, cause, volume)
    heats = twist_heats(step.turns)
    change = _in_the_fire(cut, step, at, heats)
    return replace(change, figure=figure, flags=(*change.flags, *flags))


def _check_turns(turns: Number) -> None:
    check_above_zero("turns", turns)
    most = TURNS_IN_HEAT * MOST_HEATS
    if not every(turns <= most):
        raise PlanError(
            _("Step {step}: a twist of {value} turns is a typing mistake; {most} is "
              "the most."),
            field="turns", value=turns, most=most,
        )  # fmt: skip


def _twisted(state: State, step: Twist, corner: Number) -> Figure:
    """Return what a twist does to the fibres of a bar."""
    outermost = corner_radius(state.width, state.thickness, corner)
    face = np.minimum(state.width, state.thickness) / 2.0
    return Figure(
        removed=corner_share(state.width, state.thickness, corner),
        shear=fibre_slope(step.turns, state.length, outermost),
        face_shear=fibre_slope(step.turns, state.length, face),
    )


def _refuse_flat(flat: bool, state: State) -> None:  # noqa: FBT001  asked of all draws
    if flat:
        raise PlanError(
            _(
                "Step {step}: a bar of {width} by {thickness} does not twist evenly; "
                "draw it square before."
            ),
            field="kind",
            width=typical(state.width),
            thickness=typical(state.thickness),
        )


# --- ladder and dimples --------------------------------------------------------------


def ladder(state: State, step: Ladder, at: Context) -> Change:
    """Cut grooves across both faces, then forge flat.

    Parameters
    ----------
    state : State
        The bar, sizes float or array (draws,) [m].
    step : Ladder
        Grooves [m], temperature [K] and time [s].
    at : Context
        Forge, tool and factors.

    Returns
    -------
    Change
        What is left, what was lost [kg] and how long it took [s]. Length and width
        are kept but for scale.
    """
    area = groove_area(step.groove_shape, step.groove, step.depth)
    share = ladder_share(area, step.pitch, state.thickness)
    _refuse_overlap(step.groove, step.pitch)
    return _cut_and_flattened(state, step, at, share)


def dimple(state: State, step: Dimple, at: Context) -> Change:
    """Drill dimples into both faces, then forge flat.

    Parameters
    ----------
    state : State
        The bar, sizes float or array (draws,) [m].
    step : Dimple
        Drill and lattice [m], temperature [K] and time [s].
    at : Context
        Forge, tool and factors.

    Returns
    -------
    Change
        What is left, what was lost [kg] and how long it took [s]. Length and width
        are kept but for scale.
    """
    volume = dimple_volume(step.drill, step.depth, step.point)
    share = dimple_share(volume, step.pitch, state.thickness)
    _refuse_overlap(dimple_width(step.drill, step.depth, step.point), step.pitch)
    return _cut_and_flattened(state, step, at, share)


def _refuse_overlap(opening: Number, pitch: Number) -> None:
    """Raise PlanError if cuts on one face run into one another."""
    if not every(opening <= pitch * (1.0 + 1e-9)):
        raise PlanError(
            _(
                "Step {step}: cuts {opening} wide run into one another at a pitch of "
                "{pitch}; space them wider or cut narrower."
            ),
            field="pitch",
            opening=typical(opening),
            pitch=typical(pitch),
        )


def _cut_and_flattened(
    state: State, step: Ladder | Dimple, at: Context, share: Number
) -> Change:
    """Return a bar cut from both faces, its floors brought up to the surface."""
    check_not_below_zero("seconds", step.seconds)
    _refuse_through(every(floors_meet(step.depth, state.thickness)), step.depth, state)
    whole = above_zero(state.thickness - 2.0 * step.depth)
    # Where the floors meet the bar is used up, and its share may be any number.
    flat = np.maximum(flat_thickness(state.thickness, share), LEAST_SIZE)
    cut = cold_change(
        state,
        worked_cold(state, thickness=flat, alive=state.alive * whole),
        "pattern",
        state.length * state.width * state.thickness * share,
    )
    size, section = (state.length, state.width, state.thickness), (state.width, flat)
    ratio = state.thickness / flat
    drawn = pull(at.tool, size, section, step.temperature, at.carbon)
    heats = draw_heats(ratio, drawn.strain * at.factors.strain)
    part = part_in_fire(drawn, ratio, heats, at)
    moved: Number = np.multiply(drawn.able, 1.0)
    able = replace(cut.state, alive=cut.state.alive * moved)
    change = _in_the_fire(cut, step, at, heats, able=able, part=part)
    return replace(
        change,
        figure=Figure(depth=step.depth / state.thickness, removed=share),
        flags=(*change.flags, *depth_flags(step.depth, state.thickness)),
    )


def _refuse_through(
    meet: bool,  # noqa: FBT001  asked of all draws
    depth: Number,
    state: State,
) -> None:
    if meet:
        raise PlanError(
            _(
                "Step {step}: cuts {depth} deep from both faces meet in a bar "
                "{thickness} thick; cut no deeper than {most_depth}."
            ),
            field="depth",
            depth=typical(depth),
            thickness=typical(state.thickness),
            most_depth=DEEPEST * typical(state.thickness),
        )


def _in_the_fire(
    cut: Change,
    step: HotStep,
    at: Context,
    heats: Number,
    *,
    able: State | None = None,
    part: Number = 1.0,
) -> Change:
    """Return a bar that was cut cold and is then worked in the fire."""
    state = cut.state if able is None else able
    recession = recession_of(step, step.seconds, state, at)
    worked = work(state, recession * part, heats)
    stuck = cut.state.mass - state.mass
    slow = at.factors.heating_time
    flags = (*heat_flags(step.temperature, at), *door_flags(state, at.forge))
    scale = ("draw_scale", stuck + state.density * worked.lost)
    return Change(
        state=out_of_fire(state, worked),
        lost_by=_together((*cut.lost_by, scale)),
        heats=heats,
        heating=slow * time_in_fire(state, worked, step, at),
        working=slow * WORKING * heats,
        core=worked.core,
        hot=step.temperature,
        at_heat=step.seconds * part * heats,
        flags=flags,
    )


def _together(
    lost_by: tuple[tuple[str, Number], ...],
) -> tuple[tuple[str, Number], ...]:
    """Return losses with each cause named once."""
    totals: dict[str, Number] = {}
    for cause, lost in lost_by:
        totals[cause] = totals.get(cause, 0.0) + lost
    return tuple(totals.items())
