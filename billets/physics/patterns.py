"""Ladder cuts and drilled dimples: plane and solid geometry, volume kept.

The limits are common practice, no source; the formulas need none. Both are made in both
faces, staggered by half a pitch, and the bar is then forged flat.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.errors import PlanError, _
from billets.physics.guards import check_above_zero
from billets.physics.state import Mask

DEEPEST = 0.4
"""Depth of a cut over the thickness of the bar, from each face [1]."""

GROOVES: Mapping[str, float] = MappingProxyType(
    {"vee": 0.5, "round": math.pi / 4.0, "square": 1.0}
)
"""Section of a groove over its width times its depth; the round one is half an
ellipse [1]."""

FLATTEST, SHARPEST = math.radians(175.0), math.radians(30.0)
"""Point angles outside which a drill is a typing mistake [rad]."""


def groove_area(shape: str, groove: Number, depth: Number) -> Number:
    """Return the section of a groove.

    Parameters
    ----------
    shape : str
        A key of `GROOVES`.
    groove, depth : float or array (draws,)
        Width at the surface, and depth [m].

    Returns
    -------
    float or array (draws,)
        Area [m^2].

    Examples
    --------
    >>> round(1e6 * groove_area("vee", 0.006, 0.002), 3)
    6.0
    """
    if shape not in GROOVES:
        raise PlanError(
            _("There is no groove of the shape {shape}; choose one of {choices}."),
            field="groove_shape",
            shape=shape,
            choices=", ".join(GROOVES),
        )
    check_above_zero("groove", groove)
    check_above_zero("depth", depth)
    return GROOVES[shape] * groove * depth


def ladder_share(area: Number, pitch: Number, thickness: Number) -> Number:
    """Return the share of a bar that grooves across both faces take.

    Parameters
    ----------
    area : float or array (draws,)
        Section of one groove [m^2].
    pitch : float or array (draws,)
        From groove to groove on one face [m].
    thickness : float or array (draws,)
        Of the bar [m].

    Returns
    -------
    float or array (draws,)
        Share of the bar's mass [1].
    """
    check_above_zero("pitch", pitch)
    return 2.0 * area / (pitch * thickness)


def cone_height(drill: Number, point: float) -> Number:
    """Return how deep the point of a drill reaches before its full width cuts.

    Parameters
    ----------
    drill : float or array (draws,)
        Diameter of the drill [m].
    point : float
        Angle of its point, 30 to 175 degrees [rad].

    Returns
    -------
    float or array (draws,)
        Height of the cone [m].
    """
    check_above_zero("drill", drill)
    if not SHARPEST <= point <= FLATTEST:
        raise PlanError(
            _("The point of a drill lies between {low} and {high}, not at {value}."),
            field="point",
            low=SHARPEST,
            high=FLATTEST,
            value=point,
        )
    return drill / 2.0 / math.tan(point / 2.0)


def dimple_volume(drill: Number, depth: Number, point: float) -> Number:
    """Return what a drill takes out of a dimple.

    Parameters
    ----------
    drill : float or array (draws,)
        Diameter of the drill [m].
    depth : float or array (draws,)
        From the surface to the point of the dimple [m].
    point : float
        Angle of the drill's point, 30 to 175 degrees [rad].

    Returns
    -------
    float or array (draws,)
        Volume: a cone, and a cylinder on it where the drill goes deeper [m^3].
    """
    check_above_zero("depth", depth)
    whole = cone_height(drill, point)
    cone = np.minimum(depth, whole)
    radius = cone * math.tan(point / 2.0)
    straight = np.maximum(depth - whole, 0.0)
    return math.pi * (radius**2 * cone / 3.0 + drill**2 / 4.0 * straight)


def dimple_width(drill: Number, depth: Number, point: float) -> Number:
    """Return how wide a dimple is at the surface.

    Parameters
    ----------
    drill : float or array (draws,)
        Diameter of the drill [m].
    depth : float or array (draws,)
        From the surface to the point of the dimple [m].
    point : float
        Angle of the drill's point, 30 to 175 degrees [rad].

    Returns
    -------
    float or array (draws,)
        Diameter [m].
    """
    cone = np.minimum(depth, cone_height(drill, point))
    width: Number = 2.0 * cone * math.tan(point / 2.0)
    return width


def dimple_share(volume: Number, pitch: Number, thickness: Number) -> Number:
    """Return the share of a bar that dimples in both faces take.

    Parameters
    ----------
    volume : float or array (draws,)
        Of one dimple [m^3].
    pitch : float or array (draws,)
        Side of the square lattice on one face [m].
    thickness : float or array (draws,)
        Of the bar [m].

    Returns
    -------
    float or array (draws,)
        Share of the bar's mass [1].
    """
    check_above_zero("pitch", pitch)
    return 2.0 * volume / (pitch**2 * thickness)


def flat_thickness(thickness: Number, share: Number) -> Number:
    """Return how thick a cut bar is once it is forged flat.

    Parameters
    ----------
    thickness : float or array (draws,)
        Of the bar before it was cut [m].
    share : float or array (draws,)
        Share of it that was cut away [1].

    Returns
    -------
    float or array (draws,)
        Thickness at unchanged length and width [m].
    """
    return thickness * (1.0 - share)


def too_deep(depth: Number, thickness: Number) -> Mask:
    """Return where a cut is deeper than it should be.

    Parameters
    ----------
    depth, thickness : float or array (draws,)
        Depth from each face, and thickness of the bar [m].

    Returns
    -------
    bool or array of bool (draws,)
        Whether it is over `DEEPEST` of the thickness [1].
    """
    deep: Mask = depth > DEEPEST * thickness * (1.0 + 1e-9)
    return deep


def floors_meet(depth: Number, thickness: Number) -> Mask:
    """Return where cuts from both faces reach each other.

    Parameters
    ----------
    depth, thickness : float or array (draws,)
        Depth from each face, and thickness of the bar [m].

    Returns
    -------
    bool or array of bool (draws,)
        Whether nothing would be left between them [1].
    """
    meet: Mask = 2.0 * depth >= thickness
    return meet
