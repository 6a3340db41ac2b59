"""How fast a gas bottle gives gas before it freezes.

Liquid boils off as fast as heat comes in through the wetted wall, and first of all
from its own warmth. A bottle is helped by a second one coupled to it, by pauses and
by milder air; it is never heated.
"""

from __future__ import annotations

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import PlanError, _
from billets.physics.jets import SEA_LEVEL
from billets.physics.state import every

HOUR = 3600.0

REGULATOR_DROP = 0.3e5
"""Pressure lost between bottle and burner, common practice, no source [Pa]."""

NORMAL_BOILING = 231.04
"""Where propane boils at the pressure of the sea's level, from CoolProp 8.0 [K]."""

_PRESSURES = (0.8e5, 1.01325e5, 1.5e5, 2e5, 2.5e5, 3e5, 4e5, 5e5, 6e5, 7e5, 8e5)
_BOILING = (225.82, 231.04, 240.33, 247.70, 253.77, 258.97, 267.68, 274.88, 281.07,
            286.55, 291.47)  # fmt: skip
"""Boiling curve of propane, from CoolProp 8.0 [K]."""

LIQUID_HEAT = 63.1e3 / 25.0
"""Warmth of liquid propane around 0 °C, from CoolProp 8.0 [J/(kg K)]."""

VAPORISATION = 388.0e3
"""Heat that boils propane off at -10 °C, from CoolProp 8.0 [J/kg]."""

CHART_BOTTLE = 45.36
"""The bottle the chart below was made for holds 100 lb [kg]."""

_LEFT = (0.0, 0.1, 0.3, 0.5, 0.7, 1.0)
_SLOPE = (0.0, 0.0205, 0.0392, 0.0560, 0.0714, 0.1017)
_ZERO = (-46.0, -46.0, -41.8, -42.0, -42.4, -40.9)
"""Lines through the chart: share left, kg/h for each kelvin above a zero in °C.

Gas trade's data sheet for lasting draw, common practice; an empty bottle gives none.
"""

CHART_AIR = (-18.0 + ZERO_CELSIUS, 21.5 + ZERO_CELSIUS)
"""Air for which the chart was made [K]."""


def boiling_point(pressure: Number) -> Number:
    """Return where propane boils.

    Parameters
    ----------
    pressure : float or array (draws,)
        Absolute pressure, 0.8 to 8 bar [Pa].

    Returns
    -------
    float or array (draws,)
        Temperature [K].

    References
    ----------
    Points of CoolProp 8.0; between them one over temperature goes straight with the
    logarithm of pressure, as Clausius and Clapeyron have it.
    """
    least, most = _PRESSURES[0], _PRESSURES[-1]
    if not every((pressure >= least) & (pressure <= most)):
        raise PlanError(
            _(
                "The boiling of propane is known from {low_pressure} to "
                "{high_pressure}, not at {pressure}; correct the gas pressure."
            ),
            field="gas_pressure",
            pressure=pressure,
            low_pressure=least,
            high_pressure=most,
        )
    inverse = np.interp(np.log(pressure), np.log(_PRESSURES), 1.0 / np.array(_BOILING))
    boiling: Number = 1.0 / inverse
    return boiling


def coldest_liquid(pressure: Number, ambient: float = SEA_LEVEL) -> Number:
    """Return how cold the liquid may get and still feed a burner.

    Parameters
    ----------
    pressure : float or array (draws,)
        Gauge pressure at the burner [Pa].
    ambient : float
        Pressure of the air [Pa].

    Returns
    -------
    float or array (draws,)
        Temperature at which the bottle's pressure just does [K].
    """
    return boiling_point(pressure + REGULATOR_DROP + ambient)


def pressure_share(air: Number, pressure: Number, ambient: float = SEA_LEVEL) -> Number:
    """Return how much of the chart is left when the burner needs pressure.

    Parameters
    ----------
    air : float or array (draws,)
        Temperature where the bottle stands [K].
    pressure : float or array (draws,)
        Gauge pressure at the burner [Pa].
    ambient : float
        Pressure of the air [Pa].

    Returns
    -------
    float or array (draws,)
        Share [1]; 0 where the air is too cold for that pressure at all.

    Notes
    -----
    The chart lets the liquid cool until it no longer presses at all; a burner stops
    before. Heat comes in as the difference to the air, so the limit goes with it.
    """
    warmer = np.maximum(air - coldest_liquid(pressure, ambient), 0.0)
    share: Number = warmer / np.maximum(air - NORMAL_BOILING, 1e-6)
    return share * np.greater(air, NORMAL_BOILING)


def chart_limit(air: Number, left: Number) -> Number:
    """Return what a bottle of 100 lb gives for good without any pressure left.

    Parameters
    ----------
    air : float or array (draws,)
        Temperature where the bottle stands, -18 to 21 °C [K].
    left : float or array (draws,)
        Share of the gas still in the bottle, 0 to 1 [1].

    Returns
    -------
    float or array (draws,)
        Limit [kg/s].

    Notes
    -----
    Lines fitted to a data sheet of the gas trade, common practice, and straight between
    them. In warmer or colder
    air the line is gone on with: `bottle_use.bottle_flags` then says so.
    """
    share, zero = np.array(_LEFT), np.array(_ZERO) + ZERO_CELSIUS
    slope = np.array(_SLOPE) / HOUR
    row = np.clip(np.searchsorted(share, left, side="right") - 1, 0, len(share) - 2)
    part = (left - share[row]) / (share[row + 1] - share[row])
    below, above = (
        slope[one] * np.maximum(air - zero[one], 0.0) for one in (row, row + 1)
    )
    limit: Number = below + (above - below) * part
    return limit


def physical_limit(
    bottle: Number,
    left: Number,
    air: Number,
    pressure: Number,
    ambient: float = SEA_LEVEL,
) -> Number:
    """Return what one bottle gives for good, boiling by the warmth of the air alone.

    Parameters
    ----------
    bottle : float or array (draws,)
        Gas in the full bottle [kg].
    left : float or array (draws,)
        Share of it still there [1].
    air : float or array (draws,)
        Temperature where it stands [K].
    pressure : float or array (draws,)
        Gauge pressure at the burner [Pa].
    ambient : float
        Pressure of the air [Pa].

    Returns
    -------
    float or array (draws,)
        Limit [kg/s].

    Notes
    -----
    The chart's bottle scaled by wetted wall: bottles of one shape have walls in
    proportion to their content to the power of two thirds. Wind, sun and frost on the
    wall are left out; expect a third either way. The trade's own limits are three to
    five times lower, since they allow for those.
    """
    wall = (bottle / CHART_BOTTLE) ** (2.0 / 3.0)
    return wall * chart_limit(air, left) * pressure_share(air, pressure, ambient)


def stored_vapour(liquid: Number, air: Number, coldest: Number) -> Number:
    """Return the gas that liquid boils off by its own warmth.

    Parameters
    ----------
    liquid : float or array (draws,)
        In the bottle [kg].
    air, coldest : float or array (draws,)
        Temperature it starts with, and how cold it may get [K].

    Returns
    -------
    float or array (draws,)
        Gas over and above what the air's warmth boils off [kg].

    References
    ----------
    Heats of CoolProp 8.0 between 15 and -10 °C, kept outside.
    """
    cooled = np.maximum(air - coldest, 0.0)
    vapour: Number = liquid * LIQUID_HEAT * cooled / VAPORISATION
    return vapour
