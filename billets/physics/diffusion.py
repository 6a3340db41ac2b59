"""How fast carbon and alloying even out between the layers of a hot billet.

Carbon wanders from layer to layer within minutes; nickel, chromium and manganese
hardly leave theirs: so a billet of many layers has one carbon and keeps its pattern.
A stack of equal repeats is known as a series; a real billet is in `levelling`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache

import numpy as np
from numpy.typing import NDArray

from billets.physics import Number
from billets.physics.errors import PlanError, _
from billets.physics.state import every

LEVEL = 0.05
"""Difference left at which layers count as level, common practice, no source [1]."""

SHARP = 1.0 / 576.0
"""Dt over a layer's thickness squared below which its middle feels nothing yet: the
complementary error function of 6 is 2e-17 [1]."""

NEGLIGIBLE = 40.0
"""Exponents beyond which a term of a series is nothing [1]."""


def reduced_time(diffusivity: Number, seconds: Number, thickness: Number) -> Number:
    """Return time as layers feel it: D t over their thickness squared.

    Parameters
    ----------
    diffusivity : float or array (draws,)
        As `diffusivity` gives it [m^2/s].
    seconds : float or array (draws,)
        At that heat [s].
    thickness : float or array (draws,)
        Of a layer, above zero [m].

    Returns
    -------
    float or array (draws,)
        Reduced time [1]. Those of several heats add up, each at the thickness of its
        own moment, as long as restacking keeps the layers' order.
    """
    _check_layer(thickness)
    reduced: Number = diffusivity * seconds / thickness**2
    return reduced


def added_up(heats: Iterable[tuple[Number, Number, Number]]) -> Number:
    """Return the reduced time of several heats, layers getting thinner.

    Parameters
    ----------
    heats : iterable of (float or array (draws,)) three times
        Diffusivity [m^2/s], time [s] and layer thickness [m] of each.

    Returns
    -------
    float or array (draws,)
        Sum of their reduced times [1].
    """
    total: Number = 0.0
    for heat in heats:
        total = total + reduced_time(*heat)
    return total


def difference_left(reduced: Number) -> Number:
    """Return what is left of the difference between equal layers, middle to middle.

    Parameters
    ----------
    reduced : float or array (draws,)
        Time as the layers feel it, `reduced_time` [1].

    Returns
    -------
    float or array (draws,)
        Difference left over that at the start, 1 to 0 [1].

    References
    ----------
    J. Crank, The Mathematics of Diffusion, quoted from memory, verify; the series was
    derived anew.

    Examples
    --------
    >>> float(difference_left(0.3280))
    0.0500
    """
    # Two equal layers are one repeat; F = D t/h^2 either way.
    return _series(reduced, 0.5)


def time_until(left: float) -> float:
    """Return the reduced time after which so much of a difference is left.

    Parameters
    ----------
    left : float
        Difference between equal layers over that at the start, below 1 [1].

    Returns
    -------
    float
        Reduced time, the inverse of `difference_left` [1]; read off a fine table.

    Examples
    --------
    >>> round(time_until(0.10), 4)
    0.2578
    """
    times, lefts = _table()
    return float(np.interp(-left, -lefts, times))


@cache
def _table() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    times = np.geomspace(SHARP, 3.0, 600)
    return times, np.asarray(difference_left(times))


def difference_left_unequal(diffused: Number, first: float, second: float) -> Number:
    """Return what is left of the difference between layers of two thicknesses.

    Parameters
    ----------
    diffused : float or array (draws,)
        Diffusivity times time [m^2].
    first, second : float
        Thickness of either layer [m].

    Returns
    -------
    float or array (draws,)
        Difference left between their middles over that at the start [1].

    References
    ----------
    As `difference_left`.

    Examples
    --------
    >>> float(difference_left_unequal(7.8e-8, 1.0e-3, 0.5e-3))
    0.2806
    """
    _check_layer(np.minimum(first, second))
    mean = (first + second) / 2.0
    return _series(diffused / mean**2, first / (first + second))


def _series(reduced: Number, share: float) -> Number:
    """Return sum over odd n of 4/(n pi) sin(n pi f) exp(-n^2 pi^2 F) [1]."""
    least = SHARP * (2.0 * np.minimum(share, 1.0 - share)) ** 2
    most = math.ceil(math.sqrt(NEGLIGIBLE / float(least)) / math.pi)
    odd = np.arange(1, most + 2, 2, dtype=float)
    height = 4.0 / (odd * np.pi) * np.sin(odd * np.pi * share)
    felt = np.maximum(reduced, least)
    fall = np.exp(-np.multiply.outer(felt, (odd * np.pi) ** 2))
    left: NDArray[np.float64] = np.where(reduced <= least, 1.0, fall @ height)
    return left[()]


def levelling_time(thickness: Number, diffusivity: Number) -> Number:
    """Return how long equal layers need until 5 % of their difference is left.

    Parameters
    ----------
    thickness : float or array (draws,)
        Of a layer [m].
    diffusivity : float or array (draws,)
        As `diffusivity` gives it [m^2/s].

    Returns
    -------
    float or array (draws,)
        Time [s]; it grows with the square of the thickness.
    """
    _check_layer(thickness)
    time: Number = _level_reduced() * thickness**2 / diffusivity
    return time


def levelling_thickness(seconds: Number, diffusivity: Number) -> Number:
    """Return how thick equal layers may be to level to 5 % in a given time.

    Parameters
    ----------
    seconds : float or array (draws,)
        At heat [s].
    diffusivity : float or array (draws,)
        As `diffusivity` gives it [m^2/s].

    Returns
    -------
    float or array (draws,)
        Thickness [m].
    """
    thickness: Number = np.sqrt(diffusivity * seconds / _level_reduced())
    return thickness


def _level_reduced() -> float:
    """Return the reduced time at which 5 % are left: one term of the series does."""
    return math.log(4.0 / (math.pi * LEVEL)) / math.pi**2


def repeat_left(diffused: Number, period: Number) -> Number:
    """Return what is left of the slowest wave of a repeat of any layers.

    Parameters
    ----------
    diffused : float or array (draws,)
        Diffusivity times time [m^2].
    period : float or array (draws,)
        Thickness of a whole repeat, of two, three or more steels [m].

    Returns
    -------
    float or array (draws,)
        Height of the wave over that at the start [1]; all others fall faster.
    """
    _check_layer(period)
    left: Number = np.exp(-4.0 * np.pi**2 * diffused / period**2)
    return left


def _check_layer(thickness: Number) -> None:
    if not every(thickness > 0.0):
        raise PlanError(_("A layer needs a thickness above zero."), field="thickness")
