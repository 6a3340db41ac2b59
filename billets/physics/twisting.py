"""Twisting a bar about its length: how steeply its fibres wind, and in how many heats.

Plane geometry, volume kept; the defaults are common practice, no source.
"""

from __future__ import annotations

import math

import numpy as np

from billets.physics import Number
from billets.physics.guards import check_above_zero

TURNS_IN_HEAT = 1.5
"""Full turns one heat gives a bar of 15 to 20 mm, common practice, no source [1]."""

AMBER_SHEAR, RED_SHEAR = 1.7, 3.0
"""Shear at the corner above which seams may open, and above which they do [1].

Common practice, no source; the first is a fibre at 60 degrees.
"""

GROUND_AFTER = 0.20
"""Share of the thickness to grind off a twisted bar, both faces together [1].

Common practice, no source; stars show from a quarter to a third.
"""


def fibre_slope(turns: Number, length: Number, radius: Number) -> Number:
    """Return how steeply a fibre of a twisted bar winds: the shear there.

    Parameters
    ----------
    turns : float or array (draws,)
        Full turns over the whole length, above zero [1].
    length : float or array (draws,)
        Length of the bar [m].
    radius : float or array (draws,)
        From the middle of the bar to the fibre [m].

    Returns
    -------
    float or array (draws,)
        Tangent of the fibre's angle to the bar [1].

    Notes
    -----
    A fibre runs round a cylinder: 2 pi r n over L. The length is kept to first order
    only, so that beyond a shear of 3 or so the figure is a bound.

    Examples
    --------
    >>> round(fibre_slope(4.0, 0.200, 0.010), 4)
    1.2566
    """
    check_above_zero("turns", turns)
    check_above_zero("length", length)
    return 2.0 * math.pi * radius * turns / length


def fibre_angle(slope: Number) -> Number:
    """Return the angle of a fibre to the bar.

    Parameters
    ----------
    slope : float or array (draws,)
        Its tangent, from `fibre_slope` [1].

    Returns
    -------
    float or array (draws,)
        Angle [rad].
    """
    angle: Number = np.arctan(slope)
    return angle


def corner_radius(width: Number, thickness: Number, corner: Number = 0.0) -> Number:
    """Return how far the outermost fibre of a bar lies from its middle.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar [m].
    corner : float or array (draws,)
        Leg of what is taken off each corner, 0 for a sharp one [m].

    Returns
    -------
    float or array (draws,)
        Radius [m]; for a square with sharp corners its side over the root of two.
    """
    radius: Number = np.hypot(width / 2.0, thickness / 2.0 - corner)
    return radius


def octagon_corner(side: Number) -> Number:
    """Return the leg to take off each corner of a square for a regular octagon.

    Parameters
    ----------
    side : float or array (draws,)
        Side of the square [m].

    Returns
    -------
    float or array (draws,)
        Leg: the side over two plus the root of two [m].
    """
    return side / (2.0 + math.sqrt(2.0))


def corner_share(width: Number, thickness: Number, corner: Number) -> Number:
    """Return the share of a bar that taking off its four corners takes.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar [m].
    corner : float or array (draws,)
        Leg of what is taken off each corner [m].

    Returns
    -------
    float or array (draws,)
        Share of the section [1]; four right triangles.
    """
    return 2.0 * corner**2 / (width * thickness)


def twist_heats(turns: Number) -> Number:
    """Return the heats a twist takes.

    Parameters
    ----------
    turns : float or array (draws,)
        Full turns, above zero [1].

    Returns
    -------
    float or array (draws,)
        Whole heats, at least one [1]; common practice, no source: one to two turns a
        heat on a bar of 15 to 20 mm.
    """
    # Rounding must not cost a heat where the turns are a whole number of them.
    heats: Number = np.maximum(np.ceil(turns / TURNS_IN_HEAT - 1e-9), 1.0)
    return heats
