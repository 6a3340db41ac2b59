"""From typed text to SI floats and back: the border where units live.

``to_si`` reads what a box holds, ``edit`` writes what a box shows, ``show`` writes
what paper and pages say. The reading of numbers is ``billets.grammar``; pint knows
how units compare, exactly (decimals, not floats), and is asked once for each unit.

SI inside: metre, kilogram, second, kelvin, radian, pascal, watt, joule; a percentage
is a plain share (12 % is 0.12). ``hours`` too are seconds inside.
"""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from types import MappingProxyType
from typing import Any, TypeAlias

from babel import Locale
from babel.numbers import format_decimal, get_decimal_symbol
from django.conf import settings

from billets.grammar import Reading, UnitError, read_quantity, write_number
from billets.physics.errors import _

System: TypeAlias = str
"""How a shop types and reads quantities: "metric" or "inch"."""

DIGITS = 9
"""Significant figures a box shows: far beyond any measurement, still readable."""

FINEST = Decimal("1e-12")
"""Below this a box shows zero, so that rounding dust never fills it."""

QUARTER = Decimal("0.25")


@dataclass(frozen=True, slots=True)
class Shown:
    """The unit a kind is shown in, and how many decimals paper gives it."""

    unit: str
    places: int


@dataclass(frozen=True, slots=True)
class Display:
    """How a kind is shown in either system, and the SI unit it is kept in."""

    si: str
    metric: Shown
    inch: Shown


def _both(si: str, unit: str, places: int) -> Display:
    return Display(si, Shown(unit, places), Shown(unit, places))


DISPLAYS: Mapping[str, Display] = MappingProxyType(
    {
        "length": Display("m", Shown("mm", 0), Shown("in", 2)),
        "thickness": Display("m", Shown("mm", 1), Shown("in", 3)),
        "fine": Display("m", Shown("mm", 2), Shown("in", 4)),
        "layer": Display("m", Shown("mm", 3), Shown("in", 5)),
        "mass": Display("kg", Shown("g", 0), Shown("oz", 2)),
        "mass_kg": Display("kg", Shown("kg", 3), Shown("lb", 3)),
        "gas": Display("kg", Shown("kg", 1), Shown("lb", 1)),
        "temperature": Display("K", Shown("°C", 0), Shown("°F", 0)),
        "temperature_difference": Display("K", Shown("K", 0), Shown("°F", 0)),
        "angle": _both("rad", "°", 1),
        "duration": _both("s", "min", 0),
        "hours": _both("s", "h", 2),
        "mass_rate": Display("kg/s", Shown("kg/h", 2), Shown("lb/h", 2)),
        "pressure": Display("Pa", Shown("bar", 2), Shown("psi", 1)),
        "force": Display("N", Shown("kN", 0), Shown("lbf", 0)),
        "seconds": _both("s", "s", 1),
        "density": _both("kg/m3", "kg/m3", 0),
        "power": _both("W", "kW", 1),
        "energy": _both("J", "kWh", 1),
        "volume": _both("m3", "L", 2),
        "percent": _both("", "%", 0),
        "ratio": _both("", "", 2),
    }
)
"""Every kind of ``billets.spellings.KINDS``, with its units and decimals."""

PINT_NAMES: Mapping[str, str] = MappingProxyType(
    {
        "": "dimensionless", "%": "percent", "°": "degree", "rad": "radian",
        "mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch",
        "ft": "foot", "g": "gram", "kg": "kilogram", "lb": "pound", "oz": "ounce",
        "°C": "degree_Celsius", "°F": "degree_Fahrenheit", "K": "kelvin",
        "s": "second", "min": "minute", "h": "hour", "kg/s": "kilogram/second",
        "kg/h": "kilogram/hour", "g/min": "gram/minute", "lb/h": "pound/hour",
        "Pa": "pascal", "bar": "bar", "mbar": "millibar", "kPa": "kilopascal",
        "psi": "psi", "N": "newton", "kN": "kilonewton", "tf": "metric_ton_force",
        "kgf": "kilogram_force", "lbf": "pound_force",
        "kg/m3": "kilogram/meter**3", "g/cm3": "gram/centimeter**3",
        "W": "watt", "kW": "kilowatt", "J": "joule", "kWh": "kilowatt_hour",
        "m3": "meter**3", "L": "liter", "mL": "milliliter",
    }
)  # fmt: skip
"""What pint calls each symbol: its own parser reads C as coulomb."""

FRACTION_UNITS = frozenset({"in", "ft", "lb", "oz"})
SPELLED = MappingProxyType({"kg/m3": "kg/m³"})
LOCALES = MappingProxyType({"en": "en_GB", "de": "de_DE"})


def to_si(text: str, kind: str, default_unit: str | None = None) -> float:
    """Read typed text into SI, or raise UnitError.

    A bare number is in ``default_unit``: the shop's unit for that kind, as
    ``unit_of`` gives it; the metric one unless told otherwise.

    >>> to_si("1 1/2 in", "length"), to_si("850 C", "temperature")
    (0.0381, 1123.15)
    >>> to_si("2", "length", unit_of("length", "inch"))
    0.0508
    """
    default = unit_of(kind, "metric") if default_unit is None else default_unit
    reading = read_quantity(text, kind)
    if reading.fraction and reading.unit is None and default not in FRACTION_UNITS:
        raise _ask_whose_fraction(text, kind, reading, default)
    unit = default if reading.unit is None else reading.unit
    scale, offset = _line(unit, kind)
    value = float(reading.value * scale + offset)
    if value < 0 and kind == "temperature":
        raise UnitError(
            _("“{text}” is below absolute zero: type a higher temperature."),
            text=text.strip(),
        )
    return value


def unit_of(kind: str, system: System = "metric") -> str:
    """Return the symbol of the unit a shop types and reads a kind in.

    >>> unit_of("length"), unit_of("mass_kg", "inch")
    ('mm', 'lb')
    """
    return _shown(kind, system).unit


def label_unit(kind: str, system: System = "metric") -> str:
    """Return the unit as a label prints it.

    >>> label_unit("density")
    'kg/m³'
    """
    unit = unit_of(kind, system)
    return SPELLED.get(unit, unit)


def show(
    value: float,
    kind: str,
    system: System = "metric",
    places: int | None = None,
    language: str = "en",
) -> str:
    """Write an SI value for paper: rounded half up, with its unit.

    A no-break space (U+00A0) stands before the unit, so that a table cell never
    parts the two. Hours come in quarters unless ``places`` are given.

    >>> show(0.03175, "thickness").replace(chr(160), " ")
    '31.8 mm'
    >>> show(1.4116, "mass_kg", language="de").replace(chr(160), " ")
    '1,412 kg'
    >>> show(9000.0, "hours").replace(chr(160), " ")
    '2.5 h'
    """
    shown = _shown(kind, system)
    amount = _amount(value, kind, shown.unit)
    if kind == "hours" and places is None:
        quarters = (amount / QUARTER).quantize(Decimal(1), ROUND_HALF_UP)
        number = local_number(quarters * QUARTER, language)
    else:
        wanted = shown.places if places is None else places
        number = local_number(amount, language, places=wanted)
    return with_unit(number, kind, system)


def edit(
    value: float | None, kind: str, system: System = "metric", language: str = "en"
) -> str:
    """Write an SI value for a box: the number alone, in the unit on the label.

    What it writes ``to_si`` reads back without asking, to nine figures; a value typed
    with no more comes back as the same float.

    >>> edit(1.125, "mass_kg"), edit(0.03175, "length", language="de")
    ('1.1250', '31,75')
    """
    if value is None:
        return ""
    amount = _amount(value, kind, unit_of(kind, system))
    step = Decimal(1).scaleb(amount.adjusted() - DIGITS + 1) if amount else FINEST
    amount = amount.quantize(max(step, FINEST), ROUND_HALF_UP)
    return write_number(amount, decimal_mark(language))


def exact(
    value: float, kind: str, system: System = "metric", language: str = "en"
) -> str:
    """Write an SI value with its unit as a box would, for sentences about limits.

    >>> exact(0.00025, "length").replace(chr(160), " ")
    '0.25 mm'
    """
    return with_unit(edit(value, kind, system, language), kind, system)


def local_number(
    amount: Decimal, language: str = "en", *, places: int | None = None
) -> str:
    """Write a plain number for paper; without ``places`` as many as it has.

    >>> local_number(Decimal("1234.5"), "de", places=2)
    '1.234,50'
    """
    if places is not None:
        amount = amount.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    amount = amount if amount else abs(amount)
    pattern = "#,##0" + ("." + "0" * places if places else "")
    return format_decimal(
        amount,
        format=pattern if places is not None else None,
        locale=locale_of(language),
        decimal_quantization=places is not None,
    )


def with_unit(number: str, kind: str, system: System = "metric") -> str:
    """Put the unit of a kind behind a number that is written already.

    >>> with_unit("15", "angle"), with_unit("3.5", "thickness").replace(chr(160), " ")
    ('15°', '3.5 mm')
    """
    unit = label_unit(kind, system)
    space = "" if unit in ("", "°") else "\u00a0"
    return f"{number}{space}{unit}"


def _amount(value: float, kind: str, unit: str) -> Decimal:
    """Return an SI value in another unit; str(float()) for numpy's own floats."""
    scale, offset = _line(unit, kind)
    return (Decimal(str(float(value))) - offset) / scale


def _shown(kind: str, system: System) -> Shown:
    display = DISPLAYS[kind]
    return {"metric": display.metric, "inch": display.inch}[system]


def _ask_whose_fraction(
    text: str, kind: str, reading: Reading, default: str
) -> UnitError:
    """Ask: a smith who types 3/8 means inches, but the shop's unit is not the inch."""
    usual = "lb" if DISPLAYS[kind].si == "kg" else "in"
    number = write_number(round(reading.value, 4))
    return UnitError(
        _("“{text}” can be read two ways: type {first} or {second}."),
        text=text.strip(),
        first=f"{text.strip()} {usual}",
        second=f"{number} {default}",
    )


@cache
def locale_of(language: str) -> Locale:
    """Return the full locale of a language code such as de or de-ch."""
    code = LOCALES.get(language, language).replace("-", "_")
    return Locale.parse(code)


@cache
def decimal_mark(language: str) -> str:
    """Return the decimal mark of a language.

    >>> decimal_mark("en"), decimal_mark("de"), decimal_mark("de-ch")
    ('.', ',', '.')
    """
    return get_decimal_symbol(locale_of(language))


@cache
def _line(unit: str, kind: str) -> tuple[Decimal, Decimal]:
    """Return scale and offset of the straight line from a unit to the kind's SI."""
    names = PINT_NAMES[unit], PINT_NAMES[DISPLAYS[kind].si]
    if kind == "temperature_difference":  # a difference has no zero point
        names = names[0].replace("degree_", "delta_degree_"), names[1]
    offset: Decimal = _registry().convert(Decimal(0), *names)
    return _registry().convert(Decimal(1), *names) - offset, offset


@cache
def _registry() -> Any:
    """Return pint's table of units; built on first use, as it takes 0.3 s."""
    import pint

    folder = settings.DATA_DIR / "units"
    try:
        return pint.UnitRegistry(non_int_type=Decimal, cache_folder=folder)
    except Exception:  # half-written or not writable: the table never depends on it
        shutil.rmtree(folder, ignore_errors=True)
        return pint.UnitRegistry(non_int_type=Decimal)
