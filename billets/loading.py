"""Steels and equipment a fresh shop starts with, read from the files in ``data``.

The files speak millimetres, degrees Celsius and g/cm3, as people and data sheets do;
what comes out here is SI. A slip in a file is refused with the entry it is in. Words
and lengths of texts are checked by the rows they go into.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from billets.data_values import (
    bar_of_pressure,
    celsius,
    count,
    grams_per_cm3,
    hours,
    kilonewtons,
    millimetres,
    minutes,
    number,
    per_hour,
    text,
)
from billets.physics.errors import PlanError, _

DATA = Path(__file__).parent / "data"
STEELS = DATA / "steels.toml"
EQUIPMENT = DATA / "equipment.toml"

ELEMENTS = (
    "carbon", "manganese", "silicon", "chromium",
    "nickel", "molybdenum", "vanadium", "tungsten",
)  # fmt: skip
SOURCES = MappingProxyType(
    {
        "composition": "Composition", "hardening": "Hardening and temper",
        "etching": "Etching", "density": "Density",
    }
)  # fmt: skip
"""What a steel states its sources for, and the word it stands under in their text."""

Read = Callable[[Any], Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class BarEntry:
    """A bar on offer: thickness, width and length [m]."""

    thickness: float
    width: float
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperEntry:
    """A row of a printed temper table: so hot [K] for so long [s], so hard [HRC]."""

    temperature: float
    duration: float
    hardness: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelEntry:
    """A steel of the file.

    Attributes
    ----------
    key : str
        Its short name.
    values : mapping of str to value
        What its row holds, under the row's names: contents in mass percent,
        temperatures [K], density [kg/m^3], expansion [1e-6/K], texts. None where
        nothing is known.
    bars : tuple of BarEntry
        Bars on offer.
    tempers : tuple of TemperEntry
        Rows of printed temper tables.
    """

    key: str
    values: Mapping[str, Any]
    bars: tuple[BarEntry, ...]
    tempers: tuple[TemperEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentEntry:
    """A forge, tool or saw of the file; only the values of its kind, in SI."""

    name: str
    values: Mapping[str, Any]


def read_steels(path: Path = STEELS) -> tuple[SteelEntry, ...]:
    """Return every steel of the file; PlanError names the one that is wrong."""
    return tuple(_steel(key, table) for key, table in _tables(path).items())


def read_equipment(path: Path = EQUIPMENT) -> tuple[EquipmentEntry, ...]:
    """Return all equipment of the file; PlanError names the one that is wrong."""
    return tuple(_equipment(name, table) for name, table in _tables(path).items())


def _tables(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise PlanError(
            _("{file} cannot be read: {reason}. Correct it there."),
            file=path.name,
            reason=str(error),
        ) from error


def _steel(key: str, table: dict[str, Any]) -> SteelEntry:
    with _entry(key):
        rest = dict(table)
        bars = tuple(_bar(sizes) for sizes in rest.pop("bars"))
        tables = rest.pop("tempers", [])
        tempers = tuple(row for table in tables for row in _tempers(table))
        values: dict[str, Any] = {
            "source": _sources(rest.pop("sources")),
            "as_quenched": text(rest.pop("as_quenched", "")),
            "anneal": text(rest.pop("anneal", "")),
        }
        for element in ELEMENTS:
            values |= _content(element, rest.pop(element, {"nominal": 0.0}))
        for name, read in _OPTIONAL.items():
            values[name] = read(rest.pop(name)) if name in rest else None
        values |= _read(_STEEL, rest)
    _check_contents(key, values)
    _check_ends(key, values)
    return SteelEntry(
        key=key, values=MappingProxyType(values), bars=bars, tempers=tempers
    )


def _equipment(name: str, table: dict[str, Any]) -> EquipmentEntry:
    with _entry(name):
        rest = dict(table)
        kind = rest.pop("kind")
        told = {
            name: read(rest.pop(name))
            for name, read in _MAY_STATE.get(kind, {}).items()
            if name in rest
        }
        values = {"kind": kind, **_read(_OF_KIND[kind], rest), **told}
    return EquipmentEntry(name=name, values=MappingProxyType(values))


@contextmanager
def _entry(entry: str) -> Iterator[None]:
    """Say in which entry a value is missing, unknown or not of its sort."""
    try:
        yield
    except KeyError as error:
        name = error.args[0]
        raise PlanError(
            _("“{entry}”: {name} is missing, or is not known there."),
            field=str(name),
            entry=entry,
            name=str(name),
        ) from error
    except (TypeError, ValueError) as error:
        raise PlanError(
            _("“{entry}” holds a value of the wrong sort: {reason}."),
            entry=entry,
            reason=str(error),
        ) from error


def _read(readers: Mapping[str, Read], rest: dict[str, Any]) -> dict[str, Any]:
    """Read exactly the named values; anything else is a typing mistake."""
    for name in rest:
        if name not in readers:
            raise KeyError(name)
    return {name: read(rest[name]) for name, read in readers.items()}


def _content(element: str, table: dict[str, Any]) -> dict[str, float | None]:
    """Return what a steel holds of an element, under the row's three names."""
    for name in table:
        if name not in ("min", "nominal", "max"):
            raise KeyError(f"{element}.{name}")
    limits = {
        f"{element}_{end}": number(table[end]) if end in table else None
        for end in ("min", "max")
    }
    return {element: number(table["nominal"]), **limits}


def _bar(sizes: list[Any]) -> BarEntry:
    thickness, width, length = (millimetres(size) for size in sizes)
    if not 0 < thickness <= width <= length:
        raise ValueError(f"bar {sizes}: thickness, width, length, from small to large")
    return BarEntry(thickness=thickness, width=width, length=length)


def _tempers(table: dict[str, Any]) -> Iterator[TemperEntry]:
    """Yield the rows of one printed table; all of them were tempered for as long."""
    read = _read({"source": text, "hours": hours, "rows": list}, table)
    for row in read["rows"]:
        temperature, hardness = row
        yield TemperEntry(
            temperature=celsius(temperature),
            duration=read["hours"],
            hardness=number(hardness),
            source=read["source"],
        )


def _sources(table: dict[str, Any]) -> str:
    texts = _read(dict.fromkeys(SOURCES, text), table)
    return "\n".join(f"{SOURCES[name]}: {text}" for name, text in texts.items())


def _check_contents(key: str, values: Mapping[str, Any]) -> None:
    """Refuse a steel whose nominal content is outside its own limits."""
    for element in ELEMENTS:
        least, nominal, most = (
            values[name] for name in (f"{element}_min", element, f"{element}_max")
        )
        if not (least or 0.0) <= nominal <= (100.0 if most is None else most):
            raise PlanError(
                _("“{entry}”: the nominal {name} must lie between its limits."),
                field=element,
                entry=key,
                name=element,
            )


def _check_ends(key: str, values: Mapping[str, Any]) -> None:
    """Refuse what lacks an end, or has its ends the wrong way round."""
    _check_window(key, values)
    soak = (values["soak_min"], values["soak_max"])
    if any(soak) and None in soak:
        raise PlanError(
            _("“{entry}”: give the shortest and the longest soak, or neither."),
            field="soak_min",
            entry=key,
        )
    if any(soak) and soak[0] > soak[1]:
        raise PlanError(
            _("“{entry}”: the shorter soak must not be longer than the longer one."),
            field="soak_min",
            entry=key,
        )


def _check_window(key: str, values: Mapping[str, Any]) -> None:
    """Refuse half a hardening window: what hardens has both ends, the rest none."""
    window = (values["harden_min"], values["harden_max"])
    hardens = values["quench_class"] != "none"
    if (None in window) if hardens else any(window):
        raise PlanError(
            _("“{entry}”: give both hardening heats, or the quench class none."),
            field="harden_min",
            entry=key,
        )
    if hardens and window[0] > window[1]:
        raise PlanError(
            _("“{entry}”: the lower hardening heat must not be above the upper one."),
            field="harden_min",
            entry=key,
        )


_STEEL: Mapping[str, Read] = MappingProxyType(
    {
        "name": text,
        "number": text,
        "family": text,
        "etch": text,
        "quench_class": text,
        "quench_medium": text,
        "note": text,
        "density": grams_per_cm3,
    }
)
"""What every steel states, and how it is read."""

_OPTIONAL: Mapping[str, Read] = MappingProxyType(
    {
        "harden_min": celsius,
        "harden_max": celsius,
        "temper_for_60": celsius,
        "soak_min": minutes,
        "soak_max": minutes,
        "normalise_at": celsius,
        "forge_max": celsius,
        "expansion": number,
    }
)
"""What a steel may state; None in its row where it does not."""

_OF_KIND: Mapping[str, Mapping[str, Read]] = MappingProxyType(
    {
        "forge": {
            "atmosphere": text,
            "wall_temperature": celsius,
            "door_width": millimetres,
            "door_height": millimetres,
            "preheat": minutes,
        },
        **{kind: {"strain": number} for kind in ("press", "hammer", "hand")},
        "saw": {"kerf": millimetres},
        "bath": {"severity": number, "bath_mass": number},
    }
)
"""What each kind of equipment states, and how it is read."""

_MAY_STATE: Mapping[str, Mapping[str, Read]] = MappingProxyType(
    {
        "forge": {
            "gas_rate": per_hour,
            "jets": count,
            "jet_bore": millimetres,
            "gas_pressure": bar_of_pressure,
            "jet_discharge": number,
            "bottle": number,
            "bottles": count,
            "air_temperature": celsius,
        },
        "press": {"force": kilonewtons, "die": millimetres, "squeeze": number},
    }
)
"""What it may state as well; the row's own default where it does not."""
