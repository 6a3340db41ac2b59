"""A knife as its customer reads it: the individual specification, words and numbers.

Choosing from a list is not a specification of one's own; so every size stands here
as a number, with what hand-forged work may be off.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from babel.lists import format_list
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.figures import PlanFigures
from billets.messages import spoken
from billets.physics import Number
from billets.physics.core_line import core_of
from billets.physics.families import family
from billets.physics.grinds import chosen_grind
from billets.physics.knife import MASS_BAND, KnifeResult
from billets.physics.knife_spec import KnifeSpec, spec_fittings
from billets.physics.section import Grind
from billets.physics.tolerances import KnifeTolerances, knife_tolerances
from billets.units import System, local_number, locale_of
from billets.wording import neat, said, whole
from quotes.money import quantity
from quotes.wording import percent_text
from shop.models import Knife
from shop.services import spec_of

LABELS: Mapping[str, str | Promise] = MappingProxyType(
    {
        "family": gettext_lazy("Kind of knife"),
        "length": gettext_lazy("Edge, heel to tip"),
        "height": gettext_lazy("Height at the heel"),
        "spine": gettext_lazy("Spine: heel, middle, tip"),
        "edge": gettext_lazy("Edge"),
        "grind": gettext_lazy("Grind"),
        "steel": gettext_lazy("Blade steel"),
        "hardness": gettext_lazy("Hardness aimed at"),
        "finish": gettext_lazy("Finish"),
        "handle": gettext_lazy("Handle"),
        "fittings": gettext_lazy("Tang and fittings"),
        "overall": gettext_lazy("Whole length"),
        "mass": gettext_lazy("Finished weight"),
        "balance": gettext_lazy("Balance point"),
        "number": gettext_lazy("Knife number"),
    }
)
"""What is said of a knife, in the order of the paper."""

HELD, WHOLE = frozenset({"family", "handle", "fittings"}), frozenset({"overall"})
BLADE = frozenset({"length", "height", "spine", "edge", "grind", "steel"})

FOLLOWS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "overall": HELD | {"length"},
        "mass": HELD | BLADE | WHOLE,
        "balance": HELD | BLADE | WHOLE | {"mass"},
    }
)
"""What follows from other things that are said, and from which."""

HARDNESS_BAND = 1
"""Hand-forged blades come out within so many points; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Specified:
    """A knife with what it comes to and the billet it is made from."""

    knife: Knife
    result: KnifeResult
    figures: PlanFigures


def specification(one: Specified, system: System) -> dict[str, str]:
    """Return what is promised of a knife, by the keys of ``LABELS``."""
    return specification_with(
        steel_sentence(one.figures), one.knife, one.result, system
    )


def specification_with(
    steel: str, knife: Knife, result: KnifeResult, system: System
) -> dict[str, str]:
    """Return what is promised of a knife whose steel is said already."""
    spec = spec_of(knife)
    may_be = _tolerances(spec)
    return {
        **_blade(knife, spec, may_be, system),
        "steel": steel,
        **_handle(knife, spec, may_be, system),
        "overall": said(result.overall_length, "length", system),
        "mass": mass_text(result.mass, system),
        "balance": balance_text(result.balance, system),
        "number": knife.serial,
    }


def mass_text(mass: Number, system: System) -> str:
    """Say what a finished knife weighs, with its band."""
    return _("about {mass} (± {band})").format(
        mass=said(mass, "mass", system),
        band=percent_text(quantity(100 * MASS_BAND, 0)),
    )


def balance_text(balance: Number, system: System) -> str:
    """Say where a finished knife balances."""
    place = said(abs(float(balance)), "length", system)
    if balance < 0:
        return _("about {place} behind the heel").format(place=place)
    return _("about {place} in front of the heel").format(place=place)


def spec_table(
    knives: Iterable[Mapping[str, str]],
) -> list[tuple[str, list[str]]]:
    """Return specifications side by side: a label, then what each knife has of it."""
    known = list(knives)
    rows = [
        (str(label), [one.get(key) or "–" for one in known])
        for key, label in LABELS.items()
    ]
    return [(label, texts) for label, texts in rows if set(texts) != {"–"}]


def spec_sentences(spec: Mapping[str, str]) -> str:
    """Return a specification as one text, for the line of the quote that is kept."""
    return "\n".join(
        f"{label}: {spec[key]}" for key, label in LABELS.items() if spec.get(key)
    )


def _tolerances(spec: KnifeSpec) -> KnifeTolerances:
    handle = spec_fittings(spec).handle
    return knife_tolerances(
        spec.length, spec.height, spec.handle_length, handle.front[1]
    )


def _blade(
    knife: Knife, spec: KnifeSpec, may_be: KnifeTolerances, system: System
) -> dict[str, str]:
    spines = (spec.heel_thickness, spec.middle_thickness, spec.tip_thickness)
    spine = " – ".join(_asked(size, "thickness", system) for size in spines)
    return {
        "family": str(knife.get_family_display()),
        "length": _within(spec.length, may_be.length, system),
        "height": _within(spec.height, may_be.height, system),
        "spine": f"{spine} ± {said(may_be.spine, 'thickness', system)}",
        "edge": _("{behind} behind the edge, {angle} a side").format(
            behind=_asked(spec.behind_edge, "fine", system),
            angle=_degrees(spec.edge_angle),
        ),
        "grind": _grind_words(spec),
        "hardness": _("{hardness} HRC (± {band})").format(
            hardness=local_number(Decimal(f"{knife.hardness:g}"), spoken()),
            band=HARDNESS_BAND,
        ),
        "finish": knife.finish,
    }


def _handle(
    knife: Knife, spec: KnifeSpec, may_be: KnifeTolerances, system: System
) -> dict[str, str]:
    return {
        "handle": _("{shape}, {material}, {length}").format(
            shape=knife.get_handle_display(),
            material=knife.get_handle_material_display(),
            length=_within(spec.handle_length, may_be.handle_length, system),
        ),
        "fittings": ", ".join(_fittings(knife, system)),
    }


def _fittings(knife: Knife, system: System) -> list[str]:
    parts = [_("{kind} tang").format(kind=knife.get_tang_display())]
    if knife.ferrule:
        ferrule = knife.get_ferrule_display()
        parts.append(_("ferrule of {material}").format(material=ferrule))
    if knife.bolster_mass:
        mass = neat(knife.bolster_mass, "mass", system)
        parts.append(_("bolster of {mass}").format(mass=mass))
    return parts


MADE = {
    "twist": gettext_lazy("twisted"),
    "ladder": gettext_lazy("with ladder cuts"),
    "dimple": gettext_lazy("with dimples"),
}
"""How a figure is told to whoever orders the knife."""


def steel_sentence(figures: PlanFigures) -> str:
    """Say what a blade is made of, and that no two come out alike."""
    spec, plain, locale = figures.spec, figures.plain, locale_of(spoken())
    laid = [step for step in plain.pattern if step.kind == "core"]
    cored = bool(laid) and core_of(plain) is not None
    cores, steels = (spec.core_names if cored else []), spec.steel_names
    text = _("about {layers} layers of {steels} (hand-forged: figure and outline vary)")
    if cored:
        steels = spec.stack_names
        text = _(
            "a core of {core} between jackets of about {layers} layers of {steels} "
            "(hand-forged: figure and outline vary)"
        )
    made = dict.fromkeys(step.kind for step in plain.pattern if step.kind in MADE)
    return text.format(
        core=format_list(cores, locale=locale) if cores else "",
        layers=whole(laid[-1].layers_before if cored else plain.distinct),
        steels=", ".join(
            [format_list(steels, locale=locale), *(str(MADE[kind]) for kind in made)]
        ),
    )


def tolerance_note(specs: Sequence[KnifeSpec], system: System) -> str:
    """Say what hand-forged work may be off, and by which standard."""
    handles = {_tolerances(spec).handle_section for spec in specs}
    section = said(max(handles), "thickness", system)
    return _(
        "Tolerances as printed: blade length and height by ISO 2768-1 class v, handle "
        "by class c (its section ± {section}), spine and weight as stated. The drawing "
        "shows the intent; pattern and outline vary as hand-forged work does."
    ).format(section=section)


def _within(size: float, tolerance: float, system: System) -> str:
    asked = _asked(size, "length", system)
    return f"{asked} ± {said(tolerance, 'thickness', system)}"


def _degrees(angle: float) -> str:
    return f"{local_number(Decimal(f'{math.degrees(angle):.3g}'), spoken())}°"


def _asked(size: float, kind: str, system: System) -> str:
    """Return a size as it was asked for, with no fewer places than paper gives."""
    given, rounded = neat(size, kind, system), said(size, kind, system)
    return given if len(given) > len(rounded) else rounded


def _grind_words(spec: KnifeSpec) -> str:
    """Name the grind that is really meant, with the place of its line."""
    grind = chosen_grind(
        family(spec.family), spec.grind,
        behind_edge=spec.behind_edge, edge_angle=spec.edge_angle,
    )  # fmt: skip
    name = _grind_name(grind)
    if grind.bevel >= 1.0:
        return name
    return _("{name}, bevel line at {share} of the height").format(
        name=name, share=percent_text(Decimal(f"{100 * grind.bevel:.0f}"))
    )


def _grind_name(grind: Grind) -> str:
    if grind.single:
        return _("single bevel")
    if grind.crown > 0.0:
        return _("convex")
    return _("full flat") if grind.bevel >= 1.0 else _("wide bevel")
