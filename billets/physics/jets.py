"""How much gas a jet lets through at a pressure, choked and not."""

from __future__ import annotations

import math

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import PlanError, _
from billets.physics.fuels import PROPANE, Fuel

SEA_LEVEL = 101325.0
"""Pressure of the air at the level of the sea, ISO 2533 [Pa]."""

COOL = 15.0 + ZERO_CELSIUS
"""Temperature of the gas unless told otherwise [K]."""

DISCHARGE = 0.85
"""Share of a jet's area the gas fills; quoted from memory, verify: Perry [1].

Sharp drilled hole 0.6 to 0.65 at low pressure, 0.84 when choked; a short tube or a
welding tip 0.8 to 0.9, the tips common practice.
"""

KNOWN_PRESSURES = (0.2e5, 2.5e5)
"""Gauge pressures at which the formula was held against real gas [Pa]."""

HIGHEST = 5000.0
"""Highest place a forge is thought of, common practice, no source [m]."""


def air_pressure(altitude: float) -> float:
    """Return the pressure of the air at a height above the sea.

    Parameters
    ----------
    altitude : float
        Height above the sea, up to 5000 m [m].

    Returns
    -------
    float
        Pressure of still air on an average day [Pa].

    References
    ----------
    ISO 2533, Standard Atmosphere, quoted from memory, verify.
    """
    if not -500.0 <= altitude <= HIGHEST:
        raise PlanError(
            _("No forge stands {value} above the sea; type a height up to {most}."),
            field="altitude",
            value=altitude,
            most=HIGHEST,
        )
    return float(SEA_LEVEL * (1.0 - 2.25577e-5 * altitude) ** 5.25588)


def critical_ratio(exponent: float) -> float:
    """Return the pressure ratio at and below which a jet is choked.

    Parameters
    ----------
    exponent : float
        Specific heat at constant pressure over that at constant volume [1].

    Returns
    -------
    float
        Pressure behind the jet over pressure before it, both absolute [1].

    References
    ----------
    Perry, flow measurement; API 520 part I; quoted from memory, verify.
    """
    return float((2.0 / (exponent + 1.0)) ** (exponent / (exponent - 1.0)))


def choking_pressure(ambient: float = SEA_LEVEL, fuel: Fuel = PROPANE) -> float:
    """Return the gauge pressure from which a jet is choked.

    Parameters
    ----------
    ambient : float
        Pressure of the air [Pa].
    fuel : Fuel
        What flows.

    Returns
    -------
    float
        Gauge pressure [Pa].
    """
    return ambient / critical_ratio(fuel.exponent) - ambient


def jet_flow(
    bore: Number,
    pressure: Number,
    *,
    discharge: Number = DISCHARGE,
    ambient: float = SEA_LEVEL,
    temperature: float = COOL,
    fuel: Fuel = PROPANE,
) -> Number:
    """Return what flows through one jet.

    Parameters
    ----------
    bore : float or array (draws,)
        Diameter of the hole, gauged; tips are named by their wire and are wider [m].
    pressure : float or array (draws,)
        Gauge pressure before the jet [Pa].
    discharge : float or array (draws,)
        Share of the hole's area the gas fills [1].
    ambient : float
        Pressure of the air [Pa].
    temperature : float
        Of the gas before the jet [K].
    fuel : Fuel
        What flows.

    Returns
    -------
    float or array (draws,)
        Flow; 10 to 25 % either way, since bore and discharge are rarely known [kg/s].

    Notes
    -----
    Ideal gas, no heat taken up, between 0.2 and 2.5 bar within 3 % of real propane.
    `gas_rate.jet_flags` says where it is stretched beyond. Once choked, the jet flows
    as if the air behind it were at the critical ratio.

    References
    ----------
    Perry, flow measurement; API 520 part I; quoted from memory, verify.

    Examples
    --------
    >>> float(3600 * jet_flow(1.0e-3, 1.0e5))
    1.317
    """
    g = fuel.exponent
    before = ambient + pressure
    ratio = np.maximum(ambient / before, critical_ratio(g))
    area = math.pi * bore**2 / 4.0
    speed = 2.0 * g / ((g - 1.0) * fuel.gas_constant * temperature)
    drop = np.maximum(ratio ** (2.0 / g) - ratio ** ((g + 1.0) / g), 0.0)
    flow: Number = discharge * area * before * np.sqrt(speed * drop)
    return flow
