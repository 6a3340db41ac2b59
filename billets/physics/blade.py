"""Area, volume, mass and centroid of a blade, summed over its sections."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics.outline import Along, Curve, Outline, edge_curve, spine_curve
from billets.physics.section import Grind, section_area, section_moment
from billets.physics.taper import TIP_STATION, spine_taper

PANELS = 400
"""Simpson panels along a blade: relative error about 1e-8."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blade:
    """A blade as curves along its length, whatever they come from.

    Attributes
    ----------
    length : float
        Heel corner to tip [m].
    edge, spine : Curve
        Height of edge and spine above the heel corner [m].
    thickness : Curve
        Thickness of the spine [m].
    grind : Grind
        The section.
    """

    length: float
    edge: Curve
    spine: Curve
    thickness: Curve
    grind: Grind


@dataclass(frozen=True, slots=True, kw_only=True)
class BladeSums:
    """What a blade sums up to.

    Attributes
    ----------
    outline_area : float
        Area of the side view [m^2].
    volume : float
        Steel in the blade [m^3].
    centre, centre_height : float
        Centroid in front of the heel, and above the heel corner [m].
    """

    outline_area: float
    volume: float
    centre: float
    centre_height: float


def shaped_blade(
    outline: Outline,
    size: tuple[float, float],
    thicknesses: tuple[float, float, float],
    grind: Grind,
    *,
    tip_station: float = TIP_STATION,
) -> Blade:
    """Return the blade of an outline at a size.

    Parameters
    ----------
    outline : Outline
        The side view's shape.
    size : tuple of float
        Length and height at the heel [m].
    thicknesses : tuple of float
        Spine above the heel, at half the length, and before the tip [m].
    grind : Grind
        The section.
    tip_station : float
        How far before the tip the third thickness is measured [m].

    Returns
    -------
    Blade
        Curves along the length.
    """
    length, height = size
    heel, middle, tip = thicknesses
    return Blade(
        length=length,
        edge=edge_curve(outline, length, height),
        spine=spine_curve(outline, length, height),
        thickness=spine_taper(length, heel, middle, tip, tip_station=tip_station),
        grind=grind,
    )


def stations(length: float, panels: int = PANELS) -> tuple[Along, Along]:
    """Return stations along a blade and Simpson's weights for them.

    Parameters
    ----------
    length : float
        Heel corner to tip [m].
    panels : int
        Even number of panels [1].

    Returns
    -------
    x, weight : array (panels + 1,)
        Stations and weights; the sum of weight times value is the integral [m].

    Notes
    -----
    x = length (1 - (1 - t)^2) crowds the stations at the tip, which takes away the
    square-root behaviour of a rounded nose.
    """
    t = np.linspace(0.0, 1.0, panels + 1)
    simpson = np.full(panels + 1, 2.0)
    simpson[1::2] = 4.0
    simpson[0] = simpson[-1] = 1.0
    x = length * (1.0 - (1.0 - t) ** 2)
    return x, simpson / (3.0 * panels) * 2.0 * length * (1.0 - t)


def sum_blade(blade: Blade, panels: int = PANELS) -> BladeSums:
    """Sum the sections of a blade.

    Parameters
    ----------
    blade : Blade
        Curves along the length.
    panels : int
        Even number of Simpson panels [1].

    Returns
    -------
    BladeSums
        Outline area, volume and centroid.
    """
    x, weight = stations(blade.length, panels)
    edge = blade.edge(x)
    height = np.maximum(blade.spine(x) - edge, 0.0)
    thickness = blade.thickness(x)
    area = section_area(height, thickness, blade.grind)
    moment = section_moment(height, thickness, blade.grind)
    volume = float(weight @ area)
    return BladeSums(
        outline_area=float(weight @ height),
        volume=volume,
        centre=float(weight @ (x * area)) / volume,
        centre_height=float(weight @ (edge * area + moment)) / volume,
    )
