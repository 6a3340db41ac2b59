"""What becomes of austenite in the quench: martensite, and what stays behind.

Contents are mass per cent, temperatures kelvin; what a data sheet says wins over a
formula.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import Flag, _
from billets.physics.grades import Grade
from billets.physics.hardening_heat import hardening_window
from billets.physics.state import some, typical
from billets.physics.transformation import (
    HeatBand,
    carbon_flag,
    dissolved_carbon,
    require_steel,
)

MARTENSITE_CARBON = 1.9
"""Carbon up to which the start of martensite was fitted; from memory, verify [%]."""

NOTE_AUSTENITE, MUCH_AUSTENITE, COLD_AUSTENITE = 0.15, 0.20, 0.25
"""Shares from which to mention it, to warn, and to cool further; common practice,
no source [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AusteniteShare:
    """What stays soft after the quench.

    Attributes
    ----------
    value : float or array (draws,)
        Share of austenite that is left [1].
    flags : tuple of Flag
        What to do about it.
    """

    value: Number
    flags: tuple[Flag, ...] = ()


def martensite_start(grade: Grade, carbon: Number | None = None) -> HeatBand:
    """Return Ms, where martensite begins to form in the quench.

    Parameters
    ----------
    grade : Grade
        The steel. A value by its data sheet wins, and is moved by as much as the
        formula moves when the layer's carbon is not that of the sheet.
    carbon : float or array (draws,), optional
        Carbon in solution, see `dissolved_carbon`; else all of the grade's, or, with a
        data sheet, what dissolves at its hardening heat [%].

    Returns
    -------
    HeatBand
        Ms [K], 20 K either way; flagged beyond 1.9 % carbon.

    References
    ----------
    S. M. C. van Bohemen, Materials Science and Technology 28 (2012) 487-495, as
    restated by Ingber and Kunert, Steel Research International 93 (2022) 2100576.
    """
    require_steel(grade)
    if grade.martensite_start is None:
        content = grade.carbon if carbon is None else carbon
        value = van_bohemen(grade, content)
        return HeatBand(
            value=value, low=value - 20.0, high=value + 20.0,
            flags=_beyond_measured(grade, content),
        )  # fmt: skip
    value = grade.martensite_start
    if carbon is not None:
        heat = hardening_window(grade).value
        sold = dissolved_carbon(grade.carbon, heat, grade)
        value = value + van_bohemen(grade, carbon) - van_bohemen(grade, sold)
    return HeatBand(value=value, low=value - 10.0, high=value + 10.0, source="sheet")


def _beyond_measured(grade: Grade, carbon: Number) -> tuple[Flag, ...]:
    if not some(carbon > MARTENSITE_CARBON):
        return ()
    message = _(
        "{steel}: the start of martensite was measured from {low} to {high} % carbon, "
        "not at {value} %."
    )
    return (carbon_flag(message, grade, carbon, (0.0, MARTENSITE_CARBON)),)


def van_bohemen(grade: Grade, carbon: Number) -> Number:
    """Return Ms by van Bohemen's formula.

    Parameters
    ----------
    grade : Grade
        The steel; its carbon is not looked at.
    carbon : float or array (draws,)
        Carbon in solution, up to about 1.9 [%].

    Returns
    -------
    float or array (draws,)
        Ms [K].

    References
    ----------
    As `martensite_start`.
    """
    start: Number = (
        565.0 - 600.0 * (1.0 - np.exp(-0.96 * carbon))
        - martensite_drop(grade) + ZERO_CELSIUS
    )  # fmt: skip
    return start


def martensite_drop(grade: Grade) -> float:
    """Return by how much a steel's alloying, carbon aside, lowers Ms.

    Parameters
    ----------
    grade : Grade
        The steel.

    Returns
    -------
    float
        Drop [K]. Layers of one carbon turn to martensite at different moments by the
        difference of these.

    References
    ----------
    As `martensite_start`.
    """
    return (
        31.0 * grade.manganese + 13.0 * grade.silicon + 10.0 * grade.chromium
        + 18.0 * grade.nickel + 12.0 * grade.molybdenum
    )  # fmt: skip


def retained_austenite(martensite_start: Number, coldest: Number) -> AusteniteShare:
    """Return the share of austenite that is left after the quench.

    Parameters
    ----------
    martensite_start : float or array (draws,)
        Ms [K].
    coldest : float or array (draws,)
        Lowest temperature the blade reached before tempering [K].

    Returns
    -------
    AusteniteShare
        Share left; all of it if the blade never came below Ms [1].

    Notes
    -----
    For steels of 0.37 to 1.1 % carbon. No hardness is taken off for it below 0.20:
    data sheets give full hardness where the formula says as much.

    References
    ----------
    Koistinen and Marburger, Acta Metallurgica 7 (1959) 59, quoted from memory, verify.
    """
    below = np.maximum(martensite_start - coldest, 0.0)
    value: Number = np.exp(-0.011 * below)
    return AusteniteShare(value=value, flags=_austenite_flags(typical(value)))


def _austenite_flags(share: float) -> tuple[Flag, ...]:
    said = {"share": round(share, 2)}
    if share > COLD_AUSTENITE:
        message = _(
            "About {share} of the steel stays soft austenite after the quench; cool "
            "the blade further before tempering, or harden from less heat."
        )
        return (Flag(message=message, field="harden_min", values=said),)
    if share > MUCH_AUSTENITE:
        message = _(
            "About {share} of the steel stays soft austenite after the quench; let it "
            "cool to room temperature before tempering, and temper twice."
        )
        return (Flag(message=message, field="harden_min", values=said),)
    if share > NOTE_AUSTENITE:
        message = _("About {share} of the steel stays austenite after the quench.")
        return (Flag(message=message, field="harden_min", level="note", values=said),)
    return ()


def martensite_growth(carbon: Number) -> Number:
    """Return by what share the volume grows from austenite to martensite.

    Parameters
    ----------
    carbon : float or array (draws,)
        Carbon in solution, up to about 1.2 [%].

    Returns
    -------
    float or array (draws,)
        Growth of the volume [1]; a third of it in each direction.

    References
    ----------
    ASM Handbook vol. 4, Heat Treating, as quoted. Other data for 1 % carbon lie
    between 3.7 and 4.2 %.
    """
    return (4.64 - 0.53 * carbon) / 100.0
