"""What steels of one blade have in common: a hardening heat, a bath, a change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from billets.physics.bar import Steel
from billets.physics.checks import QUENCHES
from billets.physics.grades import Grade
from billets.physics.transformation import MOST_ALLOY, lower_critical

SAME_HEAT = 1e-6
"""Temperatures so close are one: they were typed in degrees Celsius [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Where hardening heats of several steels meet.

    Attributes
    ----------
    low, high : float
        Highest of the lower ends and lowest of the upper ends; the first above the
        second where windows lie apart [K].
    lowest, highest : Steel
        Whose upper end and whose lower end they are.
    """

    low: float
    high: float
    highest: Steel
    lowest: Steel

    @property
    def room(self) -> float:
        """What all windows have in common; below zero, how far apart they lie [K]."""
        return round((self.high - self.low) / SAME_HEAT) * SAME_HEAT

    @property
    def chosen(self) -> float:
        """The middle: what to set the oven to [K]."""
        return (self.low + self.high) / 2.0


def known(steel: Steel) -> Grade:
    """Return what is known of a steel that the caller has made sure is known."""
    if steel.grade is None:
        raise TypeError("nothing is known of this steel")
    return steel.grade


def is_steel(grade: Grade) -> bool:
    """Return whether the formulas hold for it: pure nickel is no steel."""
    return max(grade.nickel, grade.chromium, grade.manganese) <= MOST_ALLOY


def common_window(steels: Sequence[Steel]) -> Window | None:
    """Return where hardening windows meet, by the sheets.

    Parameters
    ----------
    steels : sequence of Steel
        Steels that harden.

    Returns
    -------
    Window or None
        None where there is no steel, or one whose sheet has no window [K].
    """
    ends = [(one, *_ends(one)) for one in steels]
    known = [
        (one, low, high)
        for one, low, high in ends
        if low is not None and high is not None
    ]
    if not known or len(known) < len(ends):
        return None
    highest = max(known, key=lambda one: one[1])
    lowest = min(known, key=lambda one: one[2])
    return Window(low=highest[1], high=lowest[2], highest=highest[0], lowest=lowest[0])


def _ends(steel: Steel) -> tuple[float | None, float | None]:
    grade = steel.grade
    return (None, None) if grade is None else (grade.harden_low, grade.harden_high)


def shared_quench(classes: Sequence[str]) -> str:
    """Return the quench class for steels of several.

    Parameters
    ----------
    classes : sequence of str
        Of the steels that harden.

    Returns
    -------
    str
        The fastest asked for; but water only if every one of them needs it, since it
        cracks the others. Empty if there are none.
    """
    asked = [one for one in QUENCHES if one in classes]
    if not asked:
        return ""
    return "fast_oil" if asked[0] == "water" and len(asked) > 1 else asked[0]


def latest_change(steels: Sequence[Steel]) -> tuple[Steel, float] | None:
    """Return the steel that starts to turn to austenite last, and where.

    Parameters
    ----------
    steels : sequence of Steel
        Steels whose contents are known.

    Returns
    -------
    (Steel, float) or None
        With its Ac1 [K]; None without steels.
    """
    found = [
        (one, float(lower_critical(one.grade).value))
        for one in steels
        if one.grade is not None and is_steel(one.grade)
    ]
    return max(found, key=lambda one: one[1]) if found else None
