"""The handle: its sections, and the parts that weigh in with it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from billets.physics.materials import BRASS_DENSITY, EPOXY_DENSITY, Material
from billets.physics.parts import Part
from billets.physics.tang import Tang, tang_bar

CORNER = 0.005
"""Leg of an octagon's 45 degree corner; a maker's report [m]."""

RIDGE = 0.002
"""How far a D handle's ridge stands out; common practice, no source [m]."""

GLUE_FILL = 0.7
"""Part of the free bore that glue or a dowel fills; common practice, no source [1]."""

CONTOUR = 0.86
"""What rounding leaves of a pair of scales; common practice, no source [1]."""

PIN = 0.006
"""Diameter of a brass pin; common practice, no source [m]."""

SCALE_GLUE = 0.0003
"""Epoxy that stays under a pair of scales; common practice, no source [kg]."""

FITTED = 0.05
"""How far a fitted part's volume may be off; common practice, no source [1]."""

GLUE_SPREAD = 0.4
"""How far the glue may be off; common practice, no source [1]."""

METAL_FERRULE = 0.010
"""A metal ferrule is a collar of this length; common practice, no source [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Handle:
    """The handle around or beside a tang.

    Attributes
    ----------
    kind : str
        "octagon" or "d" around a hidden tang, "scales" beside a full one.
    length : float
        Front to butt [m].
    front, butt : tuple of float
        Width and height there [m].
    ferrule : float
        Length of the ferrule at the front; 0 without one [m].
    bore : tuple of float
        Diameter and depth of the hole for a hidden tang [m].
    scale : float
        Thickness of one scale [m].
    pins : int
        Pins through scales and tang [1].
    """

    kind: str
    length: float
    front: tuple[float, float]
    butt: tuple[float, float]
    ferrule: float = 0.0
    bore: tuple[float, float] = (0.0, 0.0)
    scale: float = 0.0
    pins: int = 0


def octagon_area(width: float, height: float, corner: float = CORNER) -> float:
    """Return the area of a rectangle with its four corners cut at 45 degrees.

    Parameters
    ----------
    width, height : float
        Over the flats [m].
    corner : float
        Leg of the corner cut off [m].

    Returns
    -------
    float
        Area [m^2].
    """
    return width * height - 2.0 * corner**2


def d_area(width: float, height: float, ridge: float = RIDGE) -> float:
    """Return the area of an ellipse drawn out to one ridge on its side.

    Parameters
    ----------
    width, height : float
        Axes of the ellipse [m].
    ridge : float
        How far the ridge stands out of the ellipse [m].

    Returns
    -------
    float
        Area of the ellipse with the tangents that meet in the ridge [m^2].
    """
    a, b = width / 2.0, height / 2.0
    angle = math.acos(a / (a + ridge))
    return a * b * (math.pi + math.tan(angle) - angle)


SECTIONS = {"octagon": octagon_area, "d": d_area}
"""Area of a bored handle's section by its kind. Never remove one."""


def loft(handle: Handle, start: float, end: float) -> tuple[float, float]:
    """Return volume and centroid of a stretch of a bored handle, as if solid.

    Parameters
    ----------
    handle : Handle
        An octagon or D handle.
    start, end : float
        Where the stretch begins and ends, behind the handle's front [m].

    Returns
    -------
    volume, centre : float
        Volume [m^3], and its centroid behind the handle's front [m].

    Notes
    -----
    Simpson's rule on three sections, exact for an octagon, whose area is a polynomial
    of the second degree along the handle.
    """
    length = end - start
    first, middle, last = (
        _area_at(handle, place) for place in (start, (start + end) / 2.0, end)
    )
    volume = length / 6.0 * (first + 4.0 * middle + last)
    if volume == 0.0:
        return 0.0, start
    linear = -3.0 * first + 4.0 * middle - last
    square = 2.0 * first - 4.0 * middle + 2.0 * last
    moment = length**2 * (first / 2.0 + linear / 3.0 + square / 4.0)
    return volume, start + moment / volume


def bored_parts(
    handle: Handle,
    tang: Tang,
    wood: Material,
    ferrule: Material | None,
    *,
    front: float,
) -> tuple[Part, ...]:
    """Return ferrule, wood and glue of a handle bored for a hidden tang.

    Parameters
    ----------
    handle : Handle
        An octagon or D handle.
    tang : Tang
        What is glued into the bore.
    wood, ferrule : Material
        What they are made of; the ferrule may be missing.
    front : float
        The handle's front, in front of the heel, so negative [m].

    Returns
    -------
    tuple of Part
        Ferrule if there is one, wood and glue.
    """
    parts = []
    cut = handle.ferrule if ferrule else 0.0
    if ferrule:
        parts.append(_bored("ferrule", handle, (0.0, cut), ferrule, front))
    parts.append(_bored("handle", handle, (cut, handle.length), wood, front))
    bore, depth = handle.bore
    free = max(math.pi / 4.0 * bore**2 * depth - tang_bar(tang)[0], 0.0)
    parts.append(
        Part(
            name="glue",
            mass=EPOXY_DENSITY * GLUE_FILL * free,
            centre=front - depth / 2.0,
            spread=GLUE_SPREAD,
        )
    )
    return tuple(parts)


def scale_parts(
    handle: Handle, tang: Tang, wood: Material, *, front: float
) -> tuple[Part, ...]:
    """Return scales, pins and glue of a handle riveted to a full tang.

    Parameters
    ----------
    handle : Handle
        A handle of two scales.
    tang : Tang
        What they are riveted to.
    wood : Material
        What the scales are made of.
    front : float
        The handle's front, in front of the heel, so negative [m].

    Returns
    -------
    tuple of Part
        Scales, pins and glue, all at the middle of the handle.
    """
    middle = front - handle.length / 2.0
    pin = math.pi / 4.0 * PIN**2
    side = handle.length * (handle.front[1] + handle.butt[1]) / 2.0 * tang.fill
    holes = handle.pins * pin * 2.0 * handle.scale
    scales = 2.0 * side * handle.scale * CONTOUR - holes
    through = handle.pins * pin * (2.0 * handle.scale + tang.mean_thickness)
    return (
        Part(
            name="handle",
            mass=wood.density * scales,
            centre=middle,
            spread=_spread(wood),
        ),
        Part(name="pins", mass=BRASS_DENSITY * through, centre=middle, spread=FITTED),
        Part(name="glue", mass=SCALE_GLUE, centre=middle, spread=GLUE_SPREAD),
    )


def block_needed(handle: Handle) -> tuple[float, float, float]:
    """Return the block to buy for a handle, or for one of its two scales.

    Parameters
    ----------
    handle : Handle
        The handle.

    Returns
    -------
    length, height, width : float
        Least sizes of the block [m].

    Notes
    -----
    Common practice, no source: 10 mm more in length, 5 mm more in section, 2 mm more
    in the thickness of a scale.
    """
    height = max(handle.front[1], handle.butt[1]) + 0.005
    if handle.kind == "scales":
        return handle.length + 0.010, height, handle.scale + 0.002
    return handle.length + 0.010, height, max(handle.front[0], handle.butt[0]) + 0.005


def _area_at(handle: Handle, place: float) -> float:
    """Return the area of a bored handle's section behind its front."""
    part = place / handle.length
    width = handle.front[0] + part * (handle.butt[0] - handle.front[0])
    height = handle.front[1] + part * (handle.butt[1] - handle.front[1])
    return SECTIONS[handle.kind](width, height)


def _bored(
    name: str,
    handle: Handle,
    stretch: tuple[float, float],
    stuff: Material,
    front: float,
) -> Part:
    """Return a stretch of the handle, less the bore through it."""
    start, end = stretch
    solid, centre = loft(handle, start, end)
    bore, depth = handle.bore
    reach = max(min(end, depth) - start, 0.0)
    hole = math.pi / 4.0 * bore**2 * reach
    volume = solid - hole
    moment = solid * centre - hole * (start + reach / 2.0)
    return Part(
        name=name,
        mass=stuff.density * volume,
        centre=front - moment / volume,
        spread=_spread(stuff),
    )


def _spread(stuff: Material) -> float:
    """Return how far a fitted part's mass may be off, from density and fit."""
    return math.hypot(stuff.spread, FITTED)
