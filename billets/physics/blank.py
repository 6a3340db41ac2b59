"""From the finished blade back to the forged blank, and to the bar it needs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.blade import Blade, stations
from billets.physics.outline import Along
from billets.physics.section import section_width

CROWN = 0.06
"""Bulge of a forged wedge; common practice, no source [1]."""

CLEAN_SIDE = 0.00045
"""Allowance per flat side on a bar already ground clean; common practice [m]."""

CLEAN_CROP = 0.020
"""Ends and stub of a bar already ground clean; common practice [kg]."""

_LEVELS = 64
"""Heights at which the blank that follows the section is compared [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What a forged blank has more than the finished blade.

    Attributes
    ----------
    side : float
        On each flat side [m].
    profile : float
        All round the outline [m].
    edge : float
        Thickness of the forged edge [m].
    tang : float
        Factor on the volume of neck and tang [1].
    crop : float
        Ends, test piece and tongs stub [kg].
    scale : float
        Part of the bar lost to scale while forging the blade [1].
    """

    side: float
    profile: float
    edge: float
    tang: float
    crop: float
    scale: float


ALLOWANCES: Mapping[str, Allowance] = MappingProxyType(
    {
        "tight": Allowance(
            side=0.00035, profile=0.001, edge=0.0012, tang=1.05, crop=0.020, scale=0.02
        ),
        "typical": Allowance(
            side=0.0006, profile=0.002, edge=0.0020, tang=1.15, crop=0.035, scale=0.04
        ),
        "generous": Allowance(
            side=0.0010, profile=0.003, edge=0.0025, tang=1.30, crop=0.060, scale=0.06
        ),
    }
)
"""Common practice, no source; sides by makers' reports. Never remove one."""


def clean_allowance(allowance: Allowance) -> Allowance:
    """Return the allowance from a bar whose skin is ground off and ends are trimmed.

    Parameters
    ----------
    allowance : Allowance
        The allowance from a bar as forged.

    Returns
    -------
    Allowance
        Less on the sides and for the ends, so that nothing is counted twice.
    """
    return replace(
        allowance,
        side=min(allowance.side, CLEAN_SIDE),
        crop=min(allowance.crop, CLEAN_CROP),
    )


def _bar(thickness: Along, allowance: Allowance) -> Along:
    """Return the mean thickness of a blank left as thick as at the heel."""
    return np.full_like(thickness, thickness[0] + 2.0 * allowance.side)


def _taper(thickness: Along, allowance: Allowance) -> Along:
    """Return the mean thickness of a blank whose spine alone is forged thinner."""
    return thickness + 2.0 * allowance.side


def _bevel(thickness: Along, allowance: Allowance) -> Along:
    """Return the mean thickness of a blank whose bevels are forged too."""
    spine = thickness + 2.0 * allowance.side
    edge = np.minimum(allowance.edge, spine)
    return np.asarray(edge + (spine - edge) * (0.5 + 2.0 * CROWN / 3.0))


FORGINGS: Mapping[str, Callable[[Along, Allowance], Along]] = MappingProxyType(
    {"bar": _bar, "taper": _taper, "bevel": _bevel}
)
"""How far the blank is forged toward the blade. Never remove one."""


def blank_volume(blade: Blade, forging: str, allowance: Allowance) -> float:
    """Return the volume of a forged blank without its tang.

    Parameters
    ----------
    blade : Blade
        The finished blade.
    forging : str
        "bar", "taper" or "bevel".
    allowance : Allowance
        What the blank has more.

    Returns
    -------
    float
        Volume [m^3].

    Notes
    -----
    The outline is grown on spine, edge and heel and rounded at the tip. The forged
    wedge knows no bevel line, so for single bevels it is too light; see
    ``following_volume``.
    """
    x, weight = stations(blade.length)
    mean = FORGINGS[forging](blade.thickness(x), allowance)
    tall = _height(blade, x) + 2.0 * allowance.profile
    heel = float(tall[0] * mean[0]) * allowance.profile
    return float(weight @ (tall * mean)) + heel + _cap(allowance) * float(mean[-1])


def following_volume(blade: Blade, allowance: Allowance) -> float:
    """Return the volume of a blank that follows the finished section.

    Parameters
    ----------
    blade : Blade
        The finished blade.
    allowance : Allowance
        What the blank has more.

    Returns
    -------
    float
        Volume without the tang [m^3].

    Notes
    -----
    At least the forged edge's thickness everywhere, a hollow back left full; used
    for single bevels. Common practice, no source.
    """
    x, weight = stations(blade.length, 100)
    area = following_area(blade, x, allowance)
    spine = float(blade.thickness(x)[-1]) + 2.0 * allowance.side
    tip = (max(spine, allowance.edge) + allowance.edge) / 2.0
    heel = float(area[0]) * allowance.profile
    return float(weight @ area) + heel + _cap(allowance) * tip


def following_area(blade: Blade, x: Along, allowance: Allowance) -> Along:
    """Return the section of a blank that follows the finished section.

    Parameters
    ----------
    blade : Blade
        The finished blade.
    x : array (stations,)
        Stations in front of the heel [m].
    allowance : Allowance
        What the blank has more.

    Returns
    -------
    array (stations,)
        Area [m^2].
    """
    height, thickness = _height(blade, x), blade.thickness(x)
    level = (np.arange(_LEVELS) + 0.5) / _LEVELS
    above = height[:, None] * level
    solid = replace(blade.grind, hollow=0.0)
    width = section_width(above, height[:, None], thickness[:, None], solid)
    forged = np.maximum(width + 2.0 * allowance.side, allowance.edge)
    spine = np.maximum(thickness + 2.0 * allowance.side, allowance.edge)
    rims = allowance.profile * (spine + allowance.edge)
    return np.asarray(height * forged.mean(axis=1) + rims)


def blank_area(blade: Blade, x: Along, forging: str, allowance: Allowance) -> Along:
    """Return the section of a forged blank.

    Parameters
    ----------
    blade : Blade
        The finished blade.
    x : array (stations,)
        Stations in front of the heel, the first at the heel [m].
    forging : str
        "bar", "taper" or "bevel".
    allowance : Allowance
        What the blank has more.

    Returns
    -------
    array (stations,)
        Area [m^2].
    """
    mean = FORGINGS[forging](blade.thickness(x), allowance)
    return np.asarray((_height(blade, x) + 2.0 * allowance.profile) * mean)


def needed_mass(blank: Number, allowance: Allowance) -> Number:
    """Return the forged bar a blank must be forged from.

    Parameters
    ----------
    blank : float or array (draws,)
        Mass of the blank with its tang [kg].
    allowance : Allowance
        Its crop and its share of scale.

    Returns
    -------
    float or array (draws,)
        Mass of the bar [kg].

    Notes
    -----
    Common practice, no source. The least that must be left; a shop starts with more.

    Examples
    --------
    >>> round(needed_mass(0.2201, ALLOWANCES["typical"]), 4)
    0.2657
    """
    return (blank + allowance.crop) / (1.0 - allowance.scale)


def _height(blade: Blade, x: Along) -> Along:
    """Return the finished height at each station."""
    return np.maximum(blade.spine(x) - blade.edge(x), 0.0)


def _cap(allowance: Allowance) -> float:
    """Return the area of the rounded end that the grown outline has at the tip."""
    return float(np.pi / 2.0 * allowance.profile**2)
