"""What a billet loses besides scale, and a first word when only welds are known."""

from __future__ import annotations

import math
from dataclasses import dataclass

from billets.physics import Number
from billets.physics.errors import PlanError, _

FALLBACK_PER_WELD = -0.18302
"""Mean logarithm of what one weld leaves; common practice, no source [1]."""

FALLBACK_SPREAD = 0.09037
"""Its standard deviation from case to case; common practice, no source [1]."""

NINETY_PERCENT = 1.645
"""Standard deviations that hold the middle 90 % of a normal spread [1]."""


def ground_area(width: Number, thickness: Number, face: Number, edge: Number) -> Number:
    """Return the section that grinding all four sides takes.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar [m].
    face, edge : float or array (draws,)
        Taken off each face and each edge [m].

    Returns
    -------
    float or array (draws,)
        Area of section ground away [m^2].
    """
    return width * thickness - (width - 2.0 * edge) * (thickness - 2.0 * face)


def ground_share(
    width: Number, thickness: Number, face: Number, edge: Number
) -> Number:
    """Return the share of a bar that grinding all four sides takes.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar [m].
    face, edge : float or array (draws,)
        Taken off each face and each edge [m].

    Returns
    -------
    float or array (draws,)
        Share of the bar's mass [1].
    """
    return ground_area(width, thickness, face, edge) / (width * thickness)


def trimmed_volume(width: Number, thickness: Number, per_end: Number) -> Number:
    """Return what cutting both ends takes.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar [m].
    per_end : float or array (draws,)
        Cut off each end [m].

    Returns
    -------
    float or array (draws,)
        Volume [m^3].
    """
    return 2.0 * per_end * width * thickness


def kerf_volume(
    width: Number, thickness: Number, kerf: Number, pieces: Number
) -> Number:
    """Return what cutting a bar in pieces turns to dust.

    Parameters
    ----------
    width, thickness : float or array (draws,)
        Section of the bar [m].
    kerf : float or array (draws,)
        Width of one cut [m].
    pieces : float or array (draws,)
        Pieces the bar is cut into [1].

    Returns
    -------
    float or array (draws,)
        Volume [m^3].
    """
    return (pieces - 1) * kerf * width * thickness


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstWord:
    """What a billet keeps of its steel when only its welds are known.

    Attributes
    ----------
    low, middle, high : float
        Retained share; nine billets in ten lie between low and high [1].
    """

    low: float
    middle: float
    high: float


def retained_by_welds(welds: int) -> FirstWord:
    """Return what a billet keeps when nothing but the number of welds is known.

    Parameters
    ----------
    welds : int
        Welds from stack to bar, 1 to 8 [1].

    Returns
    -------
    FirstWord
        Retained share [1].

    Notes
    -----
    For a first quote only. It rests on four told cases of three to six welds, none
    of them with dimensions (common practice, no source).
    """
    if not 1 <= welds <= 8:
        raise PlanError(
            _("A first word needs 1 to 8 welds, not {value}; plan the billet instead."),
            field="welds",
            value=welds,
        )
    spread = NINETY_PERCENT * FALLBACK_SPREAD
    return FirstWord(
        low=math.exp(welds * (FALLBACK_PER_WELD - spread)),
        middle=math.exp(welds * FALLBACK_PER_WELD),
        high=min(1.0, math.exp(welds * (FALLBACK_PER_WELD + spread))),
    )
