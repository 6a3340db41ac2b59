"""How deep a steel can harden: the ideal diameter.

That of a bar whose middle becomes half martensite in a quench that takes all heat at
once. Factors are in inches, as the standard prints them; what comes out is metres.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.errors import Flag, _
from billets.physics.grades import Grade
from billets.physics.state import mostly, some, typical
from billets.physics.transformation import require_steel

INCH = 0.0254
"""The inch of the standard's factors [m]."""

DERATE = 0.65
"""What undissolved carbide leaves of the ideal diameter [1]; median of twelve heats
of water-hardening steel in Roberts, Krauss and Kennedy, Tool Steels, table 7-3."""

DERATE_CARBON, DERATE_CHROMIUM, DERATE_MANGANESE = 0.90, 0.8, 0.6
"""Carbon from which, chromium and manganese below which that is done [%]."""

RESIDUAL_CHROMIUM, RESIDUAL_NICKEL, RESIDUAL_COPPER = 0.10, 0.05, 0.10
"""What plain steel holds unasked, entered with it; common practice, no source [%]."""

CLAMPS: Mapping[str, float] = MappingProxyType(
    {
        "carbon": 0.90, "manganese": 1.95, "silicon": 2.0, "chromium": 2.5,
        "nickel": 3.5, "molybdenum": 0.55, "vanadium": 0.20,
    }
)  # fmt: skip
"""Contents at which the factors end [%]."""

RANGES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "carbon": (0.10, 0.70), "manganese": (0.50, 1.65), "silicon": (0.15, 0.60),
        "chromium": (0.0, 1.35), "nickel": (0.0, 1.5), "molybdenum": (0.0, 0.55),
    }
)  # fmt: skip
"""Contents for which the standard draws its curves [%]."""

ELEMENT_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "carbon": _("carbon"), "manganese": _("manganese"), "silicon": _("silicon"),
        "chromium": _("chromium"), "nickel": _("nickel"),
        "molybdenum": _("molybdenum"), "vanadium": _("vanadium"),
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class IdealDiameter:
    """How deep a steel can harden.

    Attributes
    ----------
    value : float or array (draws,)
        Ideal diameter [m].
    derated : bool
        Whether it was lessened for carbide that does not dissolve.
    flags : tuple of Flag
        Contents outside the method's range.
    """

    value: Number
    derated: bool = False
    flags: tuple[Flag, ...] = ()


def ideal_diameter(grade: Grade, carbon: Number | None = None) -> IdealDiameter:
    """Return how thick a bar of a steel hardens to its middle at best.

    Parameters
    ----------
    grade : Grade
        The steel; copper by its certificate.
    carbon : float or array (draws,), optional
        Carbon after levelling, else that of the grade [%].

    Returns
    -------
    IdealDiameter
        Ideal diameter for grain size 7 [m]; contents beyond the end of a factor are
        taken at its end and flagged.

    Notes
    -----
    Lessened to 0.65 where carbon is at least 0.90 % with less than 0.8 % chromium and
    0.6 % manganese, because carbide stays undissolved; what such steel holds unasked
    then counts too. Tungsten has no factor.

    References
    ----------
    ASTM A255-10, Standard Test Methods for Determining Hardenability of Steel, by way
    of a handbook.
    """
    require_steel(grade)
    content = grade.carbon if carbon is None else carbon
    lessened = content >= DERATE_CARBON
    plain = grade.chromium < DERATE_CHROMIUM and grade.manganese < DERATE_MANGANESE
    whole = _carbon_factor(content) * _alloy_factor(grade, residuals=False)
    if not (plain and some(lessened)):
        return IdealDiameter(value=whole * INCH, flags=_range_flags(grade, content))
    rest = _carbon_factor(content) * _alloy_factor(grade, residuals=True) * DERATE
    value = np.where(lessened, rest, whole) * INCH
    return IdealDiameter(
        value=float(value) if value.ndim == 0 else value,
        derated=mostly(lessened),
        flags=_range_flags(grade, content),
    )


def _carbon_factor(carbon: Number) -> Number:
    inside = np.clip(carbon, 0.0, CLAMPS["carbon"])
    factor = np.select(
        [inside <= 0.39, inside <= 0.55, inside <= 0.65, inside <= 0.75],
        [
            0.54 * inside,
            0.171 + 0.001 * inside + 0.265 * inside**2,
            0.115 + 0.268 * inside - 0.038 * inside**2,
            0.143 + 0.2 * inside,
        ],
        0.062 + 0.409 * inside - 0.135 * inside**2,
    )
    return float(factor) if factor.ndim == 0 else factor


def _alloy_factor(grade: Grade, *, residuals: bool) -> float:
    unasked = (
        (RESIDUAL_CHROMIUM, RESIDUAL_NICKEL, RESIDUAL_COPPER)
        if residuals
        else (0.0, 0.0, 0.0)
    )
    chromium = min(max(grade.chromium, unasked[0]), CLAMPS["chromium"])
    nickel = min(max(grade.nickel, unasked[1]), CLAMPS["nickel"])
    copper = unasked[2] if grade.copper is None else grade.copper
    return (
        _manganese_factor(min(grade.manganese, CLAMPS["manganese"]))
        * (1.0 + 0.7 * min(grade.silicon, CLAMPS["silicon"]))
        * _nickel_factor(nickel)
        * (1.0 + 2.16 * chromium)
        * (1.0 + 3.0 * min(grade.molybdenum, CLAMPS["molybdenum"]))
        * (1.0 + 0.365 * copper)
        * (1.0 + 1.73 * min(grade.vanadium, CLAMPS["vanadium"]))
    )


def _manganese_factor(manganese: float) -> float:
    return 1.0 + 3.3333 * manganese if manganese <= 1.20 else 5.10 * manganese - 1.12


def _nickel_factor(nickel: float) -> float:
    if nickel <= 1.5:
        return 1.0 + 0.363 * nickel
    return 0.3211 + 1.4501 * nickel - 0.6119 * nickel**2 + 0.1253 * nickel**3


def _range_flags(grade: Grade, carbon: Number) -> tuple[Flag, ...]:
    flags = []
    for element in ELEMENT_WORDS:
        content = typical(carbon) if element == "carbon" else getattr(grade, element)
        end = CLAMPS[element]
        low, high = RANGES.get(element, (0.0, end))
        if low <= content <= high:
            continue
        said = {
            "steel": grade.name, "element": ELEMENT_WORDS[element],
            "value": round(content, 2), "low": low, "high": high, "limit": end,
        }  # fmt: skip
        flags.append(_past_end(said) if content > end else _past_range(said))
    return tuple(flags)


def _past_end(said: dict[str, object]) -> Flag:
    return Flag(
        message=_(
            "{steel}: depth of hardening is outside range: {value} % {element} is "
            "counted as {limit} %, where the factor ends."
        ),
        field="content",
        values=said,
    )


def _past_range(said: dict[str, object]) -> Flag:
    return Flag(
        message=_(
            "{steel}: depth of hardening is outside range: {value} % {element}, while "
            "the method was made for {low} to {high} %."
        ),
        field="content",
        level="note",
        values=said,
    )
