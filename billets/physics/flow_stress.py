"""How hard hot steel resists being forged: three published laws.

The press uses Shida's. The other two stand beside it as checks: against measured
points the three lie within 20 % of one another, erring high, which is the safe side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.constants import GRAVITY, ZERO_CELSIUS
from billets.physics.errors import PlanError, _
from billets.physics.state import Mask, every

KILOGRAM_FORCE = GRAVITY * 1e6
"""One kilogram-force on a square millimetre, in which the laws were fitted [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowRange:
    """What a law was fitted to: least and most of each measure.

    Attributes
    ----------
    carbon : (float, float)
        Mass fraction in percent [%].
    strain : (float, float)
        True strain [1].
    rate : (float, float)
        True strain in a second [1/s].
    temperature : (float, float)
        Of the steel [K].
    """

    carbon: tuple[float, float]
    strain: tuple[float, float]
    rate: tuple[float, float]
    temperature: tuple[float, float]


FLOW_RANGES: Mapping[str, FlowRange] = MappingProxyType(
    {
        "shida": FlowRange(
            carbon=(0.0, 1.2),
            strain=(0.0, 0.7),
            rate=(0.1, 100.0),
            temperature=(700.0 + ZERO_CELSIUS, 1200.0 + ZERO_CELSIUS),
        ),
        "misaka": FlowRange(
            carbon=(0.0, 1.2),
            strain=(0.0, 0.5),
            rate=(30.0, 200.0),
            temperature=(750.0 + ZERO_CELSIUS, 1200.0 + ZERO_CELSIUS),
        ),
    }
)
"""Where two of the laws hold, by name; the third is of one steel and says its own."""


def in_range(
    law: str, carbon: Number, strain: Number, rate: Number, temperature: Number
) -> Mask:
    """Say whether a law was fitted to such work, or is stretched beyond it.

    Parameters
    ----------
    law : str
        A key of `FLOW_RANGES`.
    carbon : float or array (draws,)
        Mass fraction in percent [%].
    strain : float or array (draws,)
        True strain [1].
    rate : float or array (draws,)
        True strain in a second [1/s].
    temperature : float or array (draws,)
        Of the steel [K].

    Returns
    -------
    bool or array of bool (draws,)
        Whether all four lie in the range.
    """
    known = FLOW_RANGES[law]
    inside: Mask = True
    for value, (low, high) in (
        (carbon, known.carbon),
        (strain, known.strain),
        (rate, known.rate),
        (temperature, known.temperature),
    ):
        inside = inside & (value >= low) & (value <= high)
    return inside


def shida_limit(carbon: Number) -> Number:
    """Return the temperature below which Shida's law has another form.

    Parameters
    ----------
    carbon : float or array (draws,)
        Mass fraction in percent [%].

    Returns
    -------
    float or array (draws,)
        Temperature of the steel: 753 °C for 0.8 % carbon [K].
    """
    return 950.0 * (carbon + 0.41) / (carbon + 0.32)


def shida(carbon: Number, strain: Number, rate: Number, temperature: Number) -> Number:
    """Return the flow stress of carbon steel.

    Parameters
    ----------
    carbon : float or array (draws,)
        Mass fraction in percent, up to 1.2 [%].
    strain : float or array (draws,)
        True strain, above 0 and up to 0.7 [1].
    rate : float or array (draws,)
        True strain in a second, 0.1 to 100 [1/s].
    temperature : float or array (draws,)
        Of the steel, from `shida_limit` to 1200 °C [K].

    Returns
    -------
    float or array (draws,)
        Stress at that strain, good to 20 % [Pa].

    Notes
    -----
    Below the limit it is refused; elsewhere outside its range it goes on, and
    `in_range` tells. Alloyed steels of these billets, nickel up to 2 %, lie within
    the 20 % (common practice, no source).

    References
    ----------
    Shida, J. JSTP 9 (1968) no. 85 and 10 (1969) no. 103, by an open transcription.

    Examples
    --------
    >>> round(float(shida(0.8, 0.2, 1.0, 1423.15)) / 1e6, 1)
    61.9
    """
    limit = shida_limit(carbon)
    if not every(temperature >= limit):
        raise PlanError(
            _(
                "How hard steel of {carbon} % carbon resists is known from "
                "{least_temperature} up, not at {temperature}; work it hotter."
            ),
            field="temperature",
            carbon=carbon,
            least_temperature=limit,
            temperature=temperature,
        )
    _check_above_zero(strain, rate)
    hot = temperature / 1000.0
    hardening = 0.41 - 0.07 * carbon
    speed = (-0.019 * carbon + 0.126) * hot + (0.075 * carbon - 0.05)
    share = strain / 0.2
    still = 0.28 * np.exp(5.0 / hot - 0.01 / (carbon + 0.05))
    worked = 1.3 * share**hardening - 0.3 * share
    stress: Number = KILOGRAM_FORCE * still * worked * (rate / 10.0) ** speed
    return stress


def misaka(carbon: float, strain: Number, rate: Number, temperature: Number) -> Number:
    """Return the mean flow stress of carbon steel over a strain.

    Parameters
    ----------
    carbon : float
        Mass fraction in percent, up to 1.2 [%].
    strain : float or array (draws,)
        True strain, above 0 and up to 0.5 [1].
    rate : float or array (draws,)
        True strain in a second; fitted to 30 to 200, a press is slower [1/s].
    temperature : float or array (draws,)
        Of the steel, 750 to 1200 °C [K].

    Returns
    -------
    float or array (draws,)
        Mean stress up to that strain [Pa]; `in_range` tells whether it is stretched.

    References
    ----------
    Misaka and Yoshimoto, J. JSTP 8 (1967) no. 79, by an open transcription.
    """
    _check_above_zero(strain, rate)
    by_carbon = 0.126 - 1.75 * carbon + 0.594 * carbon**2
    by_heat = (2851.0 + 2968.0 * carbon - 1120.0 * carbon**2) / temperature
    stress: Number = (
        KILOGRAM_FORCE * np.exp(by_carbon + by_heat) * strain**0.21 * rate**0.13
    )
    return stress


HENSEL_SPITTEL_HEAT = (900.0 + ZERO_CELSIUS, 1250.0 + ZERO_CELSIUS)
"""Temperatures at which `hensel_spittel` was compared with the others [K]."""


def hensel_spittel(strain: Number, rate: Number, temperature: Number) -> Number:
    """Return the flow stress of C45, a steel of 0.45 % carbon.

    Parameters
    ----------
    strain : float or array (draws,)
        True strain, above 0 [1].
    rate : float or array (draws,)
        True strain in a second [1/s].
    temperature : float or array (draws,)
        Of the steel, 900 to 1250 °C; refused outside, for its own range is not at
        hand [K].

    Returns
    -------
    float or array (draws,)
        Stress at that strain [Pa].

    References
    ----------
    Landolt-Boernstein VIII/2; Hensel and Spittel 1978, by an open transcription.
    """
    low, high = HENSEL_SPITTEL_HEAT
    if not every((temperature >= low) & (temperature <= high)):
        raise PlanError(
            _("This law is used from {low} to {high}; change the temperature."),
            field="temperature",
            low=low,
            high=high,
            temperature=temperature,
        )
    _check_above_zero(strain, rate)
    celsius = temperature - ZERO_CELSIUS
    stress: Number = (
        3268.49e6
        * np.exp(-0.00267855 * celsius + 0.000551814 / strain + 0.0166334 * strain)
        * strain**0.34446
        * (1.0 + strain) ** (-0.00132042 * celsius)
        * rate ** (0.000149907 * celsius)
    )
    return stress


def _check_above_zero(strain: Number, rate: Number) -> None:
    for field, value in (("strain", strain), ("rate", rate)):
        if not every(value > 0.0):
            raise PlanError(
                _("Steel resists where it is worked: {field} must be above zero."),
                field=field,
                value=value,
            )
