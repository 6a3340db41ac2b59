"""Bar stock: what a metre weighs, what is sold, how much to cut."""

from __future__ import annotations

from billets.physics import Number
from billets.physics.constants import STEEL_DENSITY

CARBON_THICKNESSES = (0.0025, 0.003, 0.004, 0.005, 0.006)
CARBON_WIDTHS = (0.025, 0.030, 0.040, 0.050, 0.060)
NICKEL_THICKNESSES = (0.0015, 0.002)
NICKEL_WIDTHS = (0.025, 0.030, 0.040, 0.050)
"""Flats commonly bought: carbon steel and nickel strip; common practice [m]."""

BAR_LENGTHS = (0.5, 1.0)
"""Lengths commonly bought; common practice, no source [m]."""

ROLLED_TOLERANCE = 0.0005
"""Thickness of hot-rolled flats up to 20 mm is off by as much; EN 10058, quoted from
memory, verify. It outweighs every doubt about density: weigh bars on arrival [m]."""


def mass_per_length(
    width: Number, thickness: Number, density: Number = STEEL_DENSITY
) -> Number:
    """Return the mass of a flat bar per length.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar [m].
    density : float or array (draws,)
        Of the steel [kg/m^3].

    Returns
    -------
    float or array (draws,)
        Mass per length [kg/m].

    Examples
    --------
    >>> round(mass_per_length(0.040, 0.004), 3)
    1.256
    """
    return width * thickness * density


def length_to_cut(
    mass: Number, width: Number, thickness: Number, density: Number = STEEL_DENSITY
) -> Number:
    """Return the length of bar that holds a mass.

    Parameters
    ----------
    mass : float or array (draws,)
        Wanted [kg].
    width, thickness : float or array (draws,)
        Section of the bar [m].
    density : float or array (draws,)
        Of the steel [kg/m^3].

    Returns
    -------
    float or array (draws,)
        Length [m].

    Examples
    --------
    >>> round(length_to_cut(0.320, 0.045, 0.006), 3)
    0.151
    """
    return mass / mass_per_length(width, thickness, density)
