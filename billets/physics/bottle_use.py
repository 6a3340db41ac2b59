"""What work asks of the gas bottles, and whether they can give it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics import Number
from billets.physics.bottles import (
    USABLE,
    DrawLimits,
    bottle_seconds,
    cautious_limits,
)
from billets.physics.equipment import Forge
from billets.physics.errors import Flag, _
from billets.physics.evaporation import (
    CHART_AIR,
    coldest_liquid,
    physical_limit,
    stored_vapour,
)
from billets.physics.jets import air_pressure
from billets.physics.state import typical

USUAL_PRESSURE = 1.0e5
"""Gauge pressure of a burner nobody has read, common practice, no source [Pa]."""

START_LEFT, LEAST_LEFT = 0.5, 0.1
"""Share in the bottles when work begins, and below which they count as empty [1]."""

MOST_MORE = 6
"""So many more bottles are coupled at most to carry some work [1]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BottleReport:
    """What is asked of the bottles of a forge, and what they can give.

    Attributes
    ----------
    content : float
        Gas in one full bottle [kg].
    count : int
        Bottles coupled [1].
    gas : float or array (draws,)
        What is to be burnt [kg].
    lit : float or array (draws,)
        In so much time with the forge lit [s].
    lasting : float or array (draws,)
        Time the full bottles feed the forge [s].
    used : float or array (draws,)
        Share of the full bottles that is burnt [1].
    cautious : DrawLimits
        What the trade lets draw from all of them [kg/s].
    full, half : float or array (draws,)
        What all of them give for good in this air, full and half full [kg/s].
    carried : float or array (draws,)
        Time until half-full bottles freeze, infinite if they never do [s].
    pressure : float
        Gauge pressure at the burner this was reckoned with [Pa].
    air_temperature : float
        Where the bottles stand [K].
    """

    content: float
    count: int
    gas: Number
    lit: Number
    lasting: Number
    used: Number
    cautious: DrawLimits
    full: Number
    half: Number
    carried: Number
    pressure: float
    air_temperature: float

    @property
    def rate(self) -> Number:
        """What the forge draws from all of them, float or array (draws,) [kg/s]."""
        return self.gas / self.lit


def carried_time(forge: Forge, gas: Number, rate: Number, count: int) -> Number:
    """Return how long half-full bottles feed a forge before they freeze.

    Parameters
    ----------
    forge : Forge
        Its bottle, air and pressure; the bottle must be known [SI units].
    gas : float or array (draws,)
        What is to be burnt in all, which empties them [kg].
    rate : float or array (draws,)
        Gas burnt while lit [kg/s].
    count : int
        Bottles coupled [1].

    Returns
    -------
    float or array (draws,)
        Time [s]; infinite where the air's warmth alone is enough.

    Notes
    -----
    What the air's warmth does not boil off comes from the liquid's own, until it is
    too cold to press. Both are taken at the mean of what is in the bottle meanwhile.
    """
    content = forge.bottle or 0.0
    left = np.maximum(START_LEFT - gas / (2.0 * count * content), LEAST_LEFT)
    pressure, ambient = _pressure(forge), air_pressure(forge.altitude)
    air = forge.air_temperature
    lasting = count * physical_limit(content, left, air, pressure, ambient)
    coldest = coldest_liquid(pressure, ambient)
    stored = stored_vapour(count * left * content, air, coldest)
    short = rate - lasting
    time: Number = np.where(
        short > 0.0, stored / np.where(short > 0.0, short, 1.0), np.inf
    )[()]
    return time


def _pressure(forge: Forge) -> float:
    return USUAL_PRESSURE if forge.gas_pressure is None else forge.gas_pressure


def bottle_report(forge: Forge, gas: Number, lit: Number) -> BottleReport:
    """Return what some work asks of a forge's bottles.

    Parameters
    ----------
    forge : Forge
        Its bottle must be known [SI units].
    gas : float or array (draws,)
        What is to be burnt, above zero [kg].
    lit : float or array (draws,)
        In so much time with the forge lit [s].

    Returns
    -------
    BottleReport
        Asked for and to be had [SI units].
    """
    content, count = forge.bottle or 0.0, forge.bottles
    ambient = air_pressure(forge.altitude)
    one = cautious_limits(content)

    def lasting(left: float) -> Number:
        air, pressure = forge.air_temperature, _pressure(forge)
        return count * physical_limit(content, left, air, pressure, ambient)

    return BottleReport(
        content=content,
        count=count,
        gas=gas,
        lit=lit,
        lasting=bottle_seconds(count * content, gas / lit),
        used=gas / (count * content),
        cautious=DrawLimits(
            uninterrupted=count * one.uninterrupted,
            half_the_time=count * one.half_the_time,
            bursts=count * one.bursts,
        ),
        full=lasting(1.0),
        half=lasting(0.5),
        carried=carried_time(forge, gas, gas / lit, count),
        pressure=_pressure(forge),
        air_temperature=forge.air_temperature,
    )


def bottle_flags(bottle: BottleReport, forge: Forge) -> tuple[Flag, ...]:
    """Return what to say of bottles that hold or give too little.

    Parameters
    ----------
    bottle : BottleReport
        As `bottle_report` made it of this forge.
    forge : Forge
        Whose they are.

    Returns
    -------
    tuple of Flag
        Sentences; more bottles, pauses or milder air are the way out, never heat.
    """
    return (
        *_too_small(bottle),
        *_too_slow(bottle, forge),
        *_beside_the_chart(bottle),
    )


def _too_small(bottle: BottleReport) -> tuple[Flag, ...]:
    """Say that the bottles hold less than one session burns."""
    gas = typical(bottle.gas)
    usable = USABLE * bottle.count * bottle.content
    if gas <= usable:
        return ()
    message = _(
        "The work burns {planned_gas}, more than the {usable_gas} there is to be had "
        "from full gas bottles (coupled: {count}, each of {bottle}). Have {needed} of "
        "them full, or split the work into shorter sessions."
    )
    said = {
        "planned_gas": gas,
        "usable_gas": usable,
        "count": bottle.count,
        "bottle": bottle.content,
        "needed": int(np.ceil(gas / (USABLE * bottle.content))),
    }
    return (Flag(message=message, field="bottle", values=said),)


def _too_slow(bottle: BottleReport, forge: Forge) -> tuple[Flag, ...]:
    """Say that the bottles freeze before the work is done, or may do so."""
    drawn, lit = typical(bottle.rate), typical(bottle.lit)
    said = {
        "air_temperature": bottle.air_temperature,
        "drawn_rate": drawn,
        "count": bottle.count,
        "bottle": bottle.content,
    }
    if typical(bottle.carried) < lit:
        needed = _needed(bottle, forge)
        if needed is None:
            said["gas_pressure"] = bottle.pressure
            return (Flag(message=TOO_COLD, field="air_temperature", values=said),)
        said |= {
            "lasting_rate": typical(bottle.half),
            "carried_time": typical(bottle.carried),
            "lit_time": lit,
            "needed": needed,
        }
        return (Flag(message=FREEZES, field="bottle", values=said),)
    cautious = typical(bottle.cautious.uninterrupted)
    if drawn <= cautious:
        return ()
    said |= {"cautious_rate": cautious, "lit_time": lit}
    return (Flag(message=CAUTIOUS, field="bottle", level="note", values=said),)


TOO_COLD = _(
    "At {air_temperature} gas bottles of {bottle} hardly press the {gas_pressure} of "
    "the burner: wait for milder air, run at less pressure or take bigger bottles. "
    "Never heat a bottle."
)
FREEZES = _(
    "At {air_temperature} half-full gas bottles (coupled: {count}, each of {bottle}) "
    "give about {lasting_rate} for long, and the forge draws {drawn_rate}: they "
    "freeze after about {carried_time}, and the forge is to be lit for {lit_time}. "
    "Couple {needed} bottles, or work in shorter sessions. Never heat a bottle."
)
CAUTIOUS = _(
    "The forge draws {drawn_rate}; the trade's cautious limit without a pause is "
    "{cautious_rate} (bottles coupled: {count}, each of {bottle}). At "
    "{air_temperature} even half-full ones carry {lit_time} of work; on a longer or "
    "colder day couple more."
)
"""What to say of bottles that are slow to give gas, the worst first."""


def _needed(bottle: BottleReport, forge: Forge) -> int | None:
    """Return how many bottles carry the work; None if no sensible number does."""
    lit = typical(bottle.lit)
    for count in range(forge.bottles + 1, forge.bottles + MOST_MORE + 1):
        if typical(carried_time(forge, bottle.gas, bottle.rate, count)) >= lit:
            return count
    return None


def _beside_the_chart(bottle: BottleReport) -> tuple[Flag, ...]:
    """Say that the air is colder or warmer than the chart goes."""
    low, high = CHART_AIR
    if low <= bottle.air_temperature <= high:
        return ()
    message = _(
        "What a gas bottle can give is known for air from {low_temperature} to "
        "{high_temperature}; at {air_temperature} it is a guess."
    )
    said = {
        "low_temperature": low,
        "high_temperature": high,
        "air_temperature": bottle.air_temperature,
    }
    return (Flag(message=message, field="air_temperature", level="note", values=said),)
