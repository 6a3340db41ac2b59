"""A core laid between the two halves of a bar."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from billets.physics import Number
from billets.physics.cold_rules import cold_change, worked_cold
from billets.physics.errors import PlanError, _
from billets.physics.flags import piece_flags
from billets.physics.guards import (
    check_core,
)
from billets.physics.losses import kerf_volume
from billets.physics.pattern_flags import (
    core_flags,
)
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
from billets.physics.steps import Core


def core(state: State, step: Core, at: Context) -> Change:
    """Cut the bar in two and lay a core between the halves, loose and cold.

    Parameters
    ----------
    state : State
        The bar, sizes float or array (draws,) [m].
    step : Core
        Steel and thickness of the core [m].
    at : Context
        Saw.

    Returns
    -------
    Change
        Jacket, core, jacket; what the saw took and what was laid in [kg].
    """
    check_core(step.steel, step.thickness)
    _refuse_narrow(step.width, typical(state.width))
    high = 2.0 * state.thickness + step.thickness
    length = (state.length - at.saw.kerf) / 2.0
    _refuse_short(every(length < high), length, high)
    steel = 2.0 * state.thickness * state.density + step.thickness * step.steel.density
    after = worked_cold(
        state,
        length=np.maximum(length, LEAST_SIZE),
        thickness=high,
        alive=state.alive * (1.0 - above_zero(high - length)),
        density=steel / high,
        loose=True,
    )
    kerf = kerf_volume(state.width, state.thickness, at.saw.kerf, 2)
    change = cold_change(state, after, "kerf", kerf)
    piece = after.length * after.width * step.thickness * after.alive
    share = step.thickness / high
    return replace(
        change,
        added=step.steel.density * piece,
        pieces=3,
        figure=Figure(core=share),
        flags=(*piece_flags(after.length, high), *core_flags(share)),
    )


def _refuse_narrow(width: float, needed: float) -> None:
    """Raise PlanError if the bar for the core does not cover the halves."""
    if 0.0 < width < needed - 1e-6:
        raise PlanError(
            _(
                "Step {step}: the bar for the core is {bar_width} wide, narrower than "
                "the halves of {width}; take a wider bar or draw the billet narrower."
            ),
            field="core",
            bar_width=width,
            width=needed,
        )


def _refuse_short(
    short: bool,  # noqa: FBT001  asked of all draws
    length: Number,
    high: Number,
) -> None:
    if short:
        raise PlanError(
            _(
                "Step {step}: halves {length} long are shorter than the {needed} they "
                "make with the core between them; draw the bar thinner, take a thinner "
                "core or start longer."
            ),
            field="core",
            length=typical(length),
            needed=typical(high),
        )


def with_core(context: Context, step: object) -> Context:
    """Return what the steps after this one share: a core may be what burns first."""
    if isinstance(step, Core) and step.steel.carbon > context.hardest.carbon:
        return replace(context, hardest=step.steel)
    return context
