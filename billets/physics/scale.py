"""Scale: how fast hot steel turns into oxide, and what that takes off the faces."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.constants import GAS_CONSTANT, ZERO_CELSIUS

IRON_WEIGHT = 55.845e-3
"""Molar mass of iron, IUPAC standard atomic weight [kg/mol]."""

OXYGEN_WEIGHT = 15.999e-3
"""Molar mass of oxygen, IUPAC standard atomic weight [kg/mol]."""

STEEL_PER_OXYGEN = 3.27
"""Steel lost for each mass of oxygen taken up, for scale of three oxides [1].

The layering (95/4/1 by thickness) is quoted from memory, verify: Birks and Meier,
Introduction to the High-Temperature Oxidation of Metals.
"""

AIR_TEMPERATURE = 1080.0 + ZERO_CELSIUS
"""Mean temperature of steel outside the forge, common practice, no source [K]."""

AIR_SECONDS = 45.0
"""Time outside the forge in one heat, common practice, no source [s]."""

AIR_FACTOR = 1.0
"""Scale in air against the law for air, common practice, no source [1]."""


@dataclass(frozen=True, slots=True)
class ScaleLaw:
    """An Arrhenius law for the parabolic constant.

    Attributes
    ----------
    factor : float
        Constant at infinite temperature [kg^2/(m^4 s)].
    energy : float
        Activation energy [J/mol].
    coldest, hottest : float
        Temperatures between which it was measured [K].
    """

    factor: float
    energy: float
    coldest: float
    hottest: float


SCALE_LAWS: Mapping[str, ScaleLaw] = MappingProxyType(
    {
        "stanley": ScaleLaw(
            37.0, 33000.0 * 4.184, 500.0 + ZERO_CELSIUS, 900.0 + ZERO_CELSIUS
        ),
        "paidassi": ScaleLaw(
            610.0, 169452.0, 700.0 + ZERO_CELSIUS, 1250.0 + ZERO_CELSIUS
        ),
    }
)
"""Laws by author. The chain uses "paidassi"; the other is a check beside it.

"stanley": Stanley, Hoene and Huntoon, Trans. ASM 1950, abstract; electrolytic iron
in air; units inferred. "paidassi": Paidassi, Acta Met. 6 (1958), as quoted in Chen
and Yuen, Oxid. Met. 59 (2003) 433-468; quoted from memory, verify.
"""

CHAIN_LAW = SCALE_LAWS["paidassi"]
"""The law by which the chain of steps loses steel."""


def parabolic_constant(temperature: Number, law: ScaleLaw = CHAIN_LAW) -> Number:
    """Return the rate constant of scaling in W^2 = k t.

    Parameters
    ----------
    temperature : float or array (draws,)
        Temperature of the steel [K].
    law : ScaleLaw
        Which law.

    Returns
    -------
    float or array (draws,)
        Parabolic constant of oxygen uptake [kg^2/(m^4 s)]; times 100 less when
        written in g^2/(cm^4 s).

    Notes
    -----
    Measured on iron between ``law.coldest`` and ``law.hottest``; a plan outside is
    flagged. Two sets of measurements differ by 35 %; low-alloy steels scale
    somewhat slower.

    References
    ----------
    See `SCALE_LAWS`; the law used is quoted from memory, verify.

    Examples
    --------
    >>> float(parabolic_constant(1473.15)) / 100
    5.985e-06
    """
    rate: Number = law.factor * np.exp(-law.energy / (GAS_CONSTANT * temperature))
    return rate


def oxygen_uptake(temperature: Number, seconds: Number) -> Number:
    """Return the oxygen a bare face takes up, starting without scale.

    Parameters
    ----------
    temperature : float or array (draws,)
        Temperature of the steel, held [K].
    seconds : float or array (draws,)
        Time since the scale was last knocked off [s].

    Returns
    -------
    float or array (draws,)
        Oxygen taken up by each area of face [kg/m^2].

    References
    ----------
    Parabolic law, as for `parabolic_constant`; quoted from memory, verify.
    """
    uptake: Number = np.sqrt(parabolic_constant(temperature) * seconds)
    return uptake


def steel_lost(oxygen: Number) -> Number:
    """Return the steel that went into the scale.

    Parameters
    ----------
    oxygen : float or array (draws,)
        Oxygen taken up by each area of face [kg/m^2].

    Returns
    -------
    float or array (draws,)
        Steel lost from each area of face [kg/m^2].
    """
    return STEEL_PER_OXYGEN * oxygen


def mixed_uptake(temperature: Number, seconds: Number, linear: Number) -> Number:
    """Return the oxygen taken up where the gas itself slows the scale.

    Parameters
    ----------
    temperature : float or array (draws,)
        Temperature of the steel, held [K].
    seconds : float or array (draws,)
        Time since the scale was last knocked off [s].
    linear : float or array (draws,)
        Linear constant of the gas, above zero [kg/(m^2 s)].

    Returns
    -------
    float or array (draws,)
        Oxygen taken up by each area of face [kg/m^2]: W in t = W^2/kp + W/kl.

    Notes
    -----
    No linear constant for a rich forge is trustworthy, so the chain lumps it into
    a factor of the atmosphere; this law shows why that factor is below one.
    """
    slow = 1.0 / linear
    root: Number = np.sqrt(slow**2 + 4.0 * seconds / parabolic_constant(temperature))
    return 2.0 * seconds / (slow + root)


def iron_per_oxygen(iron: float, oxygen: float) -> float:
    """Return the mass of iron bound by each mass of oxygen in an oxide [1].

    Parameters
    ----------
    iron, oxygen : float
        Atoms in the formula, 2 and 3 for Fe2O3 [1].

    Returns
    -------
    float
        Mass of iron over mass of oxygen [1].
    """
    return iron * IRON_WEIGHT / (oxygen * OXYGEN_WEIGHT)


def layered_iron_per_oxygen(oxides: Iterable[tuple[float, float, float]]) -> float:
    """Return the mass of iron over oxygen of scale made of several layers.

    Parameters
    ----------
    oxides : iterable of (float, float, float)
        Share of thickness [1], density [kg/m^3] and iron over oxygen [1] of each.

    Returns
    -------
    float
        Mass of iron over mass of oxygen [1].
    """
    iron = oxygen = 0.0
    for share, density, ratio in oxides:
        iron += share * density * ratio / (1.0 + ratio)
        oxygen += share * density / (1.0 + ratio)
    return iron / oxygen


def heat_loss(
    temperature: float,
    seconds: Number,
    *,
    atmosphere: float,
    strength: Number,
    air_seconds: Number = AIR_SECONDS,
) -> Number:
    """Return the steel each face loses in one heat, in the forge and out of it.

    Parameters
    ----------
    temperature : float
        Temperature of the steel in the forge [K].
    seconds : float or array (draws,)
        Time at that temperature with the heating-up counted in [s].
    atmosphere : float
        Factor of the forge's gas [1].
    strength : float or array (draws,)
        Scale strength of the shop: 0.8 until it has learnt better [1].
    air_seconds : float or array (draws,)
        Time outside, in air [s].

    Returns
    -------
    float or array (draws,)
        Steel lost from each area of face [kg/m^2].

    Notes
    -----
    The scale is knocked off on leaving the forge, so each part starts bare. Within
    a factor 1.6 either way on one heat (common practice, no source).
    """
    outside = min(temperature, AIR_TEMPERATURE)
    oxygen = atmosphere * oxygen_uptake(temperature, seconds)
    in_air = AIR_FACTOR * oxygen_uptake(outside, air_seconds)
    return strength * steel_lost(oxygen + in_air)
