"""General tolerances for linear sizes, as a drawing and a quote print them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from billets.physics.errors import PlanError, _

LIMITS = (0.0005, 0.003, 0.006, 0.030, 0.120, 0.400, 1.000)
"""Bounds of the size ranges; each but the first belongs to the range below it [m]."""

GENERAL: Mapping[str, tuple[float | None, ...]] = MappingProxyType(
    {
        "f": (0.00005, 0.00005, 0.0001, 0.00015, 0.0002, 0.0003),
        "m": (0.0001, 0.0001, 0.0002, 0.0003, 0.0005, 0.0008),
        "c": (0.0002, 0.0003, 0.0005, 0.0008, 0.0012, 0.0020),
        "v": (None, 0.0005, 0.0010, 0.0015, 0.0025, 0.0040),
    }
)
"""ISO 2768-1, linear sizes; row m as published, the others quoted from memory, verify.
Fine, medium, coarse, very coarse [m]."""

SPINE = 0.0003
"""Spine of hand-forged work, stated singly; common practice, no source [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnifeTolerances:
    """What hand-forged work may be off.

    Attributes
    ----------
    length, height : float
        Of the blade: class v [m].
    spine : float
        Thickness of the spine [m].
    handle_length, handle_section : float
        Class c [m].
    """

    length: float
    height: float
    spine: float
    handle_length: float
    handle_section: float


def general_tolerance(grade: str, size: float) -> float:
    """Return the general tolerance of a linear size.

    Parameters
    ----------
    grade : str
        "f", "m", "c" or "v".
    size : float
        Nominal size, 0.5 mm to 1 m [m].

    Returns
    -------
    float
        Either way [m].

    References
    ----------
    ISO 2768-1, Table 1. Row m as published, the others quoted from memory, verify.

    Examples
    --------
    >>> general_tolerance("v", 0.210)
    0.0025
    """
    if grade not in GENERAL:
        raise PlanError(
            _("{grade} is not a class of general tolerances; choose f, m, c or v."),
            field="grade",
            grade=grade,
        )
    if LIMITS[0] <= size <= LIMITS[-1]:
        place = next(i for i, most in enumerate(LIMITS[1:]) if size <= most)
        found = GENERAL[grade][place]
        if found is not None:
            return found
    raise PlanError(
        _("There is no general tolerance for {size}; state one of its own."),
        field="size",
        size=size,
    )


def knife_tolerances(
    length: float, height: float, handle_length: float, handle_height: float
) -> KnifeTolerances:
    """Return what a quote for hand-forged work prints.

    Parameters
    ----------
    length, height : float
        Of the blade [m].
    handle_length, handle_height : float
        Of the handle [m].

    Returns
    -------
    KnifeTolerances
        Class v for the blade and c for the handle; common practice, no source.
    """
    return KnifeTolerances(
        length=general_tolerance("v", length),
        height=general_tolerance("v", height),
        spine=SPINE,
        handle_length=general_tolerance("c", handle_length),
        handle_section=general_tolerance("c", handle_height),
    )
