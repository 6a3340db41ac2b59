"""How hard steel comes out of the quench, and one scale of hardness in another.

Hardness is Rockwell C unless said otherwise [HRC].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from billets.physics import Number
from billets.physics.errors import Flag, PlanError, _
from billets.physics.state import every, some, typical

PLATEAU = 65.0
"""Hardness that more carbon no longer raises; data sheets give 63 to 67 [HRC]."""

PLATEAU_CARBON = 0.65
"""Carbon from which the plateau is reached; above 0.70 the formula falls [%]."""

LEAST_CARBON = 0.10
"""Carbon from which the formula holds [%]."""

SPREAD = 1.0
"""Either way of a hardness as quenched, common practice, no source [HRC]."""

A255 = (33.087, 50.723, 33.662, -2.7048, -107.02, 43.523)
"""Coefficients of rising powers of carbon; ASTM A255-10, by way of a handbook."""

J406_FULL = (35.395, 6.990, 312.330, -821.744, 1015.479, -538.346)
J406_HALF = (22.974, 6.214, 356.364, -1091.488, 1464.880, -750.441)
"""The same for all and for half martensite; SAE J406, quoted from memory, verify."""

VICKERS = (
    (40.0, 392.0), (45.0, 446.0), (50.0, 513.0), (51.0, 528.0), (52.0, 544.0),
    (53.0, 560.0), (54.0, 577.0), (55.0, 595.0), (56.0, 613.0), (57.0, 633.0),
    (58.0, 653.0), (59.0, 674.0), (60.0, 697.0), (61.0, 720.0), (62.0, 746.0),
    (63.0, 772.0), (64.0, 800.0), (65.0, 832.0), (66.0, 865.0),
)  # fmt: skip
"""Rockwell C beside Vickers, rows of ASTM A370 [HRC, HV]."""

_ROCKWELL, _VICKERS = (np.array(column) for column in zip(*VICKERS, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class HardnessBand:
    """A hardness, and between which it may lie.

    Attributes
    ----------
    value, low, high : float or array (draws,)
        Likely, lowest and highest [HRC].
    source : str
        "formula"; of a tempered hardness "own", "table" or "fit".
    clamped : bool
        Whether the carbon was taken at the end of the formula's range.
    flags : tuple of Flag
        What to look at twice.
    """

    value: Number
    low: Number
    high: Number
    source: str = "formula"
    clamped: bool = False
    flags: tuple[Flag, ...] = ()


def as_quenched(carbon: Number) -> HardnessBand:
    """Return the hardness of steel that has hardened through, before tempering.

    Parameters
    ----------
    carbon : float or array (draws,)
        Carbon in solution at the hardening heat [%].

    Returns
    -------
    HardnessBand
        Hardness and 1 HRC either way [HRC]. From 0.65 % carbon the plateau of 65,
        below 0.10 % the hardness at 0.10 %; both clamped, and flagged where the
        formula's range of 0.10 to 0.70 % is left.

    Notes
    -----
    Nothing is taken off for retained austenite: data sheets give 64 to 65 where a
    fifth of it is reckoned. Alloying counts for nothing here; hardness as quenched
    depends on carbon alone (Grange, Hribal and Porter 1977).

    References
    ----------
    ASTM A255-10, Standard Test Methods for Determining Hardenability of Steel, by way
    of a handbook. The plateau above it: common practice, no source.
    """
    inside = np.clip(carbon, LEAST_CARBON, PLATEAU_CARBON)
    value: Number = np.minimum(rising_powers(inside, A255), PLATEAU)
    return HardnessBand(
        value=value,
        low=value - SPREAD,
        high=value + SPREAD,
        clamped=some(inside != carbon),
        flags=_outside(carbon),
    )


def rising_powers(carbon: Number, coefficients: tuple[float, ...]) -> Number:
    """Return a polynomial of carbon.

    Parameters
    ----------
    carbon : float or array (draws,)
        Carbon [%].
    coefficients : tuple of float
        Of its powers, from the zeroth [HRC].

    Returns
    -------
    float or array (draws,)
        Hardness [HRC].
    """
    return sum(one * carbon**power for power, one in enumerate(coefficients))


def _outside(carbon: Number) -> tuple[Flag, ...]:
    high = 0.70
    said = {"low": LEAST_CARBON, "high": high, "value": round(typical(carbon), 2)}
    if some(carbon > high):
        message = _(
            "Outside the range of the formula for hardness as quenched, {low} to "
            "{high} % carbon: at {value} % it is taken as {hardness} HRC, as data "
            "sheets have it."
        )
        values = {**said, "hardness": PLATEAU}
        return (Flag(message=message, field="carbon", level="note", values=values),)
    if some(carbon < LEAST_CARBON):
        message = _(
            "Outside the range of the formula for hardness as quenched, {low} to "
            "{high} % carbon: {value} % hardens hardly at all."
        )
        return (Flag(message=message, field="carbon", values=said),)
    return ()


def vickers(hardness: Number) -> Number:
    """Return the Vickers hardness of a Rockwell C hardness.

    Parameters
    ----------
    hardness : float or array (draws,)
        Rockwell C, 40 to 66 [HRC].

    Returns
    -------
    float or array (draws,)
        Vickers [HV]; straight between the rows of the table.

    References
    ----------
    ASTM A370, conversion table for steel.

    Examples
    --------
    >>> float(vickers(60.0))
    697.0
    """
    _within(hardness, _ROCKWELL)
    found: Number = np.interp(hardness, _ROCKWELL, _VICKERS)
    return found


def rockwell(hardness: Number) -> Number:
    """Return the Rockwell C hardness of a Vickers hardness.

    Parameters
    ----------
    hardness : float or array (draws,)
        Vickers, 392 to 865 [HV].

    Returns
    -------
    float or array (draws,)
        Rockwell C [HRC]; straight between the rows of the table.

    References
    ----------
    ASTM A370, conversion table for steel.
    """
    _within(hardness, _VICKERS)
    found: Number = np.interp(hardness, _VICKERS, _ROCKWELL)
    return found


def _within(hardness: Number, column: NDArray[np.float64]) -> None:
    if not every((hardness >= column[0]) & (hardness <= column[-1])):
        raise PlanError(
            _(
                "Hardness is converted from {low} to {high} only, not {value}; measure "
                "on the scale you want to read."
            ),
            field="hardness",
            low=float(column[0]),
            high=float(column[-1]),
            value=typical(hardness),
        )
