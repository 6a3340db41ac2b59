"""One cut across a blade: width, area, first moment and stiffness in closed form.

v is measured from the edge up. From the edge: the small edge bevel, the main bevel up
to a part of the height, then a straight flank up to the spine.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from billets.physics.outline import Along


@dataclass(frozen=True, slots=True, kw_only=True)
class Grind:
    """How a blade is ground, the same at every station.

    Attributes
    ----------
    behind_edge : float
        Thickness at the shoulder of the edge bevel [m].
    edge_angle : float
        Angle of the edge bevel, per side [rad].
    crown : float
        Bulge of the main bevel: 0 flat, 0.25 a full parabola, -0.25 hollow [1].
    bevel : float
        Height of the main bevel as a part of the blade's height [1].
    shoulder : float
        Thickness at the top of the main bevel as a part of the spine's [1].
    single : bool
        Whether only one side is bevelled.
    hollow, rim : float
        Depth of a single bevel's hollow back, and its flat rim [m].
    """

    behind_edge: float
    edge_angle: float
    crown: float = 0.0
    bevel: float = 1.0
    shoulder: float = 1.0
    single: bool = False
    hollow: float = 0.0
    rim: float = 0.0


def edge_bevel_height(grind: Grind) -> float:
    """Return the height of the small bevel at the edge [m].

    Parameters
    ----------
    grind : Grind
        The grind.

    Returns
    -------
    float
        Height of the edge bevel [m].
    """
    sides = 1.0 if grind.single else 2.0
    return float(grind.behind_edge / (sides * np.tan(grind.edge_angle)))


def section_area(height: Along, thickness: Along, grind: Grind) -> Along:
    """Return the area of the section.

    Parameters
    ----------
    height, thickness : array (stations,)
        Height, and thickness at the spine, of at least ``behind_edge`` [m].
    grind : Grind
        The grind.

    Returns
    -------
    array (stations,)
        Area [m^2].

    References
    ----------
    Areas of the triangle, trapezium and parabola segment: Bronshtein, Semendyayev,
    Handbook of Mathematics. Quoted from memory, verify.
    """
    edge, main, top, hollow = _areas(height, thickness, grind)
    whole = edge + main + top - hollow
    return np.where(_all_edge(height, grind), _tip_area(height, grind), whole)


def section_moment(height: Along, thickness: Along, grind: Grind) -> Along:
    """Return the first moment of the section about its edge.

    Parameters
    ----------
    height, thickness : array (stations,)
        Height, and thickness at the spine, of at least ``behind_edge`` [m].
    grind : Grind
        The grind.

    Returns
    -------
    array (stations,)
        First moment, area times the height of its centroid [m^3].
    """
    edge, main, top, hollow = _areas(height, thickness, grind)
    low = edge_bevel_height(grind)
    line = _bevel_line(height, grind)
    shoulder = grind.shoulder * thickness
    run = line - low
    part = 1.0 / 3.0 + grind.crown / 3.0
    whole = (
        edge * 2.0 * low / 3.0
        + run**2 * (grind.behind_edge / 2.0 + (shoulder - grind.behind_edge) * part)
        + low * main
        + (height - line) ** 2 * (shoulder / 6.0 + thickness / 3.0)
        + line * top
        - hollow * height / 2.0
    )
    small = _tip_area(height, grind) * 2.0 * height / 3.0
    return np.where(_all_edge(height, grind), small, whole)


def section_width(above: Along, height: Along, thickness: Along, grind: Grind) -> Along:
    """Return the thickness of the section at a height above its edge.

    Parameters
    ----------
    above : array
        Height above the edge, between 0 and ``height`` [m].
    height, thickness : array, broadcast with ``above``
        Height, and thickness at the spine [m].
    grind : Grind
        The grind.

    Returns
    -------
    array
        Thickness there, the hollow of a single bevel taken off [m].
    """
    low = edge_bevel_height(grind)
    line = _bevel_line(height, grind)
    shoulder = grind.shoulder * thickness
    sides = 1.0 if grind.single else 2.0
    s = np.clip((above - low) / np.maximum(line - low, 1e-12), 0.0, 1.0)
    bulge = s + 4.0 * grind.crown * s * (1.0 - s)
    main = grind.behind_edge + (shoulder - grind.behind_edge) * bulge
    t = np.clip((above - line) / np.maximum(height - line, 1e-12), 0.0, 1.0)
    flank = np.where(above > line, (thickness - shoulder) * t, 0.0)
    small = sides * above * np.tan(grind.edge_angle)
    width = np.where(above <= low, small, main + flank)
    return np.maximum(width - hollow_depth(above, height, grind), 0.0)


def hollow_depth(above: Along, height: Along, grind: Grind) -> Along:
    """Return the depth of a single bevel's hollow back at a height above the edge.

    Parameters
    ----------
    above : array
        Height above the edge [m].
    height : array, broadcast with ``above``
        Height of the section [m].
    grind : Grind
        The grind.

    Returns
    -------
    array
        Depth of the parabola between the rims; 0 elsewhere and for two bevels [m].
    """
    half = height / 2.0 - grind.rim
    if not grind.single:
        return np.zeros_like(above + half)
    away = (above - height / 2.0) / np.maximum(half, 1e-12)
    return np.where(half > 0.0, grind.hollow * np.maximum(1.0 - away**2, 0.0), 0.0)


def section_stiffness(height: float, thickness: float, grind: Grind) -> float:
    """Return the second moment of area about the weak axis.

    Parameters
    ----------
    height, thickness : float
        Height and thickness at the spine [m].
    grind : Grind
        The grind; a single bevel is treated as if symmetric.

    Returns
    -------
    float
        Second moment of area, the integral of width cubed over 12 [m^4].

    Notes
    -----
    Exact up to rounding: each part of the section is a polynomial of at most the
    second degree, its cube of at most the sixth, and four Gauss points suffice.
    """
    low = min(edge_bevel_height(grind), height)
    line = float(_bevel_line(np.array(height), grind))
    bounds = np.array([0.0, low, min(line, height), height])
    nodes, weights = np.polynomial.legendre.leggauss(4)
    half, middle = np.diff(bounds) / 2.0, (bounds[1:] + bounds[:-1]) / 2.0
    above = middle[:, None] + half[:, None] * nodes
    width = section_width(above, np.array(height), np.array(thickness), grind)
    return float(np.sum(half[:, None] * weights * width**3) / 12.0)


def section_sides(
    height: float, thickness: float, grind: Grind, points: int = 120
) -> tuple[Along, Along, Along]:
    """Return the two sides of a section, to draw it.

    Parameters
    ----------
    height, thickness : float
        Height and thickness at the spine [m].
    grind : Grind
        The grind.
    points : int
        Points on each part of a side [1].

    Returns
    -------
    above, left, right : array (points,)
        Height above the edge and the place of either side. Two bevels lie about the
        mid-plane; the flat back of a single bevel lies at 0 [m].
    """
    line = float(_bevel_line(np.array(height), grind))
    bounds = (0.0, min(edge_bevel_height(grind), height), min(line, height), height)
    pieces = [np.linspace(a, b, points) for a, b in pairwise(bounds)]
    above = np.unique(np.concatenate(pieces))
    tall, thick = np.array(height), np.array(thickness)
    width = section_width(above, tall, thick, grind)
    if not grind.single:
        return above, -width / 2.0, width / 2.0
    hollow = hollow_depth(above, tall, grind)
    return above, hollow, width + hollow


def _areas(
    height: Along, thickness: Along, grind: Grind
) -> tuple[float, Along, Along, Along]:
    """Return edge bevel, main bevel, flank and hollow, where the edge bevel fits."""
    low = edge_bevel_height(grind)
    line = _bevel_line(height, grind)
    shoulder = grind.shoulder * thickness
    bulge = 0.5 + 2.0 * grind.crown / 3.0
    edge = grind.behind_edge * low / 2.0
    main = (line - low) * (grind.behind_edge + (shoulder - grind.behind_edge) * bulge)
    top = (height - line) * (shoulder + thickness) / 2.0
    return edge, main, top, _hollow_area(height, grind)


def _hollow_area(height: Along, grind: Grind) -> Along:
    """Return the parabola segment a single bevel's hollow takes away."""
    chord = np.maximum(height - 2.0 * grind.rim, 0.0)
    depth = grind.hollow if grind.single else 0.0
    return np.asarray(2.0 / 3.0 * depth * chord)


def _bevel_line(height: Along, grind: Grind) -> Along:
    """Return the height of the main bevel's top above the edge."""
    return np.maximum(edge_bevel_height(grind), grind.bevel * height)


def _all_edge(height: Along, grind: Grind) -> NDArray[np.bool_]:
    """Return where the section is so low that the edge bevel takes all of it."""
    return np.asarray(edge_bevel_height(grind) >= height)


def _tip_area(height: Along, grind: Grind) -> Along:
    """Return the triangle of a section that is edge bevel only."""
    sides = 1.0 if grind.single else 2.0
    return np.asarray(sides / 2.0 * height**2 * np.tan(grind.edge_angle))
