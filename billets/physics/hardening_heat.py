"""From how hot a steel is hardened: by its data sheet, else by rule."""

from __future__ import annotations

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import Flag, _
from billets.physics.grades import Grade
from billets.physics.state import Mask, mostly
from billets.physics.transformation import (
    EUTECTOID_WIDTH,
    HeatBand,
    cementite_temperature,
    eutectoid_carbon,
    lower_critical,
    upper_critical,
)

HOTTEST_HYPER = 850.0 + ZERO_CELSIUS
"""Above this a steel at or beyond the eutectoid is not hardened by rule; common
practice, no source [K]."""


def hardening_band(grade: Grade, carbon: Number | None = None) -> HeatBand:
    """Return the hardening heat by formula, for a steel without a data sheet.

    Parameters
    ----------
    grade : Grade
        The steel.
    carbon : float or array (draws,), optional
        Carbon after levelling, else that of the grade [%].

    Returns
    -------
    HeatBand
        Hardening heat [K], good to 30 K. Flagged for nickel steels, and for spring
        steels with chromium, where the data sheet alone counts.

    Notes
    -----
    Common practice, no source. Below the eutectoid 30 to 50 K above Ac3; at or beyond
    it 50 to 90 K above Ac1 and never above 850 °C. The upper end stops at Acm, but not
    below the middle: not far beyond the eutectoid all carbon may dissolve.
    """
    content = grade.carbon if carbon is None else carbon
    first, last = lower_critical(grade), upper_critical(grade, content)
    below = content < eutectoid_carbon(grade) - EUTECTOID_WIDTH
    hot = np.minimum(first.value + 90.0, cementite_temperature(content))
    highest = np.clip(hot, first.value + 70.0, HOTTEST_HYPER)
    flags = last.flags if mostly(below) else ()
    return HeatBand(
        value=_either(below, last.value + 40.0, _capped(first.value + 70.0)),
        low=_either(below, last.value + 30.0, _capped(first.value + 50.0)),
        high=_either(below, last.value + 50.0, highest),
        flags=(*flags, *_beside_the_rule(grade)),
    )


def hardening_window(grade: Grade, carbon: Number | None = None) -> HeatBand:
    """Return the hardening heat: by the data sheet, else by formula.

    Parameters
    ----------
    grade : Grade
        The steel.
    carbon : float or array (draws,), optional
        Carbon after levelling, for the formula [%].

    Returns
    -------
    HeatBand
        Middle and ends of the window [K].
    """
    low, high = grade.harden_low, grade.harden_high
    if low is None or high is None:
        return hardening_band(grade, carbon)
    return HeatBand(value=(low + high) / 2.0, low=low, high=high, source="sheet")


def _beside_the_rule(grade: Grade) -> tuple[Flag, ...]:
    spring = grade.carbon < 0.70 and grade.chromium >= 0.5
    if grade.nickel < 0.5 and not spring:
        return ()
    return (
        Flag(
            message=_(
                "{steel}: the rule for hardening heats is for plain, manganese and "
                "chromium tool steels; take this one's from its data sheet."
            ),
            field="harden_min",
            values={"steel": grade.name},
        ),
    )


def _capped(heat: Number) -> Number:
    capped: Number = np.minimum(heat, HOTTEST_HYPER)
    return capped


def _either(below: Mask, one: Number, other: Number) -> Number:
    """Return one of two for each draw; a float for a plain plan."""
    found = np.where(below, one, other)
    return float(found) if found.ndim == 0 else found
