"""What a plan may ask for but should be looked at twice, or cannot come about."""

from __future__ import annotations

import numpy as np

from billets.physics import Number
from billets.physics.bar import Stack
from billets.physics.burning import AMBER_MARGIN, LEAST_CARBON, RED_MARGIN, solidus
from billets.physics.equipment import Forge
from billets.physics.errors import Flag, PlanError, _
from billets.physics.heating import RETURN
from billets.physics.scale import CHAIN_LAW
from billets.physics.state import Context, Mask, State, every, mostly, some, typical

STEADY = 1.5
"""Length over height of a piece that stacks well, common practice, no source [1]."""

SPREADING = 1.5
"""Width a press reaches, over the width before, common practice, no source [1]."""


def heat_flags(temperature: float, context: Context) -> tuple[Flag, ...]:
    """Return what to say about a heat; PlanError if it cannot be.

    Parameters
    ----------
    temperature : float
        Of the steel [K].
    context : Context
        The forge, and the steel that burns first.

    Returns
    -------
    tuple of Flag
        Sentences about burning, and about laws stretched beyond their range.

    Notes
    -----
    Judged by the highest carbon in the stack and by steel temperature; the wall is
    hotter, and may be.
    """
    steel, wall = context.hardest, context.forge.wall_temperature
    melting = solidus(steel.carbon)
    said = {"temperature": temperature, "steel": steel.name, "solidus": melting}
    if not RETURN < temperature < melting:
        raise PlanError(
            _(
                "Step {step}: {temperature} is no forging heat for {steel}; choose "
                "one above {least} and below {solidus}, where it starts to melt."
            ),
            field="temperature",
            least=RETURN,
            **said,
        )
    if not wall > temperature:
        raise PlanError(
            _(
                "Step {step}: the forge wall at {wall} cannot heat steel to "
                "{temperature}; run the forge hotter or choose a lower heat."
            ),
            field="forge",
            wall=wall,
            **said,
        )
    return (*_burning(temperature, melting, said), *_stretched(temperature))


def _burning(
    temperature: float, melting: float, said: dict[str, object]
) -> tuple[Flag, ...]:
    if temperature >= melting - RED_MARGIN:
        return (
            Flag(
                message=_(
                    "Step {step}: {temperature} is within {margin} of where {steel} "
                    "starts to melt; it may burn. Weld colder, or tick this knowingly."
                ),
                field="temperature",
                level="red",
                values={**said, "margin": RED_MARGIN},
            ),
        )
    if temperature >= melting - AMBER_MARGIN:
        return (
            Flag(
                message=_(
                    "Step {step}: {temperature} is close to where {steel} starts to "
                    "burn; keep the soak short and watch for sparks."
                ),
                field="temperature",
                values={**said, "margin": AMBER_MARGIN},
            ),
        )
    return ()


def _stretched(temperature: float) -> tuple[Flag, ...]:
    if temperature <= CHAIN_LAW.hottest:
        return ()
    return (
        Flag(
            message=_(
                "Step {step}: scale was measured up to {hottest} only; at "
                "{temperature} the loss is a guess."
            ),
            field="temperature",
            level="note",
            values={"temperature": temperature, "hottest": CHAIN_LAW.hottest},
        ),
    )


def stack_flags(stack: Stack, forge: Forge) -> tuple[Flag, ...]:
    """Return what to say about a stack before the first weld.

    Parameters
    ----------
    stack : Stack
        The pieces.
    forge : Forge
        Where they are heated.

    Returns
    -------
    tuple of Flag
        Sentences.
    """
    flags: tuple[Flag, ...] = ()
    steel = stack.hardest
    if steel.carbon < LEAST_CARBON:
        flags = (
            Flag(
                message=_(
                    "No steel in the stack holds more carbon than {carbon} %; its "
                    "melting point is taken as {solidus}."
                ),
                field="layers",
                level="note",
                values={"carbon": steel.carbon, "solidus": solidus(steel.carbon)},
            ),
        )
    if forge.atmosphere == "can":
        vent = _("Leave a weep hole in the can: a sealed one can burst violently.")
        flags = (*flags, Flag(message=vent, field="forge"))
    return flags


def door_flags(state: State, forge: Forge) -> tuple[Flag, ...]:
    """Return what to say about a billet at the forge door; PlanError if too big.

    Parameters
    ----------
    state : State
        The billet, whichever side up [m].
    forge : Forge
        Its door [m].

    Returns
    -------
    tuple of Flag
        A sentence if it is too big in some draws.
    """
    fits = passes_door(forge, state.width, state.thickness)
    if every(fits):
        return ()
    said = {
        "width": typical(state.width),
        "thickness": typical(state.thickness),
        "door_width": forge.door_width,
        "door_height": forge.door_height,
    }
    if not some(fits):
        raise PlanError(
            _(
                "Step {step}: a section of {width} by {thickness} does not pass the "
                "forge door of {door_width} by {door_height}; use a smaller stack, "
                "fewer pieces or a bigger forge."
            ),
            field="forge",
            **said,
        )
    tight = _(
        "Step {step}: a section of {width} by {thickness} may not pass the forge door "
        "of {door_width} by {door_height}."
    )
    return (Flag(message=tight, field="forge", values=said),)


def passes_door(forge: Forge, width: Number, thickness: Number) -> Mask:
    """Say whether a section passes the forge door.

    Parameters
    ----------
    forge : Forge
        Its door [m].
    width, thickness : float or array (draws,)
        The section, whichever side up [m].

    Returns
    -------
    bool or array of bool (draws,)
        Whether it does.
    """
    wide = max(forge.door_width, forge.door_height)
    high = min(forge.door_width, forge.door_height)
    passes: Mask = (np.maximum(width, thickness) <= wide) & (
        np.minimum(width, thickness) <= high
    )
    return passes


def spread_flags(state: State, width: Number) -> tuple[Flag, ...]:
    """Return what to say about drawing a billet wider.

    Parameters
    ----------
    state : State
        The billet before [m].
    width : float or array (draws,)
        Width to reach [m].

    Returns
    -------
    tuple of Flag
        A sentence if the width grows by more than half.
    """
    if not mostly(width > SPREADING * state.width):
        return ()
    message = _(
        "Step {step}: the bar is to spread from {before} to {width}; tools draw long "
        "rather than wide. Start wider or plan narrower."
    )
    said = {"before": typical(state.width), "width": typical(width)}
    return (Flag(message=message, field="width", values=said),)


def piece_flags(length: Number, thickness: Number) -> tuple[Flag, ...]:
    """Return what to say about pieces to be laid on one another.

    Parameters
    ----------
    length : float or array (draws,)
        Length of a piece [m].
    thickness : float or array (draws,)
        Height of the stack they make [m].

    Returns
    -------
    tuple of Flag
        A sentence if the stack stands nearly as high as it is long.
    """
    if not mostly(length < STEADY * thickness):
        return ()
    message = _(
        "Step {step}: pieces of {length} make a stack {thickness} high, which tips and "
        "cools at its ends; cut fewer pieces or start longer."
    )
    said = {"length": typical(length), "thickness": typical(thickness)}
    return (Flag(message=message, field="pieces", values=said),)
