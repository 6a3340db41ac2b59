"""The kinds of quantity a shop types, and every spelling of their units.

Our own table, because the usual ones read C as coulomb and do not know the inch
mark. Spellings are case-folded and without spaces, carets or a final full stop. Left
out are those that mean two things: gr (grain or gram), m for minutes, t and ton.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What may be typed for one kind of quantity.

    Attributes
    ----------
    example : str
        What a sentence names as the way to type it.
    units : mapping of str to str
        Spelling list of each unit, under the symbol it is known by.
    spellings : mapping of str to (str or None)
        Symbol of each spelling; None where it means the shop's own unit.
    signed : bool
        Whether it can be below zero.
    fractions : bool
        Whether it is typed with strokes, such as 1 1/2.
    clock : {"", "h", "either"}
        What 2:30 means: nothing, hours and minutes, or either of two things.
    """

    example: str
    units: Mapping[str, str]
    spellings: Mapping[str, str | None]
    signed: bool = False
    fractions: bool = False
    clock: Literal["", "h", "either"] = ""


_LENGTH = {
    "mm": "mm millimeter millimetre millimeters millimetres",
    "cm": "cm centimeter centimetre centimeters centimetres zentimeter",
    "m": "m meter metre meters metres",
    "in": "in inch inches zoll \" ''",
    "ft": "ft foot feet fuss '",
}
_MASS = {
    "g": "g gram grams gramm grams",
    "kg": "kg kilo kilos kilogram kilograms kilogramm",
    "lb": "lb lbs pound pounds",
    "oz": "oz ounce ounces unze unzen",
}
_TEMPERATURE = {
    "°C": "°c c ℃ degc celsius gradc gradcelsius",
    "°F": "°f f ℉ degf fahrenheit gradf gradfahrenheit",
    "K": "k kelvin",
}
_TIME = {
    "s": "s sec secs second seconds sek sekunde sekunden",
    "min": "min mins minute minutes minuten",
    "h": "h hr hrs hour hours std stunde stunden",
}
_PER_HOUR = {
    "kg/h": "kg/h kg/hr kg/std kgperhour kgprostunde",
    "g/min": "g/min",
    "lb/h": "lb/h lb/hr lbs/h lbs/hr",
}
_PRESSURE = {"bar": "bar", "mbar": "mbar", "kPa": "kpa", "psi": "psi"}
_FORCE = {
    "kN": "kn kilonewton",
    "tf": "tf tonf tonneforce tonnenkraft",
    "kgf": "kgf kp",
    "lbf": "lbf",
    "N": "n newton",
}
_DENSITY = {"kg/m3": "kg/m3 kg/m³", "g/cm3": "g/cm3 g/cm³ g/cc"}


def _kind(
    example: str,
    units: Mapping[str, str],
    *,
    own: str = "",
    signed: bool = False,
    fractions: bool = False,
    clock: Literal["", "h", "either"] = "",
) -> Kind:
    """Return a kind with its spellings turned round; ``own`` means the shop's unit."""
    spellings: dict[str, str | None] = dict.fromkeys(own.split())
    for symbol, words in units.items():
        spellings |= dict.fromkeys((word.casefold() for word in words.split()), symbol)
    return Kind(
        example=example, units=MappingProxyType(dict(units)),
        spellings=MappingProxyType(spellings),
        signed=signed, fractions=fractions, clock=clock,
    )  # fmt: skip


_length = _kind("25 mm", _LENGTH, fractions=True)
_thickness = _kind("3.2 mm", _LENGTH, fractions=True)
_mass = _kind("250 g", _MASS, fractions=True)

KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "length": _length,
        "thickness": _thickness,
        "fine": _kind("0.25 mm", _LENGTH, fractions=True),
        "layer": _kind("0.025 mm", _LENGTH, fractions=True),
        "mass": _mass,
        "mass_kg": _kind("1.5 kg", _MASS, fractions=True),
        "gas": _kind("5.5 kg", _MASS, fractions=True),
        "temperature": _kind("850 °C", _TEMPERATURE, own="° grad deg", signed=True),
        "temperature_difference": _kind(
            "50 K", {"K": "k kelvin °c c", "°F": "°f f"}, own="° grad deg", signed=True
        ),
        "angle": _kind("15°", {"°": "° º deg degree degrees grad"}),
        "duration": _kind("20 min", _TIME, clock="either"),
        "hours": _kind("2:30", _TIME, clock="h"),
        "mass_rate": _kind("1.5 kg/h", _PER_HOUR),
        "pressure": _kind("1.5 bar", _PRESSURE),
        "force": _kind("70 kN", _FORCE),
        "seconds": _kind("1.5 s", {"s": _TIME["s"], "min": _TIME["min"]}),
        "density": _kind("7850 kg/m3", _DENSITY),
        "power": _kind("2.5 kW", {"W": "w watt", "kW": "kw kilowatt"}),
        "energy": _kind("12 kWh", {"kWh": "kwh"}),
        "volume": _kind(
            "1.5 L",
            {"L": "l liter litre liters litres", "mL": "ml milliliter millilitre"},
        ),
        "percent": _kind("12 %", {"%": "% percent prozent"}),
        "ratio": _kind("0.8", {"%": "% percent prozent"}),
    }
)
"""Every kind by name. A variant differs from its base in how it is shown."""
