"""What a tool does to a bar on the way from one section to another.

The bar gets longer, thinner and quicker to cool, so a press of known force does less
in every heat. A bar too long to be squeezed all along in one heat is heated and worked
part by part: it takes more heats, but no place of it is in the fire for all of them.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from billets.physics import Number
from billets.physics.equipment import Tool
from billets.physics.errors import PlanError, _
from billets.physics.force import cogging_force
from billets.physics.pressing import (
    CENTRE,
    COOLED_BY,
    LEAST_BITE,
    MOST_IN_HEAT,
    Bar,
    Size,
    Squeezing,
    known_force,
    squeezing,
    worked_stress,
)
from billets.physics.state import Mask, some, typical

LEAST_IN_HEAT = 0.01
"""Mean strain a heat below which no one would go on, common practice, no source [1]."""

NODES = np.array([0.0, 0.6 - 0.06**0.5, 0.6 + 0.06**0.5])
WEIGHTS = np.array([2.0, 8.0 + 1.5**0.5, 8.0 - 1.5**0.5]) / 18.0
"""Places along a draw at which it is reckoned, its start among them, and weights.

Radau's rule of three points: within 2 % of a fine sum, where start, middle and end in
equal steps are 5 % off, because a thin long bar takes many times the heats of a short
thick one.
"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pull:
    """What a tool does over a whole draw.

    Attributes
    ----------
    strain : float or array (draws,)
        Mean true strain in one heat [1].
    place : float or array (draws,)
        Mean true strain of one place of the bar in each heat it is in [1].
    able : bool or array of bool (draws,)
        Whether the tool moves the bar at all.
    start : Squeezing or None
        What a press of known force does as the draw begins; None for other tools.
    """

    strain: Number
    place: Number
    able: Mask = True
    start: Squeezing | None = None


def pull(
    tool: Tool,
    size: Size,
    section: tuple[Number, Number],
    temperature: float,
    carbon: float,
) -> Pull:
    """Return what a tool does on the way from one section to another.

    Parameters
    ----------
    tool : Tool
        Press, hammer or hand.
    size : tuple of float or array (draws,)
        Length, width and height before [m].
    section : tuple of float or array (draws,)
        Width and height to reach, both in equal shares of their logarithms [m].
    temperature : float
        Of the steel as it leaves the fire [K].
    carbon : float
        Mean mass fraction in percent [%].

    Returns
    -------
    Pull
        Mean strains [1]: heats are the strain of the draw over the strain of a heat,
        summed up on the way, since the bar gets longer, thinner and colder.
        PlanError if the press does not move the bar in any draw.
    """
    if known_force(tool) is None:
        return Pull(strain=tool.strain, place=tool.strain)
    sizes = _on_the_way(size, section)
    work = squeezing(tool, sizes, temperature, carbon)
    strain = 1.0 / (WEIGHTS @ (1.0 / work.in_heat))
    place = 1.0 / (WEIGHTS @ (1.0 / np.maximum(work.in_heat, work.one_pass)))
    able = (np.min(work.largest, axis=0) >= LEAST_BITE) & (strain >= LEAST_IN_HEAT)
    if not some(able):
        raise _immovable(tool, sizes, work, temperature, carbon)
    return Pull(
        # A draw in which nothing moves ends there; it must not stretch the others.
        strain=np.where(able, strain, MOST_IN_HEAT)[()],
        place=np.where(able, place, MOST_IN_HEAT)[()],
        able=able,
        start=_first(work),
    )


def _on_the_way(size: Size, section: tuple[Number, Number]) -> Size:
    """Return the sizes at `NODES`, one row for each: (3,) or (3, draws)."""
    length, width, height = size
    wider = np.log(section[0] / width)
    flatter = np.log(section[1] / height)
    share = NODES if np.ndim(length + wider + flatter) == 0 else NODES[:, np.newaxis]
    widths, heights = width * np.exp(share * wider), height * np.exp(share * flatter)
    return length * (width * height) / (widths * heights), widths, heights


def _first(work: Squeezing) -> Squeezing:
    """Return the first row of what was reckoned at `NODES`."""
    rows = {one.name: getattr(work, one.name)[0] for one in fields(Squeezing)}
    return Squeezing(**rows)


def _immovable(
    tool: Tool, sizes: Size, work: Squeezing, temperature: float, carbon: float
) -> PlanError:
    """Return what to say of a bar the press does not bite, or hardly moves."""
    bites = [typical(row) for row in np.asarray(work.largest)]
    if min(bites) < LEAST_BITE:
        return _no_bite(tool, _worst(sizes, work.largest), temperature, carbon)
    return _hardly(tool, _worst(sizes, work.in_heat), temperature)


def _worst(sizes: Size, rows: Number) -> Bar:
    """Return the size, of those at `NODES`, at which something is least."""
    place = int(np.argmin([typical(row) for row in np.asarray(rows)]))
    length, width, height = (typical(np.asarray(one)[place]) for one in sizes)
    return length, width, height


def _said(tool: Tool, bar: Bar, temperature: float) -> dict[str, object]:
    length, width, height = bar
    return {
        "force": known_force(tool), "temperature": temperature,
        "length": length, "width": width, "thickness": height,
    }  # fmt: skip


def _hardly(tool: Tool, bar: Bar, temperature: float) -> PlanError:
    return PlanError(
        _(
            "Step {step}: a press of {force} hardly moves a bar {length} long and "
            "{width} by {thickness} in a heat; draw hotter, take a shorter stack, a "
            "bigger press or the hammer."
        ),
        field="tool",
        **_said(tool, bar, temperature),
    )


def _no_bite(tool: Tool, bar: Bar, temperature: float, carbon: float) -> PlanError:
    _length, width, height = bar
    stress = worked_stress(carbon, height, temperature - COOLED_BY)
    needed = cogging_force(stress, width, CENTRE * height, height)
    return PlanError(
        _(
            "Step {step}: a press of {force} does not get into a section of {width} by "
            "{thickness} at {temperature}; a bite of a third of its height takes "
            "{needed_force}. Draw hotter, start with a narrower stack, or take a "
            "bigger press or the hammer."
        ),
        field="tool",
        needed_force=typical(needed),
        **_said(tool, bar, temperature),
    )
