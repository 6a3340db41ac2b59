"""The model against twelve weighed knives, by one protocol and with no tuning."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from billets.physics.assembly import Fittings, assembled_parts
from billets.physics.blade import shaped_blade, sum_blade
from billets.physics.constants import STEEL_DENSITY
from billets.physics.families import FAMILIES, GRAM, Family, usual_thicknesses
from billets.physics.family_rows import (
    MILLIMETRE,
    grind_from,
    handle_from,
    neck_from,
    outline_from,
    tang_from,
)
from billets.physics.materials import MATERIALS
from billets.physics.parts import balance_point, total_mass
from billets.physics.section import Grind
from billets.physics.tang import Tang

AT_HANDLE = 0.90
"""Thickness above the heel over a single published one; common practice [1]."""

TANG_END = 0.65
"""A tang's thickness at its end over that at its front; common practice [1]."""

_DATA = Path(__file__).parent.parent / "data" / "measured.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredKnife:
    """A weighed knife and what the model says of it.

    Attributes
    ----------
    key, family : str
        Its number, and the family it is reckoned as.
    published, model : float
        Mass as its maker gives it, and as reckoned [kg].
    balance : float
        Balance point as reckoned, in front of the heel [m].
    error : float
        Model less published, over published [1].
    seen : str
        Which default of its family was set with this knife in view; empty if none.
    """

    key: str
    family: str
    published: float
    model: float
    balance: float
    error: float
    seen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredSummary:
    """How the model does over all weighed knives.

    Attributes
    ----------
    mean, mean_absolute, worst : float
        Error, its size on average, and the largest with its sign [1].
    """

    mean: float
    mean_absolute: float
    worst: float


def check_measured() -> tuple[MeasuredKnife, ...]:
    """Weigh the twelve knives with the model.

    Returns
    -------
    tuple of MeasuredKnife
        One row a knife, in the order of the table.

    Notes
    -----
    Common practice, no source: each mass is one maker's figure. The grind of gyuto and
    sujihiki was set on P2 to P9, the single bevels after seeing P1 and P11, so the
    figure flatters the model.
    """
    rows = tomllib.loads(_DATA.read_text(encoding="utf-8"))["knife"]
    return tuple(_weighed(row) for row in rows)


def summarise(knives: Sequence[MeasuredKnife]) -> MeasuredSummary:
    """Return how the model does over weighed knives.

    Parameters
    ----------
    knives : sequence of MeasuredKnife
        At least one.

    Returns
    -------
    MeasuredSummary
        Mean, mean absolute and worst error.
    """
    errors = [knife.error for knife in knives]
    return MeasuredSummary(
        mean=sum(errors) / len(errors),
        mean_absolute=sum(abs(error) for error in errors) / len(errors),
        worst=max(errors, key=abs),
    )


def _weighed(row: Mapping[str, Any]) -> MeasuredKnife:
    """Return one knife of the table with the model's answer."""
    kind = FAMILIES[row["family"]]
    length, height = (value * MILLIMETRE for value in row["size"])
    given = [value * MILLIMETRE for value in row["given"]]
    thicknesses = _thicknesses(kind, length, given)
    outline = outline_from(row["outline"]) if "outline" in row else kind.outline
    blade = shaped_blade(outline, (length, height), thicknesses, _grind(kind, row))
    parts = assembled_parts(
        sum_blade(blade),
        thicknesses[0],
        _fittings(kind, row, given[0] if len(given) == 1 else thicknesses[0]),
        STEEL_DENSITY,
    )
    published, model = row["mass"] * GRAM, total_mass(parts)
    return MeasuredKnife(
        key=row["id"],
        family=kind.key,
        published=published,
        model=model,
        balance=balance_point(parts),
        error=model / published - 1.0,
        seen=row.get("seen", ""),
    )


def _thicknesses(
    kind: Family, length: float, given: Sequence[float]
) -> tuple[float, float, float]:
    """Return spine thicknesses from all, one or none of them."""
    if len(given) == 3:
        heel, middle, tip = given
        return heel, middle, tip
    if not given:
        return usual_thicknesses(kind, length)
    heel = AT_HANDLE * given[0]
    ratio = heel / kind.heel_thickness.typical
    usual_tip = kind.tip_thickness.typical
    return heel, ratio * kind.middle_thickness.typical, min(ratio, 1.0) * usual_tip


def _grind(kind: Family, row: Mapping[str, Any]) -> Grind:
    """Return the family's grind, or the knife's own."""
    if "grind" not in row:
        return kind.grind
    own = row["grind"]
    angle = math.radians(own["edge_angle"])
    return grind_from(own, own["behind_edge"] * MILLIMETRE, angle)


def _fittings(kind: Family, row: Mapping[str, Any], thickness: float) -> Fittings:
    """Return handle and tang as published, else as assumed."""
    return Fittings(
        neck=neck_from(row["neck"]) if "neck" in row else kind.neck,
        tang=tang_from(row["tang"]) if "tang" in row else _tang(kind, thickness),
        handle=handle_from(row["handle"]),
        wood=MATERIALS[row["material"]],
        ferrule=MATERIALS["horn"],
    )


def _tang(kind: Family, thickness: float) -> Tang:
    """Return the family's tang at a thickness."""
    return replace(kind.tang, thicknesses=(thickness, TANG_END * thickness))
