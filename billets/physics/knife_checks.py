"""What a knife may not be, and what should be looked at twice."""

from __future__ import annotations

import math
from types import MappingProxyType

from billets.physics.assembly import Fittings
from billets.physics.blank import ALLOWANCES, FORGINGS
from billets.physics.errors import Flag, Level, PlanError, _
from billets.physics.families import Family, Range, family
from billets.physics.grinds import GRIND_LABELS, chosen_grind
from billets.physics.knife_ranges import check_sizes
from billets.physics.knife_spec import MEASURED, SINGLE_BEVEL_HEEL, KnifeSpec
from billets.physics.materials import material

THINNEST_TIP = 0.0005
"""Thinnest spine before the tip that can be forged and ground; practice [m]."""

BUTT_WOOD = 0.005
"""Least wood behind a hidden tang; common practice, no source [m]."""

SHORTEST_TANG = 0.030
"""A hidden tang shorter than this does not hold; common practice, no source [m]."""

DENSITIES = Range(7000.0, 7850.0, 8500.0)
"""Steels lie between these [kg/m^3]."""

HEAVIEST_BOLSTER = 0.2
"""Beyond this it is not a kitchen knife's bolster; common practice [kg]."""


def check_knife(spec: KnifeSpec) -> None:
    """Refuse a knife that cannot be made, naming the field and the way out.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    """
    kind = family(spec.family)
    _check_numbers(spec)
    _check_choices(spec)
    check_sizes(spec)
    _check_spine(spec)
    _check_shape(spec, kind)
    _check_materials(spec)
    check_fit = _check_full if spec.tang == "full" else _check_hidden
    check_fit(spec)


def fitting_flags(spec: KnifeSpec, fittings: Fittings) -> tuple[Flag, ...]:
    """Return notes on handle and tang.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    fittings : Fittings
        What it is fitted with.

    Returns
    -------
    tuple of Flag
        Notes for the bench and for buying.
    """
    flags = []
    bore, high = fittings.handle.bore[0], fittings.tang.heights[0]
    if spec.tang == "hidden" and high > bore:
        message = _(
            "A tang {high} high does not enter a bore of {bore}; cut a slot at the "
            "front of the handle."
        )
        flags.append(_flag(message, "tang", "note", high=high, bore=bore))
    stuffs = [(fittings.wood, "handle_material"), (fittings.ferrule, "ferrule")]
    for stuff, name in stuffs:
        if stuff and stuff.papers:
            message = _("Some woods of this kind need trade papers; ask the seller.")
            flags.append(_flag(message, name, "note"))
    return tuple(flags)


def _check_numbers(spec: KnifeSpec) -> None:
    """Refuse what is no number, or not above zero."""
    for name in MEASURED:
        value = getattr(spec, name)
        if value is None or (name == "bolster_mass" and value == 0.0):
            continue
        if not (math.isfinite(value) and value > 0.0):
            raise PlanError(
                _("This must be a number above zero; type it again."),
                field=name,
                value=value,
            )


def _check_choices(spec: KnifeSpec) -> None:
    """Refuse a choice that is not on offer."""
    offered = {
        "grind": GRIND_LABELS,
        "forging": FORGINGS,
        "tang": ("hidden", "full"),
        "handle": ("octagon", "d", "scales"),
        "allowance": ALLOWANCES,
    }
    for name, choices in offered.items():
        if getattr(spec, name) not in choices:
            raise PlanError(
                _("{value} is not on offer here; choose one from the list."),
                field=name,
                value=getattr(spec, name),
            )


def _check_spine(spec: KnifeSpec) -> None:
    """Refuse a spine that does not thin from heel to tip."""
    heel, middle, tip = spec.heel_thickness, spec.middle_thickness, spec.tip_thickness
    _refuse_if(
        middle > heel,
        _(
            "The spine is thinner at the heel ({heel}) than at the middle ({middle}); "
            "make the heel thicker or the middle thinner."
        ),
        "heel_thickness",
        heel=heel,
        middle=middle,
    )
    _refuse_if(
        tip > middle,
        _(
            "The spine is thinner at the middle ({middle}) than before the tip "
            "({tip}); make the middle thicker or the tip thinner."
        ),
        "middle_thickness",
        middle=middle,
        tip=tip,
    )
    _refuse_if(
        tip < THINNEST_TIP,
        _("The spine before the tip is {tip}; make it at least {least}."),
        "tip_thickness",
        tip=tip,
        least=THINNEST_TIP,
    )


def _check_shape(spec: KnifeSpec, kind: Family) -> None:
    """Refuse an edge, a height or a single bevel that the sizes do not allow."""
    grind = chosen_grind(
        kind, spec.grind, behind_edge=spec.behind_edge, edge_angle=spec.edge_angle
    )
    _refuse_if(
        spec.behind_edge >= spec.tip_thickness,
        _(
            "The blade is as thick behind the edge ({behind}) as its spine before the "
            "tip ({tip}); make it thinner there, or the tip thicker."
        ),
        "behind_edge",
        behind=spec.behind_edge,
        tip=spec.tip_thickness,
    )
    _refuse_if(
        kind.key != "cleaver" and spec.height > spec.length / 2.0,
        _(
            "The blade is higher ({height}) than half its length ({half}); make it "
            "lower or longer, or choose a cleaver."
        ),
        "height",
        height=spec.height,
        half=spec.length / 2.0,
    )
    _refuse_if(
        grind.single and spec.heel_thickness < SINGLE_BEVEL_HEEL,
        _(
            "A single bevel needs at least {least} above the heel, not {heel}; make "
            "the spine thicker or grind both sides."
        ),
        "heel_thickness",
        least=SINGLE_BEVEL_HEEL,
        heel=spec.heel_thickness,
    )


def _check_materials(spec: KnifeSpec) -> None:
    """Refuse materials and hardware that knives are not made of."""
    wood = material(spec.handle_material, field="handle_material")
    _refuse_if(
        not wood.body,
        _("Handles are not made of this; choose a wood, or use it for the ferrule."),
        "handle_material",
    )
    if spec.ferrule:
        _refuse_if(
            not material(spec.ferrule, field="ferrule").ferrule,
            _("Ferrules are not made of this; choose horn, a hard wood or a metal."),
            "ferrule",
        )
    _refuse_if(
        spec.bolster_mass > HEAVIEST_BOLSTER,
        _("A bolster of {value} is too heavy for a kitchen knife; stay below {most}."),
        "bolster_mass",
        value=spec.bolster_mass,
        most=HEAVIEST_BOLSTER,
    )
    _refuse_if(
        not DENSITIES.holds(spec.steel_density),
        _("Steel weighs between {low} and {high}; look at the density again."),
        "steel_density",
        low=DENSITIES.low,
        high=DENSITIES.high,
    )


def _check_hidden(spec: KnifeSpec) -> None:
    """Refuse what does not go with a hidden tang."""
    _refuse_if(
        spec.handle == "scales",
        _(
            "Scales need a full tang, but this one is hidden; choose a full tang, or "
            "an octagon or D handle."
        ),
        "handle",
    )
    if spec.tang_length is None:
        return
    longest = spec.handle_length - BUTT_WOOD
    _refuse_if(
        not SHORTEST_TANG <= spec.tang_length <= longest,
        _(
            "A hidden tang of {value} does not suit this handle; make it {low} to "
            "{high} long, or leave it empty."
        ),
        "tang_length",
        value=spec.tang_length,
        low=SHORTEST_TANG,
        high=longest,
    )


def _check_full(spec: KnifeSpec) -> None:
    """Refuse what does not go with a full tang."""
    _refuse_if(
        spec.handle != "scales",
        _(
            "A full tang carries scales, not a bored handle; choose scales, or a "
            "hidden tang."
        ),
        "handle",
    )
    _refuse_if(
        spec.ferrule is not None,
        _("Scales have no ferrule; leave it out, or give a bolster's mass instead."),
        "ferrule",
    )
    length = spec.tang_length
    _refuse_if(
        length is not None and not math.isclose(length, spec.handle_length),
        _("A full tang is as long as the handle, {length}; leave its length empty."),
        "tang_length",
        length=spec.handle_length,
    )


def _refuse_if(wrong: bool, message: str, name: str, **values: float) -> None:  # noqa: FBT001
    """Raise the sentence if something is wrong."""
    if wrong:
        raise PlanError(message, field=name, **values)


def _flag(message: str, name: str, level: Level, **values: float) -> Flag:
    """Return a flag whose values nobody can change."""
    return Flag(
        message=message, field=name, level=level, values=MappingProxyType(values)
    )
