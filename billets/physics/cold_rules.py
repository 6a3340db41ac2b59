"""Steps at the bench: trim, grind, cut and restack, fold."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from billets.physics import Number
from billets.physics.errors import PlanError, _
from billets.physics.flags import piece_flags
from billets.physics.guards import check_not_below_zero
from billets.physics.losses import ground_area, kerf_volume, trimmed_volume
from billets.physics.state import (
    LEAST_SIZE,
    Change,
    Context,
    State,
    above_zero,
    every,
    shrunk,
    typical,
)
from billets.physics.steps import Cut, Fold, Grind, Trim


def trim(state: State, step: Trim, at: Context) -> Change:
    """Trim: both ends are cut off.

    Parameters
    ----------
    state : State
        The bar, sizes float or array (draws,) [m].
    step : Trim
        Off each end [m].
    at : Context
        Factors.

    Returns
    -------
    Change
        What is left and what was lost [kg].
    """
    check_not_below_zero("per_end", step.per_end)
    per_end = step.per_end * at.factors.trim
    if every(2.0 * per_end >= state.length):
        raise PlanError(
            _(
                "Step {step}: cutting {per_end} off each end leaves nothing of a bar "
                "{length} long; cut off less or start longer."
            ),
            field="per_end",
            per_end=typical(per_end),
            length=typical(state.length),
        )
    after = worked_cold(
        state,
        length=shrunk(state.length, 2.0 * per_end),
        alive=state.alive * above_zero(state.length - 2.0 * per_end),
    )
    volume = trimmed_volume(state.width, state.thickness, per_end)
    return cold_change(state, after, "trim", volume)


def grind(state: State, step: Grind, at: Context) -> Change:
    """Grind: both faces and both edges are cleaned.

    Parameters
    ----------
    state : State
        The bar, sizes float or array (draws,) [m].
    step : Grind
        Off each face and each edge [m].
    at : Context
        Factors.

    Returns
    -------
    Change
        What is left and what was lost [kg].
    """
    face, edge = step.face * at.factors.grind, step.edge * at.factors.edge_grind
    for field, depth, side in (
        ("face", face, state.thickness),
        ("edge", edge, state.width),
    ):
        check_not_below_zero(field, depth)
        _refuse_ground_through(field, depth, side)
    flat, sides = 2.0 * face, 2.0 * edge
    core = shrunk(state.thickness, flat)
    after = worked_cold(
        state,
        width=shrunk(state.width, sides),
        thickness=core,
        alive=state.alive
        * above_zero(np.minimum(state.thickness - flat, state.width - sides)),
    )
    volume = state.length * ground_area(state.width, state.thickness, face, edge)
    change = cold_change(state, after, "grind", volume)
    return replace(change, core=core / state.thickness)


def _refuse_ground_through(field: str, depth: Number, side: Number) -> None:
    """Raise PlanError if grinding leaves nothing in any draw."""
    if every(2.0 * depth >= side):
        raise PlanError(
            _(
                "Step {step}: grinding {depth} off either side leaves nothing of "
                "{side}; grind less or keep the bar thicker."
            ),
            field=field,
            depth=typical(depth),
            side=typical(side),
        )


def cut(state: State, step: Cut, at: Context) -> Change:
    """Cut and restack: the bar becomes a loose stack of shorter pieces.

    Parameters
    ----------
    state : State
        The bar, sizes float or array (draws,) [m].
    step : Cut
        Pieces [1].
    at : Context
        Saw.

    Returns
    -------
    Change
        What is left and what was lost [kg].
    """
    if not every(step.pieces >= 2):
        raise PlanError(
            _("Step {step}: a restack needs at least 2 pieces, not {value}."),
            field="pieces",
            value=step.pieces,
        )
    volume = kerf_volume(state.width, state.thickness, at.saw.kerf, step.pieces)
    room = state.length - (step.pieces - 1) * at.saw.kerf
    after = _piled(state, room / step.pieces, step.pieces, step.pieces)
    flags = piece_flags(after.length, after.thickness)
    change = cold_change(state, after, "kerf", volume)
    return replace(change, pieces=step.pieces, flags=flags)


def fold(state: State, step: Fold, at: Context) -> Change:
    """Fold in two: half as long, twice as thick, for the width of one cut.

    Parameters
    ----------
    state : State
        The bar, sizes float or array (draws,) [m].
    step : Fold
        The fold.
    at : Context
        Saw; a hot cut loses nothing.

    Returns
    -------
    Change
        What is left and what was lost [kg].
    """
    volume = kerf_volume(state.width, state.thickness, at.saw.kerf, 2)
    # Folding needs half the bar to be as long as the bar is thick, not as the stack.
    after = _piled(state, (state.length - at.saw.kerf) / 2.0, 2, 1)
    # The bar is folded in the heat at hand and goes back as it is.
    after = replace(after, cold=state.cold, loose=False)
    flags = piece_flags(after.length, after.thickness)
    change = cold_change(state, after, "kerf", volume)
    return replace(change, pieces=2, flags=flags)


def _piled(state: State, length: Number, pieces: int, least: int) -> State:
    """Return pieces laid on one another; PlanError if too short in every draw."""
    needed = least * state.thickness
    short = length < needed
    if every(short):
        raise PlanError(
            _(
                "Step {step}: pieces {length} long are shorter than the {needed} they "
                "need to lie on one another; take fewer pieces, draw the bar thinner "
                "or start longer."
            ),
            field="pieces",
            length=typical(length),
            needed=typical(needed),
            pieces=pieces,
        )
    return worked_cold(
        state,
        length=np.maximum(length, LEAST_SIZE),
        thickness=state.thickness * pieces,
        alive=state.alive * (1.0 - above_zero(needed - length)),
        loose=True,
    )


def worked_cold(state: State, **changed: Any) -> State:
    """Return the billet after cold work."""
    return replace(state, **{"cold": True, **changed})


def cold_change(state: State, after: State, cause: str, volume: Number) -> Change:
    """Return a change by cold work; a draw used up in it loses all it had.

    Parameters
    ----------
    state, after : State
        The billet before and after.
    cause : str
        What the steel is lost to, a field of `plan.LossByCause`.
    volume : float or array (draws,)
        Taken off [m^3].

    Returns
    -------
    Change
        With what was lost [kg].
    """
    taken = np.minimum(volume * state.density * state.alive, state.mass)
    gone = above_zero(state.alive - after.alive) * state.mass
    return Change(state=after, lost_by=((cause, np.maximum(taken, gone)),))
