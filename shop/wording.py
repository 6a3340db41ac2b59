"""A knife in words and numbers, in the shop's units: what pages say of it."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from decimal import Decimal
from functools import partial
from typing import Any, cast

from django.db.models import Field
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from billets.fields import SIField
from billets.messages import spoken
from billets.physics.blank import ALLOWANCES
from billets.physics.drawing import blade_drawing
from billets.physics.drawing_words import DrawingWords
from billets.physics.knife import KnifeResult, weigh_knife
from billets.physics.knife_spec import KnifeSpec
from billets.units import System, label_unit, local_number
from billets.wording import Figure, bare, neat, said
from shop.models import Knife

GROUPS = (
    ("blade", (
        "family", "length", "height", "heel_thickness", "middle_thickness",
        "tip_thickness", "grind", "behind_edge", "edge_angle", "hardness", "finish",
    )),
    ("forging", ("forging", "allowance")),
    ("handle", (
        "tang", "neck_length", "tang_length", "handle", "handle_length",
        "handle_material", "ferrule", "bolster_mass",
    )),
)  # fmt: skip
"""What is specified of a knife, in the order of the work."""

ON_SCREEN = 0.2
"""Scale of the drawing on a page: so that a whole knife fits a phone."""


def knife_figures(
    spec: KnifeSpec, result: KnifeResult, system: System
) -> tuple[Figure, ...]:
    """Return the results of a knife, the finished mass first."""
    return (
        _mass(
            _("Finished knife"), result.mass,
            (result.mass_low, result.mass_high), system,
            _("Ten of twelve weighed knives were met within 10 %. Weigh yours."),
        ),
        _balance(result, system),
        _mass(
            _("Blade"), result.blade_mass, _share(result), system,
            _("10 % more or less, as for the finished knife."),
        ),
        _mass(
            _("Forged blank with tang"), result.blank.mass, _blanks(spec), system,
            _("From a tight to a generous allowance."),
        ),
        _mass(
            _("Steel the bar must hold"), result.needed_mass, _needed(spec), system,
            _("The blank, its scale and the ends cropped off; tight to generous."),
        ),
    )  # fmt: skip


def _mass(
    label: str, mass: float, band: tuple[float, float], system: System, source: str
) -> Figure:
    low, high = (bare(said(end, "mass", system)) for end in band)
    return Figure.of(
        label,
        said(mass, "mass", system),
        band=_("{low} to {high}").format(low=low, high=high),
        source=source,
    )


def _share(result: KnifeResult) -> tuple[float, float]:
    """Return the blade's band: that of the whole knife, in shares."""
    low, high = result.mass_low / result.mass, result.mass_high / result.mass
    return low * result.blade_mass, high * result.blade_mass


def _blanks(spec: KnifeSpec) -> tuple[float, float]:
    return _ends([one.blank.mass for one in _every_allowance(spec)])


def _needed(spec: KnifeSpec) -> tuple[float, float]:
    return _ends([one.needed_mass for one in _every_allowance(spec)])


def _every_allowance(spec: KnifeSpec) -> Iterable[KnifeResult]:
    return (weigh_knife(dataclasses.replace(spec, allowance=key)) for key in ALLOWANCES)


def _ends(values: list[float]) -> tuple[float, float]:
    return min(values), max(values)


def _balance(result: KnifeResult, system: System) -> Figure:
    return Figure.of(
        _("Balance point"),
        said(abs(result.balance), "length", system),
        band=_side(result.balance),
        source=_between(result.balance_low, result.balance_high, system),
    )


def _side(place: float) -> str:
    return _("in front of the heel") if place >= 0 else _("behind the heel")


def _between(low: float, high: float, system: System) -> str:
    if low * high >= 0:
        near, far = sorted((abs(low), abs(high)))
        return _("Between {low} and {high} {side}.").format(
            low=bare(said(near, "length", system)),
            high=said(far, "length", system),
            side=_side(low + high),
        )
    return _("Between {low} and {high}.").format(
        low=_place(low, system), high=_place(high, system)
    )


def _place(place: float, system: System) -> str:
    return f"{said(abs(place), 'length', system)} {_side(place)}"


def screen_drawing(spec: KnifeSpec, system: System, name: str = "knife") -> SafeString:
    """Return the drawing of a knife for a page, side view and spine.

    ``name`` begins the ids in it; a page with several drawings gives each its own.
    """
    words = dataclasses.replace(
        drawing_words(system), check=_("100 mm on paper, printed at 100 %")
    )
    drawing = blade_drawing(spec, scale=ON_SCREEN, words=words, name=name)
    return mark_safe(drawing)  # noqa: S308  numbers, and words the core has escaped


def drawing_words(system: System) -> DrawingWords:
    """Return what a drawing says, in the language of the page and the shop's units."""
    words: dict[str, Any] = {
        field.name: _(field.default)
        for field in dataclasses.fields(DrawingWords)
        if isinstance(field.default, str)
    }
    if system == "inch":  # its symbol would read as "sizes in in"
        words["units"] = _("Sizes in inches, cold and finished. Scale {scale}.")
    words["unit"] = label_unit("length", system)
    kinds = {"size": "length", "thickness": "thickness", "fine": "fine"}
    for name, kind in kinds.items():
        words[name] = partial(_without_unit, kind=kind, system=system)
    return DrawingWords(**words)


def _without_unit(value: float, *, kind: str, system: System) -> str:
    """Return a size without its unit, which a drawing says once."""
    return bare(said(value, kind, system))


def spec_rows(knife: Knife, system: System) -> dict[str, list[tuple[str, str]]]:
    """Return a knife's specification as label and text, by group."""
    return {
        group: [
            (_label(name), text)
            for name in names
            if (text := _text(knife, name, system))
        ]
        for group, names in GROUPS
    }


def _label(name: str) -> str:
    return capfirst(str(_field(name).verbose_name))


def _field(name: str) -> Field:
    return cast(Field, Knife._meta.get_field(name))


def _text(knife: Knife, name: str, system: System) -> str:
    """Return what a knife says in one field; nothing where there is nothing to say."""
    field, value = _field(name), getattr(knife, name)
    if isinstance(field, SIField):
        return neat(value, field.kind, system) if value else ""
    if field.choices:
        return str(getattr(knife, f"get_{name}_display")())
    if isinstance(value, float):
        return local_number(Decimal(f"{value:g}"), spoken())
    return str(value)
