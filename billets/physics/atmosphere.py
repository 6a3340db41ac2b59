"""The gas in the forge: how much it scales, and why rich running is no cure."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from billets.physics.constants import GAS_CONSTANT
from billets.physics.errors import PlanError, _

ATMOSPHERES: Mapping[str, float] = MappingProxyType(
    {"oxidising": 1.2, "neutral": 0.9, "rich": 0.6, "can": 0.1}
)
"""Scale against the law for air, by what burns [1]; common practice, no source.

"rich" is the usual gas forge, run slightly rich (0.2 to 1.0); "can" is the steel
inside a can whose skin is ground off. Never remove one: old plans name it.
"""

AIR_RATIO_LOW, AIR_RATIO_HIGH = 0.3, 1.0
"""Air over the air of clean burning for which propane leaves gas, not soot [1]."""


def atmosphere_factor(name: str) -> float:
    """Return the scale factor of a named atmosphere [1], PlanError if unknown."""
    if name not in ATMOSPHERES:
        raise PlanError(
            _("No atmosphere is called {name}; choose one of {choices}."),
            field="forge",
            name=name,
            choices=", ".join(ATMOSPHERES),
        )
    return ATMOSPHERES[name]


def _constant(enthalpy: float, entropy: float, temperature: float) -> float:
    """Return exp(-(dH + dS T) / RT) for enthalpy [J/mol], entropy [J/(mol K)], [K]."""
    return math.exp(-(enthalpy + entropy * temperature) / (GAS_CONSTANT * temperature))


def bare_limits(temperature: float) -> tuple[float, float]:
    """Return how rich a gas must be to keep iron bare.

    Parameters
    ----------
    temperature : float
        Temperature of the steel [K].

    Returns
    -------
    carbon : float
        Least CO over CO2 [1].
    hydrogen : float
        Least H2 over H2O [1].

    References
    ----------
    Ellingham data as in Gaskell, and Turkdogan; quoted from memory, verify.
    """
    return (
        _constant(17500.0, -21.4, temperature),
        _constant(-17400.0, 9.55, temperature),
    )


def shift_constant(temperature: float) -> float:
    """Return the equilibrium constant of CO + H2O = CO2 + H2.

    Parameters
    ----------
    temperature : float
        Temperature of the gas [K].

    Returns
    -------
    float
        (CO2 H2) / (CO H2O) [1].

    References
    ----------
    As for `bare_limits`; quoted from memory, verify.
    """
    return _constant(-34900.0, 30.95, temperature)


@dataclass(frozen=True, slots=True)
class BurntPropane:
    """What one mole of propane leaves behind.

    Attributes
    ----------
    carbon_dioxide, carbon_monoxide, steam, hydrogen : float
        Moles for each mole of propane [1].
    """

    carbon_dioxide: float
    carbon_monoxide: float
    steam: float
    hydrogen: float


def burnt_propane(air_ratio: float, temperature: float) -> BurntPropane:
    """Return the gas of a propane forge in equilibrium.

    Parameters
    ----------
    air_ratio : float
        Air over the air of clean burning, between 0.3 and 1 [1].
    temperature : float
        Temperature of the gas [K].

    Returns
    -------
    BurntPropane
        Moles of each gas for each mole of propane [1].
    """
    if not AIR_RATIO_LOW < air_ratio < AIR_RATIO_HIGH:
        raise PlanError(
            _("The air ratio must lie between {low} and {high}; it is {value}."),
            field="air_ratio",
            low=AIR_RATIO_LOW,
            high=AIR_RATIO_HIGH,
            value=air_ratio,
        )
    shift, oxygen = shift_constant(temperature), 10.0 * air_ratio
    # (1 - K) x^2 + linear x = constant, written so that K = 1 divides by nothing.
    linear = 7.0 - oxygen * (1.0 - shift)
    constant = shift * (3.0 * oxygen - 9.0)
    root = math.sqrt(linear**2 + 4.0 * (1.0 - shift) * constant)
    dioxide = 2.0 * constant / (linear + root)
    return BurntPropane(
        dioxide, 3.0 - dioxide, oxygen - 3.0 - dioxide, 7.0 + dioxide - oxygen
    )


def bare_air_ratio(temperature: float) -> float:
    """Return the air ratio below which iron stays bare in burnt propane.

    Parameters
    ----------
    temperature : float
        Temperature of steel and gas [K].

    Returns
    -------
    float
        Air over the air of clean burning [1]: far richer than a forge is run, so
        rich running slows scale and does not stop it.
    """
    needed, _hydrogen = bare_limits(temperature)
    low, high = AIR_RATIO_LOW + 1e-9, AIR_RATIO_HIGH - 1e-9
    for _halving in range(60):
        middle = (low + high) / 2.0
        gas = burnt_propane(middle, temperature)
        if gas.carbon_monoxide > needed * gas.carbon_dioxide:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
