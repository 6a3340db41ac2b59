"""What a press of known force does to a bar in one heat, and over a whole draw.

A heat is a number of squeezes: as many as the time outside the fire allows, or the
time the bar stays hot enough. Each bites as far along the bar as force and die reach
and takes a fifth off the height; part of that goes sideways. A bar too long to be
squeezed all along in one heat is heated and worked part by part: it takes more heats,
but no place of it is in the fire for all of them.

A tool without a known force, a hammer or a hand gives the strain it is told to give.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields
from typing import TypeAlias

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.equipment import Tool
from billets.physics.errors import PlanError, _
from billets.physics.flow_stress import FLOW_RANGES, shida
from billets.physics.force import cogging_force, largest_bite
from billets.physics.heating import cooling_time
from billets.physics.scale import AIR_SECONDS
from billets.physics.spread import BITE_HIGH, BITE_LOW, spread_coefficient
from billets.physics.state import Mask, some, typical

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

LEAST_IN_HEAT = 0.01
"""Mean strain a heat below which no one would go on, common practice, no source [1]."""

LEAST_BITE = 0.001
"""Below so little of the bar under the die it is no bite at all [m]."""

CENTRE = 1.0 / 3.0
"""Bite over height from which the middle of the bar is worked too [1].

Quoted from memory, verify: Tomlinson and Stringer, and their tradition.
"""

CHILL_HEIGHTS = (0.005, 0.010, 0.015)
CHILL = (1.5, 1.2, 1.0)
"""How much harder thin bars get on cold dies [1], by height [m].

Common practice, no source: a fifth to a half more under 10 mm, fading out above. The
bar itself cools as in still air: a bite touches only one part of it, so the dies count
once, here.
"""

NODES = np.array([0.0, 0.5 - 0.05**0.5, 0.5 + 0.05**0.5, 1.0])
WEIGHTS = np.array([1.0, 5.0, 5.0, 1.0]) / 12.0
"""Places along a draw at which it is reckoned, start and end among them, and weights.

Lobatto's rule of four points: within 2 % of a fine sum, where three equal steps are
5 % off, because a thin long bar takes many times the heats of a short thick one.
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pull:
    """What a tool does over a whole draw.

    Attributes
    ----------
    strain : float or array (draws,)
        Mean true strain in one heat [1].
    place : float or array (draws,)
        Mean true strain of one place of the bar in each heat it is in [1].
    able : bool or array of bool (draws,)
        Whether the tool moves the bar at all.
    start : Squeezing or None
        What a press of known force does as the draw begins; None for other tools.
    """

    strain: Number
    place: Number
    able: Mask = True
    start: Squeezing | None = None


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
    chill = np.interp(height, CHILL_HEIGHTS, CHILL)
    stress: Number = shida(carbon, SQUEEZE_STRAIN, rate, temperature) * chill
    return stress


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


def pull(
    tool: Tool,
    size: Size,
    section: tuple[Number, Number],
    temperature: float,
    carbon: float,
) -> Pull:
    """Return what a tool does on the way from one section to another.

    Parameters
    ----------
    tool : Tool
        Press, hammer or hand.
    size : tuple of float or array (draws,)
        Length, width and height before [m].
    section : tuple of float or array (draws,)
        Width and height to reach, both in equal shares of their logarithms [m].
    temperature : float
        Of the steel as it leaves the fire [K].
    carbon : float
        Mean mass fraction in percent [%].

    Returns
    -------
    Pull
        Mean strains [1]: heats are the strain of the draw over the strain of a heat,
        summed up on the way, since the bar gets longer, thinner and colder.
        PlanError if the press does not move the bar in any draw.
    """
    if known_force(tool) is None:
        return Pull(strain=tool.strain, place=tool.strain)
    sizes = _on_the_way(size, section)
    heats: Number = 0.0
    in_fire: Number = 0.0
    bites: Mask = True
    start = None
    for weight, work in zip(WEIGHTS, _works(tool, sizes, temperature, carbon)):
        start = start or work
        heats = heats + weight / work.in_heat
        in_fire = in_fire + weight / np.maximum(work.in_heat, work.one_pass)
        bites = bites & (work.largest >= LEAST_BITE)
    able = bites & (heats <= 1.0 / LEAST_IN_HEAT)
    if not some(able):
        raise _refused(tool, sizes, temperature, carbon)
    return Pull(
        # A draw in which nothing moves ends there; it must not stretch the others.
        strain=1.0 / np.where(able, heats, 1.0 / MOST_IN_HEAT)[()],
        place=1.0 / np.where(able, in_fire, 1.0 / MOST_IN_HEAT)[()],
        able=able,
        start=start,
    )


def _on_the_way(size: Size, section: tuple[Number, Number]) -> tuple[Size, ...]:
    """Return the sizes at `NODES`; start and end are just as they are given."""
    length, width, height = size
    volume = length * (width * height)
    wider, flatter = np.log(section[0] / width), np.log(section[1] / height)
    between = [
        (width * np.exp(share * wider), height * np.exp(share * flatter))
        for share in NODES[1:-1]
    ]
    return (size, *((volume / (w * h), w, h) for w, h in (*between, section)))


def _works(
    tool: Tool, sizes: Sequence[Size], temperature: float, carbon: float
) -> Iterator[Squeezing]:
    """Yield what a press does at each of some sizes."""
    if any(np.ndim(one) for size in sizes for one in size):
        for size in sizes:
            yield squeezing(tool, size, temperature, carbon)
        return
    # Plain sizes all at once: numpy takes as long for one value as for four.
    length, width, height = np.array(sizes).T
    rows = squeezing(tool, (length, width, height), temperature, carbon)
    columns = [getattr(rows, one.name) for one in fields(Squeezing)]
    for largest, bite, squeezes, one_pass, in_heat in zip(*columns, strict=True):
        yield Squeezing(
            largest=largest,
            bite=bite,
            squeezes=squeezes,
            one_pass=one_pass,
            in_heat=in_heat,
        )


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


def _refused(
    tool: Tool,
    sizes: Sequence[Size],
    temperature: float,
    carbon: float,
) -> PlanError:
    """Return what to say of a bar the press does not bite, or hardly moves."""
    works = list(_works(tool, sizes, temperature, carbon))
    bites = [typical(one.largest) for one in works]
    say: Callable[..., PlanError]
    if min(bites) < LEAST_BITE:
        say, least = _no_bite, bites
    else:
        say, least = _hardly, [typical(one.in_heat) for one in works]
    length, width, height = sizes[least.index(min(least))]
    bar = typical(length), typical(width), typical(height)
    return say(tool, bar, temperature, carbon)


def _said(tool: Tool, bar: Bar, temperature: float) -> dict[str, object]:
    length, width, height = bar
    return {
        "force": known_force(tool), "temperature": temperature,
        "length": length, "width": width, "thickness": height,
    }  # fmt: skip


def _hardly(tool: Tool, bar: Bar, temperature: float, _carbon: float) -> PlanError:
    return PlanError(
        _(
            "Step {step}: a press of {force} hardly moves a bar {length} long and "
            "{width} by {thickness} in a heat; draw hotter, take a shorter stack, a "
            "bigger press or the hammer."
        ),
        field="tool",
        **_said(tool, bar, temperature),
    )


def _no_bite(tool: Tool, bar: Bar, temperature: float, carbon: float) -> PlanError:
    _length, width, height = bar
    stress = worked_stress(carbon, height, temperature - COOLED_BY)
    needed = cogging_force(stress, width, CENTRE * height, height)
    return PlanError(
        _(
            "Step {step}: a press of {force} does not get into a section of {width} by "
            "{thickness} at {temperature}; a bite of a third of its height takes "
            "{needed_force}. Draw hotter, start with a narrower stack, or take a "
            "bigger press or the hammer."
        ),
        field="tool",
        needed_force=typical(needed),
        **_said(tool, bar, temperature),
    )
