"""Steels of the shipped list as the metallurgist sees them, without a database."""

from dataclasses import asdict, replace
from functools import cache

from billets.loading import ELEMENTS, read_steels
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.grades import Grade, TemperPoint

HOUR = 3600.0
TWICE_TWO = 4 * HOUR


@cache
def grades():
    return {entry.key: _grade(entry) for entry in read_steels()}


def grade(key, **changes):
    return replace(grades()[key], **changes)


def plain(carbon, **changes):
    """A steel nothing is known of but what it holds."""
    return Grade(key="own", name="Own steel", carbon=carbon, **changes)


def table(*rows, hours=2.0, source="", own=False):
    """Rows of a temper table from pairs of degrees Celsius and HRC."""
    return tuple(
        TemperPoint(
            temperature=celsius + ZERO_CELSIUS,
            seconds=hours * HOUR,
            hardness=hardness,
            source=source,
            own=own,
        )
        for celsius, hardness in rows
    )


def kelvin(celsius):
    return celsius + ZERO_CELSIUS


def in_celsius(temperature):
    return temperature - ZERO_CELSIUS


def _grade(entry):
    values = entry.values
    return Grade(
        key=entry.key,
        name=values["name"],
        **{element: values[element] for element in ELEMENTS},
        harden_low=values["harden_min"],
        harden_high=values["harden_max"],
        quench=values["quench_class"],
        tempers=tuple(
            TemperPoint(seconds=row.pop("duration"), **row)
            for row in map(asdict, entry.tempers)
        ),
    )
