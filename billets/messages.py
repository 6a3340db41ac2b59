"""Sentences for people: what the core says, in the shop's language and units.

An error or flag of the core carries constant English text with named placeholders,
and values in SI. ``sentence`` translates the text and writes each value so:

1. ``field`` becomes the name of the box; words of ``LABELS`` are translated.
2. A measured value (a float, or an array of draws) is shown in the unit of its kind.
   The kind is that of the placeholder's name, else its last word, in ``KIND_OF``:
   ``{width}`` and ``{door_width}`` are lengths, ``{needed_mass}`` is a mass.
3. A placeholder of ``GENERIC``, such as ``{value}`` or ``{most}``, has the kind of
   the error's field, found in the same way.
4. Whatever has no kind is a plain number, a date in words, or text as it is. Whole
   numbers (int) are counts and never get a unit. The number in an ``example`` of what
   to type has the decimal mark of the language.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Protocol

import numpy as np
from babel.dates import format_date
from django.utils import translation
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from billets.grammar import write_number
from billets.units import System, decimal_mark, exact, local_number, locale_of, show

KIND_OF: Mapping[str, str] = MappingProxyType(
    {word: kind for kind, words in {
        "length": "width length height diameter end bar layers size before half "
        "longest tang bore die",
        "thickness": "thickness kerf face edge depth side needed heel middle tip "
        "groove pitch drill opening bite",
        "fine": "behind behind_edge jet_bore core",
        "layer": "layer",
        "mass": "mass weight lost predicted short spare",
        "gas": "gas bottle",
        "temperature": "temperature wall solidus liquidus ambient hottest",
        "temperature_difference": "difference drop margin",
        "angle": "angle point",
        "duration": "seconds time preheat soak",
        "seconds": "bite_time least_bite_time most_bite_time",
        "force": "force",
        "hours": "hours",
        "mass_rate": "rate",
        "pressure": "pressure",
        "density": "density",
        "power": "power",
        "energy": "energy",
        "volume": "volume",
        "percent": "share chance retained",
    }.items() for word in words.split()}
)  # fmt: skip
"""Kind of a placeholder, by its whole name, else its last word."""

GENERIC = frozenset({"value", "least", "most", "low", "high"})
LABELS = frozenset(
    {
        "here", "to", "next", "stage", "state", "rate", "row", "element",
        "quench", "other_quench", "chosen_quench",
    }
)  # fmt: skip
"""Placeholders whose text the core marks for translation."""

FIELDS: Mapping[str, Any] = MappingProxyType(
    {
        "width": _("width"), "thickness": _("thickness"), "length": _("length"),
        "height": _("height"), "temperature": _("temperature"), "mass": _("mass"),
        "kerf": _("kerf"), "face": _("face grind"), "edge": _("edge grind"),
        "per_end": _("end trim"), "pieces": _("number of pieces"),
        "heats": _("number of heats"), "layers": _("layers"), "forge": _("forge"),
        "strain": _("strain a heat"), "density": _("density"),
        "turns": _("number of turns"), "depth": _("depth"), "groove": _("groove width"),
        "pitch": _("pitch"), "drill": _("drill"), "core": _("bar for the core"),
    }
)  # fmt: skip
"""Names of boxes as a sentence calls them."""


class Said(Protocol):
    """What every error and flag of the core has."""

    @property
    def message(self) -> str: ...  # noqa: D102
    @property
    def field(self) -> str | None: ...  # noqa: D102
    @property
    def values(self) -> Mapping[str, object]: ...  # noqa: D102


class _Written(dict[str, str]):
    """Values by placeholder; one that was not given shows its own name."""

    def __missing__(self, name: str) -> str:
        return name.replace("_", " ")


def sentence(
    error: Said, system: System = "metric", language: str | None = None
) -> str:
    """Return the translated sentence with its values in the shop's units.

    ``language`` is that of the page unless given.
    """
    with translation.override(language or spoken()):
        written = _Written(
            (name, _write(name, value, error.field, system))
            for name, value in {"field": error.field, **error.values}.items()
        )
        return gettext(error.message).format_map(written)


def spoken() -> str:
    """Return the language of the page, English where none is set."""
    return translation.get_language() or "en"


def _write(name: str, value: object, field: str | None, system: System) -> str:
    if name == "field":
        return str(FIELDS.get(str(value), str(value).replace("_", " ")))
    if isinstance(value, float | np.floating | np.ndarray):
        return _write_measured(value, _kind(name, field), system)
    return _write_plain(name, value)


def _write_plain(name: str, value: object) -> str:
    if isinstance(value, Decimal):
        return write_number(value, decimal_mark(spoken()))
    if isinstance(value, dt.date):
        return format_date(value, "long", locale=locale_of(spoken()))
    if isinstance(value, int | np.integer):
        return local_number(Decimal(int(value)), spoken())
    text = str(value)
    if name == "example":
        return text.replace(".", decimal_mark(spoken()))
    return gettext(text) if name in LABELS and text else text


def _kind(name: str, field: str | None) -> str | None:
    """Return the kind of a placeholder; the field's own for a generic word."""
    words = field or "" if name in GENERIC else name
    return KIND_OF.get(words) or KIND_OF.get(words.rpartition("_")[2])


def _write_measured(value: Any, kind: str | None, system: System) -> str:
    """Write a value in its unit; an array of draws as the range it covers."""
    low, high = float(np.min(value)), float(np.max(value))
    ends = dict.fromkeys(_write_one(end, kind, system) for end in (low, high))
    return " – ".join(ends)


def _write_one(value: float, kind: str | None, system: System) -> str:
    if kind is None:
        return local_number(Decimal(str(round(value, 3))).normalize(), spoken())
    text = show(value, kind, system, language=spoken())
    if value and text == show(0.0, kind, system, language=spoken()):
        return exact(value, kind, system, spoken())  # rounding left nothing of it
    return text
