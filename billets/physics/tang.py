"""The steel behind the heel: the neck, and the tang in or between the handle."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Neck:
    """The steel between heel and handle.

    Attributes
    ----------
    length : float
        Heel to the handle's front [m].
    front, back : float
        Height at the heel and at the handle [m].
    """

    length: float
    front: float
    back: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tang:
    """The steel inside a handle or between its scales.

    Attributes
    ----------
    kind : str
        "hidden" inside the handle, or "full" between two scales.
    length : float
        From the handle's front [m].
    heights, thicknesses : tuple of float
        At the front and at the end [m].
    fill : float
        Part of the tapered bar that its shape leaves [1].
    holes : tuple of (count, diameter)
        Holes drilled through it [1] and [m].
    """

    kind: str
    length: float
    heights: tuple[float, float]
    thicknesses: tuple[float, float]
    fill: float = 1.0
    holes: tuple[tuple[int, float], ...] = ()

    @property
    def mean_thickness(self) -> float:
        """Half the sum of both thicknesses [m]."""
        return sum(self.thicknesses) / 2.0


def tapered_bar(
    length: float, heights: tuple[float, float], thicknesses: tuple[float, float]
) -> tuple[float, float]:
    """Return volume and centroid of a bar that tapers evenly in both directions.

    Parameters
    ----------
    length : float
        End to end [m].
    heights, thicknesses : tuple of float
        At the front and at the end [m].

    Returns
    -------
    volume, centre : float
        Volume [m^3], and its centroid behind the front [m].

    References
    ----------
    Bronshtein, Semendyayev, Handbook of Mathematics, stereometry. Quoted from memory,
    verify.

    Examples
    --------
    >>> volume, centre = tapered_bar(0.095, (0.013, 0.007), (0.003, 0.002))
    >>> round(volume * 1e9, 1), round(centre * 1e3, 3)
    (2422.5, 39.739)
    """
    (h, g), (t, s) = heights, thicknesses
    total = 2.0 * h * t + h * s + g * t + 2.0 * g * s
    later = h * t + h * s + g * t + 3.0 * g * s
    return length / 6.0 * total, length * later / (2.0 * total)


def neck_bar(neck: Neck, heel: float, tang: Tang) -> tuple[float, float]:
    """Return volume and centroid of the neck.

    Parameters
    ----------
    neck : Neck
        Its length and heights.
    heel : float
        Spine thickness above the heel [m].
    tang : Tang
        The neck swells to its thickness if that is greater.

    Returns
    -------
    volume, centre : float
        Volume [m^3], and its centroid behind the heel [m].
    """
    back = max(heel, tang.thicknesses[0])
    return tapered_bar(neck.length, (neck.front, neck.back), (heel, back))


def tang_bar(tang: Tang) -> tuple[float, float]:
    """Return volume and centroid of the tang before its holes are drilled.

    Parameters
    ----------
    tang : Tang
        The tang.

    Returns
    -------
    volume, centre : float
        Volume [m^3], and its centroid behind the handle's front [m].
    """
    volume, centre = tapered_bar(tang.length, tang.heights, tang.thicknesses)
    return tang.fill * volume, centre


def drilled(tang: Tang) -> float:
    """Return the steel that the holes take out of a tang.

    Parameters
    ----------
    tang : Tang
        The tang.

    Returns
    -------
    float
        Volume [m^3].
    """
    area = sum(count * math.pi / 4.0 * size**2 for count, size in tang.holes)
    return area * tang.mean_thickness
