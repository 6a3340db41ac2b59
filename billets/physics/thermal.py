"""Steel and heat: specific heat, enthalpy, conductivity, expansion, hot density.

All by EN 1993-1-2:2005, clause 3.4.1, for carbon steel between 20 and 1200 °C; the
standard's last values are kept above, since welding heat is a little higher.
"""

from __future__ import annotations

import numpy as np

from billets.physics import Number
from billets.physics.constants import STEEL_DENSITY, ZERO_CELSIUS
from billets.physics.errors import PlanError, _

COLDEST, HOTTEST = 20.0 + ZERO_CELSIUS, 1500.0 + ZERO_CELSIUS
"""Temperatures between which the properties are given [K]."""

BREAKS = (20.0, 600.0, 735.0, 900.0)
"""Where the pieces of the specific heat start [°C]."""


def _celsius(temperature: Number) -> Number:
    """Return degrees Celsius for a temperature [K], PlanError outside the range."""
    # A rounding error below 20 °C is still 20 °C.
    if not np.all((temperature >= COLDEST - 1e-6) & (temperature <= HOTTEST)):
        raise PlanError(
            _("Steel's heat is known from {low} to {high}; change the temperature."),
            field="temperature",
            low=COLDEST,
            high=HOTTEST,
            value=temperature,
        )
    celsius: Number = np.maximum(temperature - ZERO_CELSIUS, 20.0)
    return celsius


def specific_heat(temperature: Number) -> Number:
    """Return the heat that warms steel by one kelvin.

    Parameters
    ----------
    temperature : float or array (draws,)
        Temperature of the steel, 20 to 1500 °C [K]; above 1200 °C the last value
        is kept, an extrapolation of our own.

    Returns
    -------
    float or array (draws,)
        Specific heat [J/(kg K)].

    References
    ----------
    EN 1993-1-2:2005, 3.4.1.2, from transcriptions that agree.
    """
    t = _celsius(temperature)
    # Each piece is asked only inside its own range: np.where computes them all.
    low, middle = np.minimum(t, 600.0), np.minimum(np.maximum(t, 600.0), 735.0)
    high = np.maximum(t, 735.0)
    heat: Number = np.where(
        t < 600.0,
        425.0 + 0.773 * low - 1.69e-3 * low**2 + 2.22e-6 * low**3,
        np.where(
            t <= 735.0,
            666.0 + 13002.0 / (738.0 - middle),
            np.where(t < 900.0, 545.0 + 17820.0 / (high - 731.0), 650.0),
        ),
    )[()]
    return heat


def enthalpy(temperature: Number) -> Number:
    """Return the heat that warms steel from 20 °C, the integral of `specific_heat`.

    Parameters
    ----------
    temperature : float or array (draws,)
        Temperature of the steel, 20 to 1500 °C [K].

    Returns
    -------
    float or array (draws,)
        Heat for each mass [J/kg].

    References
    ----------
    EN 1993-1-2:2005, 3.4.1.2, integrated piece by piece.
    """
    t = _celsius(temperature)
    low, middle = np.minimum(t, 600.0), np.minimum(np.maximum(t, 600.0), 735.0)
    high, rest = np.minimum(np.maximum(t, 735.0), 900.0), np.maximum(t, 900.0)
    total: Number = (
        _warm(low)
        - _warm(20.0)
        + (666.0 * (middle - 600.0) - 13002.0 * np.log((738.0 - middle) / 138.0))
        + (545.0 * (high - 735.0) + 17820.0 * np.log((high - 731.0) / 4.0))
        + 650.0 * (rest - 900.0)
    )
    return total


def _warm(t: Number) -> Number:
    """Return the integral of the first piece, t in [°C], result in [J/kg]."""
    return 425.0 * t + 0.773 / 2 * t**2 - 1.69e-3 / 3 * t**3 + 2.22e-6 / 4 * t**4


def conductivity(temperature: Number) -> Number:
    """Return how well steel conducts heat.

    Parameters
    ----------
    temperature : float or array (draws,)
        Temperature of the steel, 20 to 1500 °C [K].

    Returns
    -------
    float or array (draws,)
        Thermal conductivity [W/(m K)].

    References
    ----------
    EN 1993-1-2:2005, 3.4.1.3.
    """
    t = _celsius(temperature)
    conducted: Number = np.where(t < 800.0, 54.0 - 0.0333 * t, 27.3)[()]
    return conducted


def expansion(temperature: Number) -> Number:
    """Return how much longer hot steel is than cold, as a share.

    Parameters
    ----------
    temperature : float or array (draws,)
        Temperature of the steel, 20 to 1500 °C [K].

    Returns
    -------
    float or array (draws,)
        Change of length over length at 20 °C [1].

    References
    ----------
    EN 1993-1-2:2005, 3.4.1.1; extrapolated above 1200 °C.
    """
    t = _celsius(temperature)
    longer: Number = np.where(
        t < 750.0,
        1.2e-5 * t + 0.4e-8 * t**2 - 2.416e-4,
        np.where(t <= 860.0, 0.011, 2e-5 * t - 6.2e-3),
    )[()]
    return longer


def hot_density(temperature: Number, cold: float = STEEL_DENSITY) -> Number:
    """Return the density of hot steel.

    Parameters
    ----------
    temperature : float or array (draws,)
        Temperature of the steel, 20 to 1500 °C [K].
    cold : float
        Density at 20 °C [kg/m^3].

    Returns
    -------
    float or array (draws,)
        Density when hot [kg/m^3].
    """
    return cold / (1.0 + expansion(temperature)) ** 3
