"""What is done to a blade between forging and hardening: refine, soften, relieve."""

from __future__ import annotations

from dataclasses import dataclass

from billets.physics.bar import Steel
from billets.physics.common_heat import is_steel
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import Flag, _
from billets.physics.ideal_diameter import ideal_diameter
from billets.physics.together import Together
from billets.physics.transformation import lower_critical

NORMALISE_FIRST = 870.0 + ZERO_CELSIUS
"""First normalising heat where no sheet gives one, common practice, no source [K]."""

NORMALISE_STEP, NORMALISE_HEATS = 30.0, 3
"""Each heat is so much cooler, and so many are taken; more cost plain steel depth of
hardening; common practice, no source [K, 1]."""

NORMALISE_SECONDS = 480.0
"""Time at each, common practice, no source [s]."""

BLACK = 500.0 + ZERO_CELSIUS
"""A blade cools in air to below here before the next heat, common practice [K]."""

SOFTEN_BELOW, SOFTEN_SECONDS = 30.0, 2.0 * 3600.0
"""Steels together are softened so far below the lowest Ac1, for so long; common
practice, no source [K, s]."""

RELIEVE_LOW, RELIEVE_HIGH = 600.0 + ZERO_CELSIUS, 650.0 + ZERO_CELSIUS
RELIEVE_SECONDS = 3600.0
"""Stress relief after rough grinding, and preheat before hardening; common practice, no
source [K, s]."""

AIR_HARDENING = 0.100
"""Ideal diameter from which a thin blade may come out of the air hard: that of oil
hardening tool steels; common practice, no source [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Normalising:
    """Heats that refine the grain after forging.

    Attributes
    ----------
    heats : tuple of float
        Falling [K].
    seconds : float
        At each [s].
    source : str
        "sheet" of the steel that asks for most, or "practice".
    steel : str
        Name of that steel; empty for practice.
    """

    heats: tuple[float, ...]
    seconds: float
    source: str
    steel: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Softening:
    """The heat that makes a blade soft enough to saw, drill and file.

    Attributes
    ----------
    temperature, seconds : float
        Safe for all steels together [K, s].
    steel : str
        Name of the steel that sets it: it starts to change first.
    sheets : tuple of (str, str)
        Steels and what their own sheets say, where they do.
    """

    temperature: float
    seconds: float
    steel: str
    sheets: tuple[tuple[str, str], ...]


def normalising(at: Together) -> Normalising | None:
    """Return the normalising heats, the sheets first.

    Parameters
    ----------
    at : Together
        Steels of the billet.

    Returns
    -------
    Normalising or None
        None where a steel hardens in air: such a billet is softened instead.
    """
    if any(one.grade and one.grade.quench == "air" for one in at.hardening):
        return None
    asked = [
        (one.grade.normalise_at, one.name)
        for one in at.hardening
        if one.grade and one.grade.normalise_at is not None
    ]
    first, steel = max(asked, default=(NORMALISE_FIRST, ""))
    return Normalising(
        heats=tuple(first - NORMALISE_STEP * turn for turn in range(NORMALISE_HEATS)),
        seconds=NORMALISE_SECONDS,
        source="sheet" if steel else "practice",
        steel=steel,
    )


def softening(at: Together) -> Softening | None:
    """Return how steels that are welded together are softened.

    Parameters
    ----------
    at : Together
        Steels of the billet.

    Returns
    -------
    Softening or None
        None where nothing is known of any steel.
    """
    lowest = {
        one: float(lower_critical(one.grade).value)
        for one in at.turning
        if one.grade is not None
    }
    if not lowest:
        return None
    first = min(lowest, key=lowest.__getitem__)
    told = ((one.name, one.grade.anneal) for one in at.hardening if one.grade)
    return Softening(
        temperature=lowest[first] - SOFTEN_BELOW,
        seconds=SOFTEN_SECONDS,
        steel=first.name,
        sheets=tuple((name, text) for name, text in told if text),
    )


def air_flags(at: Together) -> tuple[Flag, ...]:
    """Return what to say about steels that harden as they cool in air."""
    named = ", ".join(one.name for one in at.turning if _may_harden_in_air(one))
    if not named:
        return ()
    message = _(
        "{steel} may come out of forging and normalising hard: soften the blade before "
        "it is sawn, drilled or filed."
    )
    return (
        Flag(message=message, field="layers", level="note", values={"steel": named}),
    )


def _may_harden_in_air(steel: Steel) -> bool:
    grade = steel.grade
    if grade is None or not is_steel(grade):
        return False
    return grade.quench == "air" or float(ideal_diameter(grade).value) >= AIR_HARDENING
