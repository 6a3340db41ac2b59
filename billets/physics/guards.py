"""What a plan may not ask for, whatever comes of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import fields
from itertools import pairwise

from billets.physics import Number
from billets.physics.atmosphere import atmosphere_factor
from billets.physics.bar import Layer, Stack, Steel
from billets.physics.equipment import Forge
from billets.physics.errors import PlanError, _
from billets.physics.factors import Factors
from billets.physics.press_guard import check_press
from billets.physics.state import Context, every, mostly
from billets.physics.steps import Step

LONGEST, WIDEST, THINNEST = 5.0, 1.0, 1e-4
"""Sizes beyond which a stack or a bar is a typing mistake [m]."""

HOTTEST_WALL = 1873.15
"""No gas forge gets beyond 1600 degrees Celsius; common practice, no source [K]."""

MOST_HEATS = 40
"""Heats of one weld beyond which a plan is a typing mistake [1]."""

LEAST_STRAIN, MOST_STRAIN = 0.02, 1.5
"""Strain in one heat outside which a tool is a typing mistake [1]."""


TOO_SMALL = {
    "length": _("The length must be {least} or more."),
    "width": _("The width must be {least} or more."),
    "thickness": _("The thickness must be {least} or more."),
}
TOO_BIG = {
    "length": _("A length of more than {most} is no billet; check its unit."),
    "width": _("A width of more than {most} is no billet; check its unit."),
    "thickness": _("A thickness of more than {most} is no billet; check its unit."),
}
NOT_ABOVE_ZERO = {
    "turns": _("Step {step}: a twist needs a number of turns above zero."),
    "length": _("Step {step}: the bar needs a length above zero."),
    "depth": _("Step {step}: the depth must be above zero."),
    "groove": _("Step {step}: a groove needs a width above zero."),
    "pitch": _("Step {step}: the pitch must be above zero."),
    "drill": _("Step {step}: the drill needs a diameter above zero."),
}
BELOW_ZERO = {
    "seconds": _("Step {step}: the time at heat may not be below zero."),
    "per_end": _("Step {step}: the trim at each end may not be below zero."),
    "face": _("Step {step}: grinding of the faces may not be below zero."),
    "edge": _("Step {step}: grinding of the edges may not be below zero."),
}
NOT_CREDIBLE = {
    "forge": _("The forge needs a wall temperature, a door and gas above zero."),
    "tool": _("The strain of one heat must lie between {least} and {most}."),
    "saw": _("The kerf of the saw may not be below zero."),
    "factors": _("A factor of the shop is below zero or beyond belief; correct it."),
    "lightings": _("The forge is lit at least once; correct the lightings."),
}


def check_size(field: str, size: Number, most: float) -> None:
    """Raise PlanError unless a size of a stack or a bar is credible.

    Parameters
    ----------
    field : str
        The input it comes from, a key of `TOO_SMALL`.
    size : float or array (draws,)
        The size [m].
    most : float
        The largest credible size [m].
    """
    if not every(size >= THINNEST):
        raise PlanError(TOO_SMALL[field], field=field, value=size, least=THINNEST)
    if not every(size <= most):
        raise PlanError(TOO_BIG[field], field=field, value=size, most=most)


def check_stack(stack: Stack) -> None:
    """Raise PlanError unless the stack can be laid and makes a pattern.

    Parameters
    ----------
    stack : Stack
        The pieces; length and width float or array (draws,) [m].
    """
    if not stack.layers:
        raise PlanError(
            _("The stack has no pieces; give it at least two layers."), field="layers"
        )
    for number, layer in enumerate(stack.layers, start=1):
        _check_layer(number, layer)
    if len({layer.steel.key for layer in stack.layers}) < 2:
        raise PlanError(
            _(
                "All layers are of one steel, which shows no pattern; add a steel "
                "that etches differently."
            ),
            field="layers",
            steel=stack.layers[0].steel.name,
        )
    check_size("length", stack.length, LONGEST)
    check_size("width", stack.width, WIDEST)


def _check_layer(number: int, layer: Layer) -> None:
    thick = (layer.thickness > 0) & (layer.thickness <= WIDEST)
    # In a batch each steel is one layer, as thick as all of its pieces in each draw.
    if not every(thick):
        raise PlanError(
            _("Layer {number} needs a thickness above zero and below {most}."),
            field="layers",
            number=number,
            value=layer.thickness,
            most=WIDEST,
        )
    _check_density(layer.steel)


def _check_density(steel: Steel) -> None:
    if not 0 < steel.density < math.inf:
        raise PlanError(
            _("Steel {steel} needs a density above zero."),
            field="density",
            steel=steel.name,
            value=steel.density,
        )


def check_order(steps: Sequence[Step]) -> None:
    """Raise PlanError unless every stack is welded before anything else is done."""
    if not steps or steps[0].kind != "weld":
        raise PlanError(
            _("The stack is loose until it is welded; make the first step a weld."),
            field="steps",
            step=1,
        )
    loose = ("cut", "fold", "core")
    for number, (before, step) in enumerate(pairwise(steps), start=2):
        if before.kind in loose and step.kind != "weld":
            raise PlanError(
                _(
                    "The pieces are loose after a cut, a fold or a core; make step "
                    "{step} a weld."
                ),
                field="steps",
                step=number,
            )
    if steps[-1].kind in loose:
        raise PlanError(
            _("The plan ends with loose pieces; weld them or drop step {step}."),
            field="steps",
            step=len(steps),
        )


def check_shop(context: Context, lightings: int) -> None:
    """Raise PlanError unless equipment and factors are credible.

    Parameters
    ----------
    context : Context
        Equipment and factors.
    lightings : int
        How often the forge is lit [1].
    """
    strain = context.tool.strain * context.factors.strain
    check_press(context.tool)
    _check_wall(context.forge.wall_temperature)
    atmosphere_factor(context.forge.atmosphere)
    credible = {
        "forge": _burns(context.forge),
        "tool": mostly((strain >= LEAST_STRAIN) & (strain <= MOST_STRAIN)),
        "saw": _sound(context.saw.kerf),
        "factors": _plausible(context.factors),
        "lightings": lightings >= 1,
    }
    for field, fine in credible.items():
        if not fine:
            raise PlanError(
                NOT_CREDIBLE[field],
                field=field,
                least=LEAST_STRAIN,
                most=MOST_STRAIN,
            )


def _check_wall(temperature: float) -> None:
    if not temperature <= HOTTEST_WALL:
        raise PlanError(
            _(
                "A forge wall of {temperature} is a typing mistake; walls of gas "
                "forges stay below {most_temperature}."
            ),
            field="forge",
            temperature=temperature,
            most_temperature=HOTTEST_WALL,
        )


def _burns(forge: Forge) -> bool:
    return (
        math.isfinite(forge.wall_temperature)
        and forge.door_width > 0
        and forge.door_height > 0
        and _sound(forge.gas_rate)
        and _sound(forge.preheat)
    )


def _plausible(factors: Factors) -> bool:
    """Return whether no factor is below zero; heats may be fewer than planned."""
    values = {one.name: getattr(factors, one.name) for one in fields(factors)}
    heats = values.pop("weld_heats")
    return all(map(_sound, values.values())) and every(abs(heats) <= MOST_HEATS)


def check_not_below_zero(field: str, value: Number) -> None:
    """Raise PlanError if a value of a step is below zero.

    Parameters
    ----------
    field : str
        The input it comes from, a key of `BELOW_ZERO`.
    value : float or array (draws,)
        The value [any unit].
    """
    if not _sound(value):
        raise PlanError(BELOW_ZERO[field], field=field, value=value)


def check_above_zero(field: str, value: Number) -> None:
    """Raise PlanError unless a value of a step is above zero.

    Parameters
    ----------
    field : str
        The input it comes from, a key of `NOT_ABOVE_ZERO`.
    value : float or array (draws,)
        The value [any unit].
    """
    if not every((value > 0) & (value < math.inf)):
        raise PlanError(NOT_ABOVE_ZERO[field], field=field, value=value)


def check_core(steel: Steel, thickness: float) -> None:
    """Raise PlanError unless a core can be laid in.

    Parameters
    ----------
    steel : Steel
        What it is made of.
    thickness : float
        How thick it is laid in [m].
    """
    if not THINNEST <= thickness <= WIDEST:
        raise PlanError(
            _(
                "Step {step}: a core is {least_thickness} to {most_thickness} thick, "
                "not {thickness}."
            ),
            field="core",
            least_thickness=THINNEST,
            most_thickness=WIDEST,
            thickness=thickness,
        )
    _check_density(steel)


def _sound(value: Number) -> bool:
    """Return whether a value is a number from zero up, in all draws."""
    return every((value >= 0) & (value < math.inf))
