"""The side view of a blade: its edge and its spine along the length.

The frame of every blade file: x runs from the heel corner to the tip, y from the heel
corner up to the spine, the handle lies at negative x.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Along: TypeAlias = NDArray[np.float64]
"""One value for each station along a blade, shape (stations,)."""

Curve: TypeAlias = Callable[[Along], Along]
"""A value for each station: takes x, shape (stations,) [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """The shape of a side view, free of size.

    Attributes
    ----------
    tip : float
        Height of the tip above the heel corner, as a part of the height [1].
    flat : float
        Part of the length over which the edge is straight, from the heel [1].
    belly : float
        Power of the edge's rise beyond the flat [1].
    drop : float
        Fall of the straight spine over the whole length, as a part of the height [1].
    straight : float
        Part of the length over which the spine is straight, from the heel [1].
    curve : float
        Power of the spine's curve toward the tip [1].
    roundness : float
        1 for a pointed front, 0.6 to 0.8 for a rounded one [1].
    nose : float
        Height of a blunt front, as a part of the height; 0 for a point [1].
    """

    tip: float
    flat: float
    belly: float
    drop: float
    straight: float
    curve: float
    roundness: float
    nose: float


def edge_curve(outline: Outline, length: float, height: float) -> Curve:
    """Return the edge's height above the heel corner as a function of x.

    Parameters
    ----------
    outline : Outline
        The shape.
    length, height : float
        Heel corner to tip, and height at the heel [m].

    Returns
    -------
    Curve
        y of the edge [m] for x between 0 and the length [m].

    Notes
    -----
    Common practice, no source: tip * height * v ** belly beyond the flat.
    """

    def edge(x: Along) -> Along:
        rise = _beyond(x / length, outline.flat) ** outline.belly
        return np.asarray(outline.tip * height * rise)

    return edge


def spine_curve(outline: Outline, length: float, height: float) -> Curve:
    """Return the spine's height above the heel corner as a function of x.

    Parameters
    ----------
    outline : Outline
        The shape.
    length, height : float
        Heel corner to tip, and height at the heel [m].

    Returns
    -------
    Curve
        y of the spine [m] for x between 0 and the length [m].

    Notes
    -----
    Common practice, no source: a straight line that falls by ``drop``, then a curve to
    the top of the nose.
    """
    front = (outline.tip + outline.nose) * height

    def spine(x: Along) -> Along:
        part = x / length
        line = height * (1.0 - outline.drop * part)
        ahead = _beyond(part, outline.straight)
        curve = (1.0 - ahead**outline.curve) ** outline.roundness
        return np.asarray(front + (line - front) * curve)

    return spine


def _beyond(part: Along, start: float) -> Along:
    """Return how far a station is between start (0) and the tip (1)."""
    return np.clip((part - start) / (1.0 - start), 0.0, 1.0)
