"""The spine's thickness along a blade, drawn smoothly through three measured ones."""

from __future__ import annotations

import numpy as np

from billets.physics.outline import Along, Curve

TIP_STATION = 0.010
"""The third thickness is measured this far before the tip [m]."""


def monotone_slopes(x: Along, y: Along) -> Along:
    """Return slopes that keep a cubic through the points from overshooting.

    Parameters
    ----------
    x : array (points,)
        Stations, rising, at least three [m].
    y : array (points,)
        Values at the stations [m].

    Returns
    -------
    array (points,)
        Slope at each station [1].

    References
    ----------
    F. N. Fritsch, R. E. Carlson, Monotone piecewise cubic interpolation, SIAM Journal
    on Numerical Analysis 17 (1980) 238-246; weights of the harmonic mean after
    Fritsch and Butland (1984). Quoted from memory, verify.
    """
    step = np.diff(x)
    rise = np.diff(y) / step
    slopes = np.zeros_like(x)
    before = 2.0 * step[1:] + step[:-1]
    after = step[1:] + 2.0 * step[:-1]
    same = rise[:-1] * rise[1:] > 0.0
    low, high = np.where(same, rise[:-1], 1.0), np.where(same, rise[1:], 1.0)
    mean = (before + after) / (before / low + after / high)
    slopes[1:-1] = np.where(same, mean, 0.0)
    slopes[0] = _end_slope(step[0], step[1], rise[0], rise[1])
    slopes[-1] = _end_slope(step[-1], step[-2], rise[-1], rise[-2])
    return slopes


def _end_slope(step: float, following: float, rise: float, beyond: float) -> float:
    """Return the one-sided slope at an end, held back where it would overshoot."""
    slope = ((2.0 * step + following) * rise - step * beyond) / (step + following)
    if slope * rise <= 0.0:
        return 0.0
    if rise * beyond <= 0.0 and abs(slope) > 3.0 * abs(rise):
        return 3.0 * rise
    return slope


def monotone_cubic(x: Along, y: Along) -> Curve:
    """Return a smooth curve through points that rises and falls only where they do.

    Parameters
    ----------
    x : array (points,)
        Stations, rising, at least three [m].
    y : array (points,)
        Values at the stations [m].

    Returns
    -------
    Curve
        The curve [m]; constant before the first and after the last station.
    """
    step, slopes = np.diff(x), monotone_slopes(x, y)

    def curve(at: Along) -> Along:
        held = np.clip(at, x[0], x[-1])
        piece = np.clip(np.searchsorted(x, held, side="right") - 1, 0, len(step) - 1)
        width = step[piece]
        s = (held - x[piece]) / width
        return np.asarray(
            y[piece] * (1.0 + 2.0 * s) * (1.0 - s) ** 2
            + slopes[piece] * width * s * (1.0 - s) ** 2
            + y[piece + 1] * s**2 * (3.0 - 2.0 * s)
            - slopes[piece + 1] * width * s**2 * (1.0 - s)
        )

    return curve


def spine_taper(
    length: float,
    heel: float,
    middle: float,
    tip: float,
    *,
    tip_station: float = TIP_STATION,
) -> Curve:
    """Return the spine's thickness as a function of x.

    Parameters
    ----------
    length : float
        Heel corner to tip, more than twice the tip station [m].
    heel, middle, tip : float
        Thickness above the heel, at half the length and before the tip [m].
    tip_station : float
        How far before the tip the third thickness is measured [m].

    Returns
    -------
    Curve
        Thickness [m]; constant beyond the last station.

    Examples
    --------
    >>> taper = spine_taper(0.210, 0.0030, 0.0022, 0.0010)
    >>> round(float(taper(np.array(0.105))), 6)
    0.0022
    """
    stations = np.array([0.0, length / 2.0, length - tip_station])
    return monotone_cubic(stations, np.array([heel, middle, tip]))
