"""When a steel turns to austenite when heated, and how much carbon then dissolves.

Formulas are regressions over many heats of steel. Contents are mass per cent,
temperatures kelvin; what a data sheet says wins over any of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import Flag, PlanError, _
from billets.physics.grades import Grade
from billets.physics.state import some, typical

SCATTER = 15.0
"""By how much steels miss the lower critical line; from memory, Andrews 1965 [K]."""

CRITICAL_CARBON = 0.6
"""Carbon up to which the upper critical line was fitted [%]."""

MOST_ALLOY = 5.0
"""Nickel, chromium and manganese up to which the lines were fitted; from memory [%]."""

EUTECTOID_WIDTH = 0.05
"""How sure the eutectoid content is, either way; common practice, no source [%]."""

EUTECTIC = 2.11
"""Carbon austenite holds at most, iron-carbon diagram, from memory [%]."""

COOLEST, HOTTEST = 727.0 + ZERO_CELSIUS, 1147.0 + ZERO_CELSIUS
"""Between these austenite beside cementite exists in plain steel; from memory [K]."""

_CEMENTITE = np.log(EUTECTIC / 0.77) / (1.0 / COOLEST - 1.0 / HOTTEST)
"""Slope of the cementite line over 1/T, near 3409 [K]."""

BEARING_DISSOLVED = 0.6
"""Carbon that dissolves in 52100 at 845 °C; Bhadeshia, Progress in Materials Science
57 (2012), quoted from memory, verify [%]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatBand:
    """A temperature of a steel, and between which it may lie.

    Attributes
    ----------
    value, low, high : float or array (draws,)
        Likely, lowest and highest [K].
    source : str
        "sheet" or "formula".
    flags : tuple of Flag
        Where a formula was used outside its range.
    """

    value: Number
    low: Number
    high: Number
    source: str = "formula"
    flags: tuple[Flag, ...] = ()


# --- heating ---------------------------------------------------------------------


def lower_critical(grade: Grade) -> HeatBand:
    """Return Ac1, where a steel begins to turn to austenite when heated.

    Parameters
    ----------
    grade : Grade
        The steel; carbon does not matter.

    Returns
    -------
    HeatBand
        Ac1 and its scatter [K].

    Notes
    -----
    Up to 5 % of nickel, chromium and manganese (quoted from memory, verify); what
    holds more, such as pure nickel, is refused.

    References
    ----------
    K. W. Andrews, Journal of the Iron and Steel Institute 203 (1965) 721-727, as
    steel handbooks quote it.
    """
    require_steel(grade)
    value = (
        723.0 - 10.7 * grade.manganese - 16.9 * grade.nickel + 29.1 * grade.silicon
        + 16.9 * grade.chromium + 6.38 * grade.tungsten + ZERO_CELSIUS
    )  # fmt: skip
    return HeatBand(value=value, low=value - SCATTER, high=value + SCATTER)


def upper_critical(grade: Grade, carbon: Number | None = None) -> HeatBand:
    """Return Ac3, where the last ferrite of a low-carbon steel is gone.

    Parameters
    ----------
    grade : Grade
        The steel.
    carbon : float or array (draws,), optional
        Carbon after levelling, else that of the grade [%].

    Returns
    -------
    HeatBand
        Ac3 and its scatter [K]; flagged above 0.6 % carbon.

    Notes
    -----
    The form with six elements. Two printed versions of the longer one differ in the
    sign of chromium and copper, because one lost a bracket.

    References
    ----------
    K. W. Andrews, Journal of the Iron and Steel Institute 203 (1965) 721-727, as
    steel handbooks quote it.
    """
    require_steel(grade)
    content = grade.carbon if carbon is None else carbon
    value = (
        910.0 - 203.0 * np.sqrt(content) - 15.2 * grade.nickel + 44.7 * grade.silicon
        + 104.0 * grade.vanadium + 31.5 * grade.molybdenum + 13.1 * grade.tungsten
        + ZERO_CELSIUS
    )  # fmt: skip
    flags: tuple[Flag, ...] = ()
    if some(content > CRITICAL_CARBON):
        flags = (
            carbon_flag(
                _(
                    "{steel}: the upper critical temperature holds from {low} to "
                    "{high} % carbon, not at {value} %; go by the data sheet."
                ),
                grade, content, (0.0, CRITICAL_CARBON),
            ),
        )  # fmt: skip
    return HeatBand(value=value, low=value - SCATTER, high=value + SCATTER, flags=flags)


def eutectoid_carbon(grade: Grade) -> float:
    """Return the carbon at which a steel is all pearlite, in percent [%].

    Parameters
    ----------
    grade : Grade
        The steel.

    Returns
    -------
    float
        Eutectoid content, good to 0.05 [%].

    Notes
    -----
    A straight line in each element, common practice, no source, drawn along the
    curves of Bain and Paxton, Alloying Elements in Steel (1961), quoted from memory,
    verify. Equating the two critical temperatures instead gives the wrong direction
    for nickel.
    """
    require_steel(grade)
    return (
        0.77 - 0.06 * grade.manganese - 0.04 * grade.nickel - 0.08 * grade.chromium
        - 0.13 * grade.silicon - 0.20 * grade.molybdenum
    )  # fmt: skip


def cementite_limit(temperature: Number) -> Number:
    """Return the carbon austenite can dissolve beside cementite.

    Parameters
    ----------
    temperature : float or array (draws,)
        Hardening heat, 727 to 1147 °C [K].

    Returns
    -------
    float or array (draws,)
        Most carbon in solution [%].

    Notes
    -----
    An exponential through 0.77 % at 727 °C and 2.11 % at 1147 °C, points of the
    iron-carbon diagram, quoted from memory, verify. An upper bound: short soaks and
    alloyed carbides leave more undissolved.
    """
    if not np.all((temperature >= COOLEST) & (temperature <= HOTTEST)):
        raise PlanError(
            _(
                "Steel is hardened from between {low} and {high}, not from {value}; "
                "correct the hardening heat."
            ),
            field="temperature",
            low=COOLEST,
            high=HOTTEST,
            value=temperature,
        )
    limit: Number = 0.77 * np.exp(_CEMENTITE * (1.0 / COOLEST - 1.0 / temperature))
    return limit


def cementite_temperature(carbon: Number) -> Number:
    """Return Acm, where the last cementite of a high-carbon steel dissolves.

    Parameters
    ----------
    carbon : float or array (draws,)
        Carbon of the steel; below 0.77 % the answer is that at 0.77 % [%].

    Returns
    -------
    float or array (draws,)
        Acm [K]; the inverse of `cementite_limit`.
    """
    inside = np.clip(carbon, 0.77, EUTECTIC)
    acm: Number = 1.0 / (1.0 / COOLEST - np.log(inside / 0.77) / _CEMENTITE)
    return acm


def dissolved_carbon(
    carbon: Number, temperature: Number, grade: Grade | None = None
) -> Number:
    """Return the carbon that goes into solution at a hardening heat.

    Parameters
    ----------
    carbon : float or array (draws,)
        What the layer holds after levelling [%].
    temperature : float or array (draws,)
        Hardening heat, 727 to 1147 °C [K].
    grade : Grade, optional
        The steel. A bearing steel of the 52100 kind keeps much of its carbon in
        chromium carbides: 0.6 % dissolves, known at 845 °C only and taken for every
        hardening heat.

    Returns
    -------
    float or array (draws,)
        Carbon in the austenite, an upper bound [%].

    References
    ----------
    For 52100: Bhadeshia, Progress in Materials Science 57 (2012), quoted from memory,
    verify.
    """
    held: Number = np.minimum(carbon, cementite_limit(temperature))
    if grade is not None and is_bearing_steel(grade):
        held = np.minimum(held, BEARING_DISSOLVED)
    return held


def is_bearing_steel(grade: Grade) -> bool:
    """Return whether a steel is of the 52100 kind, by name or by what it holds."""
    alike = grade.carbon >= 0.90 and 1.2 <= grade.chromium <= 2.0
    return grade.key == "52100" or (alike and grade.nickel < 0.5)


# --- shared ----------------------------------------------------------------------


def require_steel(grade: Grade) -> None:
    """Refuse what the formulas were not made for, such as pure nickel."""
    for name, content in (
        (_("nickel"), grade.nickel),
        (_("chromium"), grade.chromium),
        (_("manganese"), grade.manganese),
    ):
        if content > MOST_ALLOY:
            raise PlanError(
                _(
                    "{steel} holds {content} % {element}; the formulas for hardening "
                    "end at {limit} %. Treat it as a layer that does not harden."
                ),
                field="steel",
                steel=grade.name,
                content=content,
                element=name,
                limit=MOST_ALLOY,
            )


def carbon_flag(
    message: str, grade: Grade, carbon: Number, ends: tuple[float, float]
) -> Flag:
    """Return a flag that a formula is used outside its range of carbon.

    Parameters
    ----------
    message : str
        Sentence with steel, value, low and high.
    grade : Grade
        The steel.
    carbon : float or array (draws,)
        What it holds [%].
    ends : tuple of float
        Range of the formula [%].

    Returns
    -------
    Flag
        The sentence with its values, content [%].
    """
    low, high = ends
    value = round(typical(carbon), 2)
    said = {"steel": grade.name, "value": value, "low": low, "high": high}
    return Flag(message=message, field="carbon", values=said)
