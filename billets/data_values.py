"""Single values of the files in ``data``: of the right sort, and turned into SI."""

from __future__ import annotations

from typing import Any

from billets.physics.constants import ZERO_CELSIUS


def text(value: Any) -> str:
    """Return a text without blanks around it; refuse anything else."""
    if not isinstance(value, str):
        raise TypeError(f"{value!r} is not text")
    return value.strip()


def number(value: Any) -> float:
    """Return a number of zero or more; refuse anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError(f"{value!r} is not a number")
    if value < 0:
        raise ValueError(f"{value} is below zero")
    return float(value)


def celsius(value: Any) -> float:
    """Return degrees Celsius as kelvin."""
    return number(value) + ZERO_CELSIUS


def millimetres(value: Any) -> float:
    """Return millimetres as metres."""
    return number(value) / 1000.0


def grams_per_cm3(value: Any) -> float:
    """Return g/cm3 as kg/m^3."""
    return round(number(value) * 1000.0, 6)


def per_hour(value: Any) -> float:
    """Return what goes in an hour as what goes in a second."""
    return number(value) / 3600.0


def bar_of_pressure(value: Any) -> float:
    """Return bar as pascal."""
    return number(value) * 1e5


def kilonewtons(value: Any) -> float:
    """Return a force [N]."""
    return number(value) * 1000.0


def count(value: Any) -> int:
    """Return a whole number of one or more; refuse anything else."""
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise ValueError(f"{value!r} is no whole number of 1 or more")
    return value


def minutes(value: Any) -> float:
    """Return minutes as seconds."""
    return number(value) * 60.0


def hours(value: Any) -> float:
    """Return hours as seconds."""
    return number(value) * 3600.0
