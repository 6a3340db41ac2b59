"""What handles, ferrules and pins are made of, and how heavy that is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from billets.physics.errors import PlanError, _
from billets.physics.wood import wood_density

HANDBOOK = "Wood Handbook FPL-GTR-282 (2021), Table 5-3a; quoted from memory, verify"
SHRINKAGE = "Wood Handbook GTR-190, Table 4-3"
SHRINKAGE_RECALLED = "Wood Handbook; quoted from memory, verify"
MEIER = "Meier, WOOD!, 2015; quoted from memory, verify"
PRACTICE = "common practice, no source"
LAMINATE = "laminate data, NEMA grades C and L; quoted from memory, verify"
ALLOYS = "alloy tables; quoted from memory, verify"

EPOXY_DENSITY = 1150.0
"""Set epoxy, 1100 to 1200; common practice, no source [kg/m^3]."""

BRASS_DENSITY = 8500.0
"""Brass pins; common practice, no source [kg/m^3]."""

WOOD_SPREAD = 0.10
"""One board against the handbook's mean; common practice, no source [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A material for a handle or a ferrule.

    Attributes
    ----------
    key, label : str
        Name in the registry, and the plain name, to be translated.
    density, low, high : float
        Likely density and its range [kg/m^3].
    source : str
        Where the density comes from.
    body, ferrule, metal : bool
        Whether handles and ferrules are made of it, and whether it is a metal, whose
        ferrule is a short collar.
    radial, tangential : float
        Shrinkage from green to dry; 0 where none is known [percent].
    shrinkage_source : str
        Where the shrinkage comes from; empty where none is known.
    papers : bool
        Whether trade in some kinds of it needs papers.
    """

    key: str
    label: str
    density: float
    low: float
    high: float
    source: str
    body: bool = True
    ferrule: bool = False
    metal: bool = False
    radial: float = 0.0
    tangential: float = 0.0
    shrinkage_source: str = ""
    papers: bool = False

    @property
    def spread(self) -> float:
        """Half the range over the likely density [1]."""
        return (self.high - self.low) / (2.0 * self.density)


_WOODS = (
    ("walnut", _("black walnut"), 0.55, 5.5, 7.8, SHRINKAGE),
    ("white_oak", _("white oak"), 0.68, 5.6, 10.5, SHRINKAGE),
    ("red_oak", _("red oak"), 0.63, 4.0, 8.6, SHRINKAGE_RECALLED),
    ("maple", _("sugar maple"), 0.63, 4.8, 9.9, SHRINKAGE_RECALLED),
    ("cherry", _("black cherry"), 0.50, 3.7, 7.1, SHRINKAGE),
    ("ash", _("white ash"), 0.60, 4.9, 7.8, SHRINKAGE),
    ("beech", _("beech"), 0.64, 5.5, 11.9, SHRINKAGE),
)
"""Key, label, specific gravity at 12 %, radial and tangential shrinkage, its source."""


def _woods() -> list[Material]:
    """Return the woods of the handbook at 12 % moisture."""
    woods = []
    for key, label, gravity, radial, tangential, source in _WOODS:
        density = float(wood_density(gravity))
        woods.append(
            Material(
                key=key,
                label=label,
                density=density,
                low=(1.0 - WOOD_SPREAD) * density,
                high=(1.0 + WOOD_SPREAD) * density,
                source=HANDBOOK,
                radial=radial,
                tangential=tangential,
                shrinkage_source=source,
            )
        )
    return woods


_OTHERS = (
    ("ho", _("ho (magnolia)"), (450, 500, 570), PRACTICE, "body"),
    ("bog_oak", _("bog oak"), (650, 720, 800), PRACTICE, "body"),
    ("olive", _("olive"), (850, 920, 1000), PRACTICE, "body"),
    ("rosewood", _("rosewood"), (720, 850, 980), PRACTICE, "body papers"),
    ("ebony", _("ebony"), (960, 1050, 1330), PRACTICE, "body ferrule papers"),
    (
        "blackwood",
        _("African blackwood"),
        (1140, 1270, 1400),
        MEIER,
        "body ferrule papers",
    ),
    (
        "stabilised_maple",
        _("stabilised maple"),
        (950, 1100, 1250),
        PRACTICE,
        "body ferrule",
    ),
    (
        "phenolic",
        _("canvas or linen laminate"),
        (1320, 1360, 1400),
        LAMINATE,
        "body ferrule",
    ),
    (
        "glass_laminate",
        _("glass-fibre laminate"),
        (1750, 1800, 1850),
        PRACTICE,
        "body ferrule",
    ),
    ("horn", _("buffalo horn"), (1280, 1300, 1320), PRACTICE, "ferrule"),
    ("brass", _("brass"), (8400, 8500, 8600), PRACTICE, "ferrule metal"),
    ("nickel_silver", _("nickel silver"), (8600, 8700, 8800), ALLOYS, "ferrule metal"),
    (
        "stainless",
        _("18-8 stainless steel"),
        (7880, 7930, 7980),
        PRACTICE,
        "ferrule metal",
    ),
)
"""Key, label, least, likely and greatest density, its source, its uses."""


def _others() -> list[Material]:
    """Return what is no wood of the handbook."""
    return [
        Material(
            key=key,
            label=label,
            density=float(density),
            low=float(low),
            high=float(high),
            source=source,
            body="body" in uses,
            ferrule="ferrule" in uses,
            metal="metal" in uses,
            papers="papers" in uses,
        )
        for key, label, (low, density, high), source, uses in _OTHERS
    ]


MATERIALS: Mapping[str, Material] = MappingProxyType(
    {material.key: material for material in (*_woods(), *_others())}
)
"""Every material a knife may name. Never remove one: old knives name it."""


def material(key: str, *, field: str) -> Material:
    """Return a material by its key.

    Parameters
    ----------
    key : str
        Name in the registry.
    field : str
        The input that named it, for the error.

    Returns
    -------
    Material
        The material.
    """
    try:
        return MATERIALS[key]
    except KeyError:
        raise PlanError(
            _("{material} is not a material the shop knows; choose one from the list."),
            field=field,
            material=key,
        ) from None
