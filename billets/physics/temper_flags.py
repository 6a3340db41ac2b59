"""What to say about a temper: where figures end, and where steel turns brittle."""

from __future__ import annotations

from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import Flag, _
from billets.physics.state import typical
from billets.physics.temper_figures import (
    FIT_COOLEST,
    FIT_HOTTEST,
    FIT_LAST_CARBON,
    FIT_LEAST_CARBON,
    Figures,
)

BRITTLE_FROM, BRITTLE_TO = 260.0 + ZERO_CELSIUS, 370.0 + ZERO_CELSIUS
"""Tempers that make hardened steel brittle; Krauss, Steels, from memory, verify [K]."""

SLACK = 0.5
"""No sentence about a temper so little beyond the last row [K]."""

SAME_CARBON = 0.05
"""How far the carbon may be from that of a table's steel without a word [%]."""


def temper_flags(figures: Figures, temperature: float) -> tuple[Flag, ...]:
    """Return what to say about a temper.

    Parameters
    ----------
    figures : Figures
        What is known of the steel.
    temperature : float
        Of the temper [K].

    Returns
    -------
    tuple of Flag
        Sentences about brittleness, and about figures stretched beyond their range.
    """
    beyond = _beyond_fit if figures.source == "fit" else _beyond_table
    return (
        *_brittle(temperature),
        *beyond(figures, temperature),
        *_contradicting(figures),
    )


def _brittle(temperature: float) -> tuple[Flag, ...]:
    if not BRITTLE_FROM < temperature < BRITTLE_TO:
        return ()
    message = _(
        "A temper at {value} makes steel brittle, as do all from {low} to {high}; "
        "choose a hardness that needs less heat, or more."
    )
    said = {"value": temperature, "low": BRITTLE_FROM, "high": BRITTLE_TO}
    return (Flag(message=message, field="temperature", values=said),)


def _beyond_fit(figures: Figures, temperature: float) -> tuple[Flag, ...]:
    flags: tuple[Flag, ...] = ()
    if not FIT_COOLEST <= temperature <= FIT_HOTTEST:
        message = _(
            "Outside range: no temper table is known for {steel}, and the general "
            "figures hold from {low} to {high}, not at {value}."
        )
        ends = {"low": FIT_COOLEST, "high": FIT_HOTTEST, "value": temperature}
        said = {"steel": figures.grade.name, **ends}
        flags = (Flag(message=message, field="temperature", values=said),)
    if not figures.fit_holds:
        message = _(
            "Outside range: no temper table is known for {steel}, and the general "
            "figures hold from {low} to {high} % carbon, not at {value} %."
        )
        flags = (*flags, Flag(message=message, field="carbon", values=_carbon(figures)))
    return flags


def _carbon(figures: Figures) -> dict[str, object]:
    return {
        "steel": figures.grade.name,
        "low": FIT_LEAST_CARBON,
        "high": FIT_LAST_CARBON,
        "value": round(typical(figures.carbon), 2),
    }


def _beyond_table(figures: Figures, temperature: float) -> tuple[Flag, ...]:
    flags: tuple[Flag, ...] = ()
    low, high = figures.table_ends or (temperature, temperature)
    if not low - SLACK <= temperature <= high + SLACK:
        within = FIT_COOLEST <= temperature <= FIT_HOTTEST and figures.fit_holds
        message = _(
            "Outside range: for this time the temper table of {steel} goes from {low} "
            "to {high}; at {value} the general figures carry it on."
        )
        said = {"steel": figures.grade.name, "low": low, "high": high}
        flags = (
            Flag(
                message=message, field="temperature",
                level="note" if within else "amber",
                values={**said, "value": temperature},
            ),
        )  # fmt: skip
    return (*flags, *_moved(figures))


def _moved(figures: Figures) -> tuple[Flag, ...]:
    sheet, carbon = figures.grade.carbon, typical(figures.carbon)
    if abs(carbon - sheet) <= SAME_CARBON:
        return ()
    message = _(
        "The temper table of {steel} is for {sheet} % carbon; it is moved to {value} % "
        "as the general figures move."
    )
    said = {**_carbon(figures), "sheet": sheet}
    return (
        Flag(
            message=message,
            field="carbon",
            level="note" if figures.fit_holds else "amber",
            values=said,
        ),
    )


def _contradicting(figures: Figures) -> tuple[Flag, ...]:
    if not any(curve.mended for curve in figures.curves):
        return ()
    message = _(
        "In the temper table of {steel} a hotter or longer temper leaves it harder; "
        "the softer row counts. Look its rows over."
    )
    said = {"steel": figures.grade.name}
    return (Flag(message=message, field="hardness", values=said),)
