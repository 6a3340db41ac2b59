"""The force it takes to press hot steel, and how much of a bar a force can bite.

A bar W wide and h high is pressed over a bite b of its length. With Q for friction
and for the steel that is not under the die, F = 1.155 s W b Q. Seen through b/h the
force is one curve for all bars, as long as the bite is narrower than the bar; beyond
that Q stays. Each part of the curve can be turned round by itself, so the largest bite
needs no trying, for any number of draws at once.
"""

from __future__ import annotations

import numpy as np

from billets.physics import Number
from billets.physics.errors import PlanError, _

FRICTION = 0.3
"""Of scaled steel on bare dies; hot rolling has about 0.4, sticking 0.7 [1].

Groover, Fundamentals of Modern Manufacturing, 18.1, for the last two.
"""

PLANE_STRAIN = 1.155
"""Stress of steel that cannot spread over that of steel that can, 2 over root 3 [1]."""

PENETRATION = 0.207
"""How fast Q grows as the bite gets narrower than the bar is high [1].

It makes Q 2.57, which is 1 + pi/2, where the bar is 8.6 bites high.
"""

FORCE_BAND = 0.35
"""How far a force may be off, either way, common practice, no source [1]."""

_MOST_EXPONENT = 50.0


def upset_force(
    stress: Number,
    area: Number,
    diameter: Number,
    height: Number,
    friction: float = FRICTION,
) -> Number:
    """Return the force to press a round piece between flat dies.

    Parameters
    ----------
    stress : float or array (draws,)
        Flow stress [Pa].
    area, diameter : float or array (draws,)
        Face under the die [m^2], and how far across it is [m].
    height : float or array (draws,)
        Height of the piece [m].
    friction : float
        Between steel and die [1].

    Returns
    -------
    float or array (draws,)
        Force [N].

    References
    ----------
    Groover, Fundamentals of Modern Manufacturing, eq. 18.15 to 18.17.
    """
    return (1.0 + 0.4 * friction * diameter / height) * stress * area


def strengthened(strength: float, exponent: float, strain: Number) -> Number:
    """Return the flow stress of steel that hardens as a power of strain.

    Parameters
    ----------
    strength : float
        Stress at a strain of 1 [Pa].
    exponent : float
        Of hardening [1].
    strain : float or array (draws,)
        True strain [1].

    Returns
    -------
    float or array (draws,)
        Flow stress [Pa].

    References
    ----------
    Groover, Fundamentals of Modern Manufacturing, eq. 18.1 and 18.17.
    """
    return strength * strain**exponent


def cogging_factor(
    contact: Number, height: Number, friction: float = FRICTION
) -> Number:
    """Return what friction and the steel beside the die add to the force.

    Parameters
    ----------
    contact : float or array (draws,)
        The shorter side of what is under the die [m].
    height : float or array (draws,)
        Height of the bar [m].
    friction : float
        Between steel and die, up to sticking at 0.7 [1].

    Returns
    -------
    float or array (draws,)
        Q, at least 1 [1].

    References
    ----------
    Slab and slip-line method: Dieter, Mechanical Metallurgy; Hosford and Caddell,
    Metal Forming; Hill. Quoted from memory, verify.
    """
    flat = contact / height
    lag = np.minimum(friction * flat, _MOST_EXPONENT)
    rubbed = np.minimum((np.exp(lag) - 1.0) / lag, 1.0 + flat / 4.0)
    narrow = 1.0 + PENETRATION * np.maximum(1.0 / flat - 1.0, 0.0)
    factor: Number = np.maximum(rubbed, narrow)
    return factor


def cogging_force(
    stress: Number,
    width: Number,
    bite: Number,
    height: Number,
    friction: float = FRICTION,
) -> Number:
    """Return the force to press one bite of a bar over its full width.

    Parameters
    ----------
    stress : float or array (draws,)
        Flow stress [Pa].
    width, height : float or array (draws,)
        Section of the bar as it lies under the die [m].
    bite : float or array (draws,)
        Length of bar under the die [m].
    friction : float
        Between steel and die [1].

    Returns
    -------
    float or array (draws,)
        Force, good to about `FORCE_BAND` [N].

    References
    ----------
    As for `cogging_factor`; quoted from memory, verify.

    Examples
    --------
    >>> round(float(cogging_force(61.9e6, 0.040, 0.030, 0.036)) / 1e3, 1)
    97.5
    """
    factor = cogging_factor(np.minimum(bite, width), height, friction)
    return PLANE_STRAIN * stress * width * bite * factor


def largest_bite(
    force: Number,
    stress: Number,
    width: Number,
    height: Number,
    friction: float = FRICTION,
) -> Number:
    """Return how much of a bar's length a force can press over its full width.

    Parameters
    ----------
    force : float or array (draws,)
        Force of the press [N].
    stress : float or array (draws,)
        Flow stress [Pa].
    width, height : float or array (draws,)
        Section of the bar as it lies under the die [m].
    friction : float
        Between steel and die [1].

    Returns
    -------
    float or array (draws,)
        Length of the largest bite, 0 where the force does not get into the steel at
        all; a die may be shorter [m].

    References
    ----------
    The inverse of `cogging_force`.
    """
    _check_friction(friction)
    share = force / (PLANE_STRAIN * stress * width * height)
    square = width / height
    factor = cogging_factor(width, height, friction)
    bite: Number = height * np.where(
        share <= square * factor, _bite_within(share, friction), share / factor
    )
    return bite


def _bite_within(share: Number, friction: float) -> Number:
    """Return the bite over height, where it is narrower than the bar [1].

    The force over 1.155 s W h is the greater of a straight line and the lesser of two
    rising curves; so the bite is the lesser of one inverse and the greater of two.
    """
    narrow = np.maximum(share - PENETRATION, 0.0) / (1.0 - PENETRATION)
    rubbed = np.log(1.0 + friction * share) / friction
    sheared = 2.0 * (np.sqrt(1.0 + share) - 1.0)
    bite: Number = np.minimum(narrow, np.maximum(rubbed, sheared))
    return bite


def _check_friction(friction: float) -> None:
    if not 0.0 < friction <= 0.7:
        raise PlanError(
            _("Friction between die and steel lies above 0 and up to 0.7."),
            field="friction",
            value=friction,
        )
