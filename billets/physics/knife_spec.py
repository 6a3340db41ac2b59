"""What is asked of a knife, and what it is made of where nothing was said."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from billets.physics.assembly import Fittings
from billets.physics.blade import Blade, shaped_blade
from billets.physics.constants import STEEL_DENSITY
from billets.physics.families import FAMILIES, Family, family, usual_thicknesses
from billets.physics.grinds import FAMILY_GRIND, chosen_grind
from billets.physics.handle import METAL_FERRULE, Handle
from billets.physics.materials import Material, material
from billets.physics.tang import Neck, Tang

SINGLE_BEVEL_HEEL = 0.003
"""A single bevel needs at least this at the heel; common practice, no source [m]."""

NECK_OF_HEIGHT = 0.8
"""The neck takes at most this part of the blade's height; practice [1]."""

END_WOOD = 0.015
"""Wood usually left behind the bore; common practice, no source [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnifeSpec:
    """What a knife is to be.

    Attributes
    ----------
    family : str
        Key of the family.
    length, height : float
        Heel corner to tip, and height at the heel [m].
    heel_thickness, middle_thickness, tip_thickness : float
        Spine above the heel, at half the length, and 10 mm before the tip [m].
    grind : str
        "family", "full_flat", "convex", "wide_bevel" or "single_bevel".
    behind_edge : float
        Thickness at the shoulder of the edge bevel [m].
    edge_angle : float
        Edge bevel per side [rad].
    forging : str
        "bar", "taper" or "bevel": how far the blank is forged.
    tang : str
        "hidden" or "full".
    neck_length : float
        Heel to handle [m].
    tang_length : float or None
        From the handle's front; None for the usual one [m].
    handle : str
        "octagon", "d" or "scales".
    handle_material : str
        Key of the handle's material.
    handle_length : float
        Front to butt [m].
    ferrule : str or None
        Key of the ferrule's material; None without one.
    bolster_mass : float
        A bolster's mass; 0 without one [kg].
    allowance : str
        "tight", "typical" or "generous".
    steel_density : float
        Density of the billet's steel [kg/m^3].
    """

    family: str
    length: float
    height: float
    heel_thickness: float
    middle_thickness: float
    tip_thickness: float
    grind: str = FAMILY_GRIND
    behind_edge: float
    edge_angle: float
    forging: str = "bevel"
    tang: str
    neck_length: float
    tang_length: float | None = None
    handle: str
    handle_material: str
    handle_length: float
    ferrule: str | None = None
    bolster_mass: float = 0.0
    allowance: str = "typical"
    steel_density: float = STEEL_DENSITY


MEASURED = (
    "length", "height", "heel_thickness", "middle_thickness", "tip_thickness",
    "behind_edge", "edge_angle", "neck_length", "tang_length", "handle_length",
    "bolster_mass", "steel_density",
)  # fmt: skip
"""The fields of a knife that are numbers above zero."""


def default_spec(key: str, length: float | None = None) -> KnifeSpec:
    """Return the usual knife of a family, at any length.

    Parameters
    ----------
    key : str
        Key of the family.
    length : float or None
        Heel corner to tip; None for the usual one [m].

    Returns
    -------
    KnifeSpec
        Every field filled in.

    Notes
    -----
    Common practice, no source: heel and middle thickness, and within the usual range
    the height, grow with the root of the length.
    """
    kind = family(key)
    long = kind.length.typical if length is None else length
    heel, middle, tip = _thicknesses(kind, long)
    return KnifeSpec(
        family=key,
        length=long,
        height=_usual_height(kind, long),
        heel_thickness=heel,
        middle_thickness=middle,
        tip_thickness=tip,
        behind_edge=kind.behind_edge.typical,
        edge_angle=kind.edge_angle.typical,
        tang=kind.tang.kind,
        neck_length=kind.neck.length,
        handle=kind.handle.kind,
        handle_material=kind.material,
        handle_length=kind.handle.length,
        ferrule="horn" if kind.tang.kind == "hidden" else None,
    )


def spec_blade(spec: KnifeSpec) -> Blade:
    """Return the blade a knife asks for.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.

    Returns
    -------
    Blade
        Its curves and its section.
    """
    kind = family(spec.family)
    grind = chosen_grind(
        kind, spec.grind, behind_edge=spec.behind_edge, edge_angle=spec.edge_angle
    )
    thicknesses = (spec.heel_thickness, spec.middle_thickness, spec.tip_thickness)
    return shaped_blade(kind.outline, (spec.length, spec.height), thicknesses, grind)


def spec_fittings(spec: KnifeSpec) -> Fittings:
    """Return what a knife is fitted with.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.

    Returns
    -------
    Fittings
        Neck, tang and handle; those of a like family where the other kind of tang
        was chosen, the tang as much thicker as the heel is.
    """
    own = family(spec.family)
    kind = own if own.tang.kind == spec.tang else FAMILIES[own.other]
    tang = _tang(kind, spec)
    ferrule = material(spec.ferrule, field="ferrule") if spec.ferrule else None
    neck = kind.neck if kind is own else replace(own.neck, back=kind.neck.back)
    front = min(neck.front, NECK_OF_HEIGHT * spec.height)
    return Fittings(
        neck=Neck(length=spec.neck_length, front=front, back=min(neck.back, front)),
        tang=tang,
        handle=_handle(kind, spec, tang, ferrule),
        wood=material(spec.handle_material, field="handle_material"),
        ferrule=ferrule,
        bolster=spec.bolster_mass,
    )


def _thicknesses(kind: Family, length: float) -> tuple[float, float, float]:
    """Return usual thicknesses that also keep the form rules at odd lengths."""
    heel, middle, tip = usual_thicknesses(kind, length)
    if kind.grind.single:
        heel = max(heel, SINGLE_BEVEL_HEEL)
    return heel, middle, min(tip, middle)


def _usual_height(kind: Family, length: float) -> float:
    """Return the usual height at a length, within the range and the form rule."""
    grown = kind.height.typical * math.sqrt(length / kind.length.typical)
    height = min(max(grown, kind.height.low), kind.height.high)
    return height if kind.key == "cleaver" else min(height, length / 2.0)


def _tang(kind: Family, spec: KnifeSpec) -> Tang:
    """Return the tang: as long as a full handle, or as told, or as usual."""
    swell = spec.heel_thickness / kind.heel_thickness.typical
    front, end = kind.tang.thicknesses
    length = spec.handle_length
    if spec.tang == "hidden":
        usual = min(kind.tang.length, spec.handle_length - END_WOOD)
        length = usual if spec.tang_length is None else spec.tang_length
    return replace(kind.tang, length=length, thicknesses=(swell * front, swell * end))


def _handle(
    kind: Family, spec: KnifeSpec, tang: Tang, ferrule: Material | None
) -> Handle:
    """Return the handle, bored at least as deep as the tang is long."""
    handle = replace(kind.handle, kind=spec.handle, length=spec.handle_length)
    if spec.tang == "full":
        return handle
    bore, deep = kind.handle.bore
    depth = max(tang.length, min(deep, spec.handle_length - END_WOOD))
    cut = 0.0
    if ferrule:
        cut = METAL_FERRULE if ferrule.metal else kind.handle.ferrule
    return replace(handle, ferrule=cut, bore=(bore, depth))
