"""The twelve families of kitchen knives: their usual sizes, shapes and handles."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from billets.physics.errors import PlanError, _
from billets.physics.family_rows import (
    MILLIMETRE,
    grind_from,
    handle_from,
    neck_from,
    outline_from,
    tang_from,
)
from billets.physics.handle import Handle
from billets.physics.outline import Outline
from billets.physics.section import Grind
from billets.physics.tang import Neck, Tang

GRAM = 1e-3
"""The families' table gives grams [kg]."""


@dataclass(frozen=True, slots=True)
class Range:
    """The least, the usual and the greatest value of a size, in SI units."""

    low: float
    typical: float
    high: float

    def holds(self, value: float) -> bool:
        """Return whether a value lies in the range, rounding apart."""
        slack = 1e-9 * self.high
        return self.low - slack <= value <= self.high + slack


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """A kind of kitchen knife and what is usual for it.

    Attributes
    ----------
    key, label : str
        Name in the registry, and the plain name, to be translated.
    other : str
        The family that lends tang and handle when the other kind of tang is chosen.
    length, height, heel_thickness, middle_thickness, tip_thickness : Range
        Blade sizes [m].
    mass : Range
        The whole knife [kg].
    edge_angle : Range
        Edge bevel per side [rad].
    behind_edge, handle_length : Range
        Thickness at the edge bevel's shoulder, and handle [m].
    outline : Outline
        The side view.
    grind : Grind
        The section, with the usual edge.
    neck, tang, handle : Neck, Tang, Handle
        The usual ones.
    material : str
        The usual handle's material.
    """

    key: str
    label: str
    other: str
    length: Range
    height: Range
    heel_thickness: Range
    middle_thickness: Range
    tip_thickness: Range
    mass: Range
    edge_angle: Range
    behind_edge: Range
    handle_length: Range
    outline: Outline
    grind: Grind
    neck: Neck
    tang: Tang
    handle: Handle
    material: str


FAMILY_LABELS: Mapping[str, str] = MappingProxyType(
    {
        "chef": _("chef's knife, western"),
        "gyuto": _("gyuto"),
        "santoku": _("santoku"),
        "petty": _("petty, utility knife"),
        "paring": _("paring knife"),
        "nakiri": _("nakiri"),
        "sujihiki": _("sujihiki, slicer"),
        "boning": _("boning knife"),
        "bread": _("bread knife"),
        "cleaver": _("vegetable cleaver"),
        "yanagiba": _("yanagiba, single bevel"),
        "deba": _("deba, single bevel"),
    }
)
"""Plain names of the families, in the order they are offered."""

_DATA = Path(__file__).parent.parent / "data" / "families.toml"
_SIZES = (
    "length",
    "height",
    "heel_thickness",
    "middle_thickness",
    "tip_thickness",
    "behind_edge",
    "handle_length",
)


def _family(key: str, row: Mapping[str, Any]) -> Family:
    """Return a family from its rows."""
    sizes = {name: Range(*(v * MILLIMETRE for v in row[name])) for name in _SIZES}
    angle = Range(*(math.radians(value) for value in row["edge_angle"]))
    return Family(
        key=key,
        label=FAMILY_LABELS[key],
        other=row["other"],
        mass=Range(*(value * GRAM for value in row["mass"])),
        edge_angle=angle,
        outline=outline_from(row["outline"]),
        grind=grind_from(row["grind"], sizes["behind_edge"].typical, angle.typical),
        neck=neck_from(row["neck"]),
        tang=tang_from(row["tang"]),
        handle=handle_from(row["handle"]),
        material=row["handle"].get("material", "walnut"),
        **sizes,
    )


def _load() -> Mapping[str, Family]:
    """Read the families from their table."""
    rows = tomllib.loads(_DATA.read_text(encoding="utf-8"))
    return MappingProxyType({key: _family(key, rows[key]) for key in FAMILY_LABELS})


FAMILIES: Mapping[str, Family] = _load()
"""Every family a knife may name. Never remove one: old knives name it."""


def family(key: str) -> Family:
    """Return a family by its key.

    Parameters
    ----------
    key : str
        Name in the registry.

    Returns
    -------
    Family
        The family.
    """
    try:
        return FAMILIES[key]
    except KeyError:
        raise PlanError(
            _("{family} is not a kind of knife known here; choose one from the list."),
            field="family",
            family=key,
        ) from None


def usual_thicknesses(kind: Family, length: float) -> tuple[float, float, float]:
    """Return the usual spine thicknesses at another length.

    Parameters
    ----------
    kind : Family
        The family.
    length : float
        Heel corner to tip [m].

    Returns
    -------
    heel, middle, tip : float
        Heel and middle grow with the root of the length, the tip stays [m].

    Notes
    -----
    Common practice, no source; without the root long blades came out too light.
    """
    growth = math.sqrt(length / kind.length.typical)
    heel, middle = kind.heel_thickness.typical, kind.middle_thickness.typical
    return heel * growth, middle * growth, kind.tip_thickness.typical
