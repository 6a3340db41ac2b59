"""Bar stock: what a metre weighs, and how much of it to cut."""

from __future__ import annotations

from billets.physics import Number
from billets.physics.constants import STEEL_DENSITY


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
