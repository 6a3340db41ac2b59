"""What a check of steels against one another is, and where its limits lie."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from billets.physics.bar import Steel
from billets.physics.errors import _

CheckLevel = Literal["ok", "warn", "stop", "unknown"]

QUENCHES = ("water", "fast_oil", "oil", "air")
"""Quench classes from fast to slow."""

QUENCH_WORDS: Mapping[str, str] = MappingProxyType(
    {"water": _("water"), "fast_oil": _("fast oil"), "oil": _("oil"), "air": _("air")}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing looked at before steels are welded to one another.

    Attributes
    ----------
    name : str
        What was looked at, a plain key such as "hardening window".
    level : {"ok", "warn", "stop", "unknown"}
        What came of it; unknown where something needed is not known.
    message : str
        Constant sentence with named placeholders: the numbers and the way out.
    values : mapping
        What fills the placeholders, in SI units; contents in mass percent.
    """

    name: str
    level: CheckLevel
    message: str
    values: Mapping[str, object] = dataclasses.field(
        default_factory=lambda: MappingProxyType({})
    )

    @property
    def field(self) -> str | None:
        """The input it speaks of: the bars, always."""
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """Limits of the checks, common practice, no source, unless noted.

    Of a pair the first is where it is fine, the second where it is still to be looked
    at twice; beyond that steels should not meet.

    Attributes
    ----------
    level, half_level : float
        Difference of carbon left up to which a billet has one carbon, and from which
        every layer has its own [1].
    window : (float, float)
        Room all hardening windows leave; below zero they lie apart [K].
    floor : (float, float)
        Hardening heat above where a steel starts to change [K].
    martensite : (float, float)
        Spread of the start of martensite at one carbon; from the strain it means,
        0.5 % and 0.9 % [K].
    quench : (int, int)
        Steps between quench classes [1].
    through, edge_only : float
        Ideal over needed diameter from which a section hardens through, and below
        which not at all [1].
    edge : float
        Thickness of an edge before hardening, where it is not known [m].
    carbon : (float, float, float, float)
        Carbon for 58 to 62 HRC: fine between the inner two [%].
    soft_share : float
        Share of the thickness that need not harden [1].
    one_sided : float
        How far the middle of layers that do not harden may lie off the middle of the
        billet, over its thickness [1].
    bow : float
        The same of any steel, times its share of the thickness, from which a blade
        bows in the quench [1].
    expansion : (float, float)
        Spread of expansion between touching steels [1/K].
    thick_skin : float
        Share of the thickness from which an outer layer is thick [1].
    solidus : (float, float)
        How far a weld stays below where a steel starts to melt [K].
    sulphur, phosphorus, copper : float
        Contents that are fine [%]; copper in part by a table of EN pressure-vessel
        steels.
    worst_sulphur : float
        Sulphur at which steel is not forged [%].
    nickel : (float, float)
        Difference of nickel that shows clearly, and that shows at all [%].
    grey : float
        Difference of manganese or chromium that shows as grey [%].
    life : (float, float)
        Contrast left after all heats [1].
    """

    level: float = 0.05
    half_level: float = 0.50
    window: tuple[float, float] = (10.0, -15.0)
    floor: tuple[float, float] = (50.0, 30.0)
    martensite: tuple[float, float] = (40.0, 90.0)
    quench: tuple[int, int] = (1, 2)
    through: float = 1.5
    edge_only: float = 1.0
    edge: float = 0.002
    carbon: tuple[float, float, float, float] = (0.55, 0.65, 0.95, 1.05)
    soft_share: float = 0.10
    one_sided: float = 0.05
    bow: float = 0.02
    expansion: tuple[float, float] = (1.5e-6, 2.5e-6)
    thick_skin: float = 0.10
    solidus: tuple[float, float] = (150.0, 100.0)
    sulphur: float = 0.035
    phosphorus: float = 0.035
    copper: float = 0.30
    worst_sulphur: float = 0.10
    nickel: tuple[float, float] = (1.0, 0.3)
    grey: float = 0.8
    life: tuple[float, float] = (0.80, 0.50)


THRESHOLDS = Thresholds()
"""The limits in force: one table, to be changed here."""


def not_less(value: float, limits: tuple[float, float]) -> CheckLevel:
    """Return the level of a value that should not be too small.

    Parameters
    ----------
    value : float
        What was found [any unit].
    limits : (float, float)
        Where it is fine, and where still bearable [same unit].

    Returns
    -------
    str
        "ok", "warn" or "stop".
    """
    fine, bearable = limits
    return "ok" if value >= fine else "warn" if value >= bearable else "stop"


def not_more(value: float, limits: tuple[float, float]) -> CheckLevel:
    """Return the level of a value that should not be too big.

    Parameters
    ----------
    value : float
        What was found [any unit].
    limits : (float, float)
        Where it is fine, and where still bearable [same unit].

    Returns
    -------
    str
        "ok", "warn" or "stop".
    """
    fine, bearable = limits
    return "ok" if value <= fine else "warn" if value <= bearable else "stop"


NO_GRADE = _(
    "Not checked: of {steel} nothing but the carbon is known. Enter its data sheet."
)
NO_WINDOW = _(
    "Not checked: no hardening heat is known of {steel}. Enter it with the steel."
)
NOTHING_HARDENS = _(
    "None of these steels hardens by its sheet; weld in one that does, or enter its "
    "hardening heat."
)


def unknown_steels(name: str, steels: tuple[Steel, ...], message: str) -> Check:
    """Return a check that could not be made for what is not known of some steels."""
    named = ", ".join(one.name for one in steels)
    return Check(name=name, level="unknown", message=message, values={"steel": named})
