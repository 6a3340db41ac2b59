"""A knife in words and numbers, in the shop's units: what pages say of it."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any, cast

from django.db.models import Field
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from billets.fields import SIField
from billets.messages import sentence, spoken
from billets.physics.blank import ALLOWANCES
from billets.physics.drawing import blade_drawing
from billets.physics.drawing_words import DrawingWords
from billets.physics.errors import Flag
from billets.physics.knife import KnifeResult, weigh_knife
from billets.physics.knife_spec import KnifeSpec
from billets.units import System, exact, show
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

MORE_SIGNS = 3
"""So much longer than its rounding a size may be: 49.5 mm, but not 8.267716 in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One result as a page shows it: the number, its band, where it comes from."""

    label: str
    value: str
    unit: str
    band: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """A sentence to look at twice, and how much it matters."""

    level: str
    text: str


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
    value, unit = _apart(mass, "mass", system)
    low, high = (_apart(end, "mass", system)[0] for end in band)
    return Figure(
        label=label, value=value, unit=unit, source=source,
        band=_("{low} to {high}").format(low=low, high=high),
    )  # fmt: skip


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
    value, unit = _apart(abs(result.balance), "length", system)
    low, high = result.balance_low, result.balance_high
    return Figure(
        label=_("Balance point"),
        value=value,
        unit=unit,
        band=_side(result.balance),
        source=_between(low, high, system),
    )


def _side(place: float) -> str:
    return _("in front of the heel") if place >= 0 else _("behind the heel")


def _between(low: float, high: float, system: System) -> str:
    if low * high >= 0:
        near, far = sorted((abs(low), abs(high)))
        return _("Between {low} and {high} {side}.").format(
            low=_apart(near, "length", system)[0],
            high=show(far, "length", system, language=spoken()),
            side=_side(low + high),
        )
    return _("Between {low} and {high}.").format(
        low=_place(low, system), high=_place(high, system)
    )


def _place(place: float, system: System) -> str:
    return f"{show(abs(place), 'length', system, language=spoken())} {_side(place)}"


def _apart(value: float, kind: str, system: System) -> tuple[str, str]:
    """Return a number and its unit, which a page sets in different sizes."""
    number, _space, unit = show(value, kind, system, language=spoken()).partition(
        "\u00a0"
    )
    return number, unit


def screen_drawing(spec: KnifeSpec, system: System) -> SafeString:
    """Return the drawing of a knife for a page, side view and spine."""
    words = dataclasses.replace(
        drawing_words(system), check=_("100 mm on paper, printed at 100 %")
    )
    drawing = blade_drawing(spec, scale=ON_SCREEN, words=words)
    return mark_safe(drawing)  # noqa: S308  numbers, and words the core has escaped


def drawing_words(system: System) -> DrawingWords:
    """Return what a drawing says, in the language of the page and the shop's units."""
    said: dict[str, Any] = {
        field.name: _(field.default)
        for field in dataclasses.fields(DrawingWords)
        if isinstance(field.default, str)
    }
    if system == "inch":
        said["units"] = _("Sizes in inches, cold and finished. Scale {scale}.")
    kinds = {"size": "length", "thickness": "thickness", "fine": "fine"}
    for name, kind in kinds.items():
        said[name] = partial(_bare, kind=kind, system=system)
    return DrawingWords(**said)


def _bare(value: float, *, kind: str, system: System) -> str:
    """Return a size without its unit, which a drawing says once."""
    return _apart(value, kind, system)[0]


def flag_sayings(flags: Iterable[Flag], system: System) -> list[Saying]:
    """Return what should be looked at twice, in the language of the page."""
    return [Saying(level=one.level, text=sentence(one, system)) for one in flags]


def spec_rows(knife: Knife, system: System) -> dict[str, list[tuple[str, str]]]:
    """Return a knife's specification as label and text, by group."""
    return {
        group: [
            (_label(name), said)
            for name in names
            if (said := _said(knife, name, system))
        ]
        for group, names in GROUPS
    }


def _label(name: str) -> str:
    label = str(_field(name).verbose_name)
    return label[:1].upper() + label[1:]


def _field(name: str) -> Field:
    return cast(Field, Knife._meta.get_field(name))


def _said(knife: Knife, name: str, system: System) -> str:
    """Return what a knife says in one field; nothing where there is nothing to say."""
    field, value = _field(name), getattr(knife, name)
    if isinstance(field, SIField):
        return measured(value, field.kind, system) if value else ""
    if field.choices:
        return str(getattr(knife, f"get_{name}_display")())
    return f"{value:g}" if isinstance(value, float) else str(value)


def measured(value: float, kind: str, system: System) -> str:
    """Return a specified size as it was asked for, unless that is an endless number."""
    rounded = show(value, kind, system, language=spoken())
    full = exact(value, kind, system, spoken())
    return full if len(full) <= len(rounded) + MORE_SIGNS else rounded
