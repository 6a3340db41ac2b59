"""Reads shapes out of the rows of a table in millimetres."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from billets.physics.handle import Handle
from billets.physics.outline import Outline
from billets.physics.section import Grind
from billets.physics.tang import Neck, Tang

MILLIMETRE = 1e-3
"""The tables give millimetres [m]."""


def _lengths(values: list[float]) -> tuple[float, float]:
    """Return a pair of millimetres in metres."""
    first, second = values
    return first * MILLIMETRE, second * MILLIMETRE


def outline_from(values: list[float]) -> Outline:
    """Return an outline from its row of numbers.

    Parameters
    ----------
    values : list of float
        tip, flat, belly, drop, straight, curve, roundness, nose [1].

    Returns
    -------
    Outline
        The outline.
    """
    names = Outline.__dataclass_fields__
    return Outline(**dict(zip(names, values, strict=True)))


def grind_from(row: Mapping[str, float], behind_edge: float, angle: float) -> Grind:
    """Return a grind from its row of millimetres.

    Parameters
    ----------
    row : mapping
        crown, bevel, shoulder [1]; hollow and rim of a single bevel, in millimetres.
    behind_edge : float
        Thickness at the shoulder of the edge bevel [m].
    angle : float
        Angle of the edge bevel per side [rad].

    Returns
    -------
    Grind
        The grind; one with a hollow is a single bevel.
    """
    return Grind(
        behind_edge=behind_edge,
        edge_angle=angle,
        crown=row["crown"],
        bevel=row["bevel"],
        shoulder=row["shoulder"],
        single="hollow" in row,
        hollow=row.get("hollow", 0.0) * MILLIMETRE,
        rim=row.get("rim", 0.0) * MILLIMETRE,
    )


def tang_from(row: Mapping[str, Any]) -> Tang:
    """Return a tang from its row of millimetres.

    Parameters
    ----------
    row : mapping
        kind, length, height, thickness; fill [1] and holes if any.

    Returns
    -------
    Tang
        The tang.
    """
    return Tang(
        kind=row["kind"],
        length=row["length"] * MILLIMETRE,
        heights=_lengths(row["height"]),
        thicknesses=_lengths(row["thickness"]),
        fill=row.get("fill", 1.0),
        holes=tuple((n, size * MILLIMETRE) for n, size in row.get("holes", ())),
    )


def handle_from(row: Mapping[str, Any]) -> Handle:
    """Return a handle from its row of millimetres.

    Parameters
    ----------
    row : mapping
        kind, length, front, butt; ferrule and bore, or scale and pins [1].

    Returns
    -------
    Handle
        The handle.
    """
    return Handle(
        kind=row["kind"],
        length=row["length"] * MILLIMETRE,
        front=_lengths(row["front"]),
        butt=_lengths(row["butt"]),
        ferrule=row.get("ferrule", 0.0) * MILLIMETRE,
        bore=_lengths(row.get("bore", [0.0, 0.0])),
        scale=row.get("scale", 0.0) * MILLIMETRE,
        pins=row.get("pins", 0),
    )


def neck_from(row: list[float]) -> Neck:
    """Return a neck from its row of millimetres.

    Parameters
    ----------
    row : list of float
        Length, height at the heel, height at the handle [mm].

    Returns
    -------
    Neck
        The neck.
    """
    length, front, back = (value * MILLIMETRE for value in row)
    return Neck(length=length, front=front, back=back)
