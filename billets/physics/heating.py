"""How long heating, soaking and cooling take.

The billet is one lump of one temperature: heat gained is area times flux, and the
time is an integral over temperature alone, times density and volume over area. So
the integral is worked out once and arrays of sections cost one multiplication.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np

from billets.physics import Number
from billets.physics.constants import STEEL_DENSITY, STEFAN_BOLTZMANN, ZERO_CELSIUS
from billets.physics.errors import PlanError, _
from billets.physics.thermal import BREAKS, specific_heat

ROOM = 20.0 + ZERO_CELSIUS
"""Temperature of a cold billet and of the shop [K]."""

RETURN = 850.0 + ZERO_CELSIUS
"""Temperature at which a worked billet goes back, common practice, no source [K]."""

EMISSIVITY = 0.8
"""Of oxidised steel; quoted from memory, verify: emissivity tables [1]."""

FORGE_CONVECTION = 30.0
"""Heat carried by moving gas in the forge, common practice, no source [W/(m^2 K)]."""

AIR_CONVECTION = 15.0
"""Heat carried away by air, common practice, no source [W/(m^2 K)]."""

DIFFUSIVITY = 5.575e-6
"""How fast heat evens out in hot steel, from EN 1993-1-2 values [m^2/s]."""

COOLING_DENSITY = 7500.0
"""Density of hot steel for cooling [kg/m^3]."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


def _integral(flux: Callable[[Number], Number], start: float, end: float) -> float:
    """Integrate specific heat over flux between two temperatures [K]: [m^2 K s/kg].

    Piece by piece, since the specific heat jumps and peaks between 600 and 900 °C.
    """
    breaks = [one + ZERO_CELSIUS for one in BREAKS]
    inner = [one for one in breaks if start < one < end]
    total = 0.0
    for low, high in zip([start, *inner], [*inner, end], strict=True):
        t = (high + low) / 2 + (high - low) / 2 * _NODES
        total += float(np.sum(_WEIGHTS * specific_heat(t) / flux(t))) * (high - low) / 2
    return total


@lru_cache(maxsize=512)
def heating_integral(
    start: float,
    end: float,
    wall: float,
    emissivity: float = EMISSIVITY,
    convection: float = FORGE_CONVECTION,
) -> float:
    """Return the time to heat steel, for each density and volume over area.

    Parameters
    ----------
    start, end : float
        Temperatures of the steel [K].
    wall : float
        Temperature of the forge wall, above ``end`` [K].
    emissivity : float
        Of the steel [1].
    convection : float
        Heat carried by the gas [W/(m^2 K)].

    Returns
    -------
    float
        Seconds for each kg/m^3 and each metre of volume over area [m^2 s/kg].
    """
    if not wall > end:
        raise PlanError(
            _(
                "The forge wall at {wall} cannot heat steel to {temperature}; run the "
                "forge hotter or choose a lower heat."
            ),
            field="forge",
            wall=wall,
            temperature=end,
        )

    def flux(t: Number) -> Number:
        radiated = emissivity * STEFAN_BOLTZMANN * (wall**4 - t**4)
        return radiated + convection * (wall - t)

    return _integral(flux, start, end)


@lru_cache(maxsize=64)
def cooling_integral(start: float, end: float) -> float:
    """Return the time steel takes to cool in air, for each density and depth.

    Parameters
    ----------
    start, end : float
        Temperatures of the steel, the second the lower [K].

    Returns
    -------
    float
        Seconds for each kg/m^3 and each metre of volume over area [m^2 s/kg].
    """

    def flux(t: Number) -> Number:
        radiated = EMISSIVITY * STEFAN_BOLTZMANN * (t**4 - ROOM**4)
        return radiated + AIR_CONVECTION * (t - ROOM)

    return _integral(flux, end, start)


def floor_depth(width: Number, thickness: Number) -> Number:
    """Return volume over heated area of a bar lying on the forge floor.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar; top and both sides are heated [m].

    Returns
    -------
    float or array (draws,)
        Volume over area [m].
    """
    return width * thickness / (width + 2.0 * thickness)


def free_depth(width: Number, thickness: Number) -> Number:
    """Return volume over area of a bar open on all four sides.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar [m].

    Returns
    -------
    float or array (draws,)
        Volume over area [m].
    """
    return width * thickness / (2.0 * (width + thickness))


def heating_time(
    depth: Number, integral: Number, density: Number = STEEL_DENSITY
) -> Number:
    """Return the time to heat a bar through.

    Parameters
    ----------
    depth : float or array (draws,)
        Volume over heated area [m].
    integral : float or array (draws,)
        From `heating_integral` [m^2 s/kg].
    density : float or array (draws,)
        Density of the cold bar [kg/m^3].

    Returns
    -------
    float or array (draws,)
        Time [s]; about 30 % either way until a stop-watch has been used (common
        practice, no source).
    """
    return density * integral * depth


def cooling_time(width: Number, thickness: Number, start: float, end: float) -> Number:
    """Return the time a bar takes to cool in still air.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar [m].
    start, end : float
        Temperatures of the steel [K].

    Returns
    -------
    float or array (draws,)
        Time [s]; cold dies shorten it by about a third (common practice, no source).
    """
    depth = free_depth(width, thickness)
    return COOLING_DENSITY * cooling_integral(start, end) * depth


def soak_time(width: Number, thickness: Number) -> Number:
    """Return the time the middle of a bar takes to reach the heat of its faces.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar; the thinner side counts [m].

    Returns
    -------
    float or array (draws,)
        Time: half the thinner side squared over the diffusivity [s].
    """
    half = np.minimum(width, thickness) / 2.0
    soak: Number = half**2 / DIFFUSIVITY
    return soak


def core_lag(flux: Number, half_thickness: Number, conductivity: Number) -> Number:
    """Return how far the middle of a bar lags behind its faces while heating.

    Parameters
    ----------
    flux : float or array (draws,)
        Heat going into the face [W/m^2].
    half_thickness : float or array (draws,)
        From face to middle [m].
    conductivity : float or array (draws,)
        Of the steel [W/(m K)].

    Returns
    -------
    float or array (draws,)
        Temperature difference between face and middle [K].
    """
    return flux * half_thickness / (2.0 * conductivity)


def textbook_heating_time(side: Number, factor: float = 10.0) -> Number:
    """Return the heating time of a single square piece by a smithing textbook.

    Parameters
    ----------
    side : float or array (draws,)
        Side of the square [m].
    factor : float
        10 for carbon and low-alloy steel, 20 for high-carbon and high-alloy [1].

    Returns
    -------
    float or array (draws,)
        Time [s].

    References
    ----------
    Dobrokhotov's formula, hours = K d^1.5 with d in metres; second-hand.
    """
    return 3600.0 * factor * side**1.5


def slab_middle(biot: float, fourier: float) -> float:
    """Return how far the middle of a slab still is from its surroundings.

    Parameters
    ----------
    biot : float
        Heat transfer times half thickness over conductivity, above zero [1].
    fourier : float
        Diffusivity times time over half thickness squared, at least 0.2 [1].

    Returns
    -------
    float
        Share of the first temperature difference that is left in the middle [1].

    References
    ----------
    First term of the series for a slab (Heisler charts).
    """
    low, high = 0.0, math.pi / 2
    for _halving in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _short(middle, biot) else (low, middle)
    root = (low + high) / 2
    first = 4.0 * math.sin(root) / (2.0 * root + math.sin(2.0 * root))
    return first * math.exp(-(root**2) * fourier)


def _short(root: float, biot: float) -> bool:
    return root * math.tan(root) < biot
