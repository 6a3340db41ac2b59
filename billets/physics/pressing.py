"""What a press of known force does to a bar in one heat.

A heat is a number of squeezes: as many as the time outside the fire allows, or the
time the bar stays hot enough. Each bites as far along the bar as force and die reach
and takes a fifth off the height; part of that goes sideways.

A tool without a known force, a hammer or a hand gives the strain it is told to give.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.equipment import Tool
from billets.physics.errors import PlanError, _
from billets.physics.flow_stress import FLOW_RANGES, shida
from billets.physics.force import largest_bite
from billets.physics.heating import cooling_time
from billets.physics.scale import AIR_SECONDS
from billets.physics.spread import BITE_HIGH, BITE_LOW, spread_coefficient

LOWER_LIMIT = 900.0 + ZERO_CELSIUS
"""Steel is worked down to here, then goes back; common practice, no source [K]."""

COOLED_BY = 70.0
"""How much colder steel is while worked than as it leaves the fire [K].

Common practice, no source: the scale in air is reckoned at the same difference.
"""

SQUEEZE_STRAIN = 0.2
"""True strain in height of one squeeze; height before over after is then 1.22.

Under 1.3, beyond which laps form; quoted from memory, verify: Tomlinson and Stringer.
"""

RAM_SPEED = 0.025
"""Speed of the ram, common practice, no source [m/s]."""

MOST_IN_HEAT = 0.70
"""The most true strain a heat gives, common practice, no source [1].

The upper end of what the shops that count their heats tell of: time goes on turning,
squaring and measuring, however strong the press.
"""

LEAST_BITE = 0.001
"""Below so little of the bar under the die it is no bite at all [m]."""

CENTRE = 1.0 / 3.0
"""Bite over height from which the middle of the bar is worked too [1].

Quoted from memory, verify: Tomlinson and Stringer, and their tradition.
"""

CHILL_FROM, THIN = 0.015, 0.010
CHILL_STEPS, MOST_CHILL = (40.0, 60.0), 1.5
"""How much harder thin bars get on cold dies, common practice, no source.

Under 15 mm by 4 % a millimetre, under 10 mm by 6 %: a fifth more at 10 mm, a half at
5 mm and below [m, 1/m, 1]. The bar itself cools as in still air: a bite touches only
one part of it, so the dies count once, here.
"""

Size: TypeAlias = tuple[Number, Number, Number]
"""Length, width and height of a bar as it lies under the die [m]."""

Bar: TypeAlias = tuple[float, float, float]
"""The same of one bar [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Squeezing:
    """What a press does to a bar of one size in one heat.

    Attributes
    ----------
    largest : float or array (draws,)
        Length of bar its force can bite, 0 where it does not get in [m].
    bite : float or array (draws,)
        Length of bar it does bite: no more than the die [m].
    squeezes : float or array (draws,)
        Bites in one heat [1].
    one_pass : float or array (draws,)
        True strain of the section where it has been squeezed once [1].
    in_heat : float or array (draws,)
        True strain of the section in one heat, over the whole bar [1].
    """

    largest: Number
    bite: Number
    squeezes: Number
    one_pass: Number
    in_heat: Number


def known_force(tool: Tool) -> float | None:
    """Return the force of a press [N]; None if not known, and for hammer and hand."""
    return tool.force if tool.kind == "press" else None


def worked_stress(carbon: float, height: Number, temperature: Number) -> Number:
    """Return how hard a bar resists a squeeze of the press.

    Parameters
    ----------
    carbon : float
        Mass fraction in percent, the mean of the stack: pressed layers give way
        together, each by its own resistance [%].
    height : float or array (draws,)
        Of the bar under the die [m].
    temperature : float or array (draws,)
        Of the steel [K].

    Returns
    -------
    float or array (draws,)
        Flow stress by `flow_stress.shida`, more for thin bars on cold dies [Pa].
    """
    low, high = FLOW_RANGES["shida"].rate
    rate = np.minimum(np.maximum(RAM_SPEED / height, low), high)
    stress: Number = shida(carbon, SQUEEZE_STRAIN, rate, temperature) * _chill(height)
    return stress


def _chill(height: Number) -> Number:
    """Return how much harder a bar of some height gets on cold dies [1]."""
    gentle, steep = CHILL_STEPS
    low = np.maximum(gentle * (CHILL_FROM - height), 0.0)
    thin = gentle * (CHILL_FROM - THIN) + steep * (THIN - height)
    more: Number = np.minimum(1.0 + np.maximum(low, thin), MOST_CHILL)
    return more


def squeezing(tool: Tool, size: Size, temperature: float, carbon: float) -> Squeezing:
    """Return what a press of known force does to a bar in one heat.

    Parameters
    ----------
    tool : Tool
        A press whose force is known.
    size : tuple of float or array (draws,)
        Length, width and height of the bar, pressed on the flat; a bar drawn on edge
        takes less force, so for that it errs towards more heats [m].
    temperature : float
        Of the steel as it leaves the fire [K].
    carbon : float
        Mean mass fraction in percent [%].

    Returns
    -------
    Squeezing
        Bite [m], squeezes and strains [1].

    References
    ----------
    Sideways spread as in `spread.spread_coefficient`, kept at the ends of its range
    outside it; the rest as noted beside each constant.
    """
    length, width, height = size
    _check_hot(temperature)
    stress = worked_stress(carbon, height, temperature - COOLED_BY)
    largest = largest_bite(known_force(tool) or 0.0, stress, width, height)
    bite = np.minimum(largest, tool.die)
    held = np.minimum(np.maximum(bite / width, BITE_LOW), BITE_HIGH)
    hot = cooling_time(width, height, temperature, LOWER_LIMIT)
    squeezes = np.minimum(hot, AIR_SECONDS) / tool.squeeze
    one_pass = SQUEEZE_STRAIN * (1.0 - spread_coefficient(held, 1.0))
    passes = squeezes * np.maximum(bite, LEAST_BITE) / length
    return Squeezing(
        largest=largest,
        bite=bite,
        squeezes=squeezes,
        one_pass=one_pass,
        in_heat=np.minimum(passes * one_pass, MOST_IN_HEAT),
    )


def strain_in_heat(tool: Tool, size: Size, temperature: float, carbon: float) -> Number:
    """Return the true strain a tool gives a bar of one size in one heat.

    Parameters
    ----------
    tool : Tool
        Press, hammer or hand.
    size : tuple of float or array (draws,)
        Length, width and height of the bar [m].
    temperature : float
        Of the steel as it leaves the fire [K].
    carbon : float
        Mean mass fraction in percent [%].

    Returns
    -------
    float or array (draws,)
        Log of section before over section after; as told where no force is known [1].
    """
    if known_force(tool) is None:
        return tool.strain
    return squeezing(tool, size, temperature, carbon).in_heat


def _check_hot(temperature: float) -> None:
    if not temperature > LOWER_LIMIT:
        raise PlanError(
            _(
                "Step {step}: steel is pressed down to {least_temperature}; at "
                "{temperature} nothing is left to work in. Draw hotter."
            ),
            field="temperature",
            temperature=temperature,
            least_temperature=LOWER_LIMIT,
        )
