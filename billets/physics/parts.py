"""The parts of a knife: what they weigh together, and where they balance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of a knife, as the balance sees it.

    Attributes
    ----------
    name : str
        Which part.
    mass : float
        Its mass [kg].
    centre : float
        Its centroid in front of the heel; negative behind it [m].
    spread : float
        How far its mass may be off, as a part of it [1].
    """

    name: str
    mass: float
    centre: float
    spread: float


def total_mass(parts: Sequence[Part]) -> float:
    """Return the mass of parts together [kg].

    Parameters
    ----------
    parts : sequence of Part
        The parts.

    Returns
    -------
    float
        Mass [kg].
    """
    return sum(part.mass for part in parts)


def balance_point(parts: Sequence[Part]) -> float:
    """Return where a knife balances.

    Parameters
    ----------
    parts : sequence of Part
        The parts.

    Returns
    -------
    float
        In front of the heel; negative behind it [m].
    """
    return sum(part.mass * part.centre for part in parts) / total_mass(parts)


def balance_spread(parts: Sequence[Part]) -> float:
    """Return how far the balance point may lie off.

    Parameters
    ----------
    parts : sequence of Part
        The parts, each with its own spread.

    Returns
    -------
    float
        Either way [m].

    Notes
    -----
    Common practice, no source: each part's mass is off by itself, and moves the
    balance by its lever over the whole mass; the root of the sum of squares.
    """
    mass, here = total_mass(parts), balance_point(parts)
    moves = (part.mass * part.spread * (part.centre - here) / mass for part in parts)
    return math.hypot(*moves)
