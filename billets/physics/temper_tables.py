"""Temper tables as curves: hardness over how hot and how long.

Heat and time become one number, the parameter of Hollomon and Jaffe, so that rows of
different times lie on one curve. Between rows it is straight; beyond the ends it goes
on as steep as the general fit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from billets.physics import Number
from billets.physics.errors import PlanError, _
from billets.physics.grades import Grade, TemperPoint
from billets.physics.state import every

GENERAL_CONSTANT = 20.0
"""The constant c; 15 to 20 shift a temper by 5 K at most; from memory [1]."""

FIT_START, FIT_CARBON, FIT_SLOPE = 76.3, 8.2, -2.28e-3
"""General fit of published tables: hardness is the first, plus the second for each per
cent of carbon up to 0.90, plus the third for each kelvin of the parameter; computed."""

FIT_MOST_CARBON = 0.90
"""Carbon beyond which it hardens no further, in the fit [%]."""

HOUR = 3600.0
"""An hour [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A temper table.

    Attributes
    ----------
    parameters : array (rows,)
        Parameter of each row, rising [K].
    hardness : array (rows,)
        Hardness of each, never rising [HRC].
    mended : bool
        Whether rows contradicted one another: a hotter temper left it harder.
    """

    parameters: NDArray[np.float64]
    hardness: NDArray[np.float64]
    mended: bool


def temper_parameter(
    temperature: Number, seconds: Number, constant: float = GENERAL_CONSTANT
) -> Number:
    """Return heat and time of a temper as one number.

    Parameters
    ----------
    temperature : float or array (draws,)
        Of the temper [K].
    seconds : float or array (draws,)
        All equal tempers together [s].
    constant : float
        The constant c; 20 in general, 15 to 19.5 in the first paper [1].

    Returns
    -------
    float or array (draws,)
        T (c + log10 of the hours) [K].

    References
    ----------
    Hollomon and Jaffe, Transactions of the AIME 162 (1945) 223.
    """
    if not every((temperature > 0.0) & (seconds > 0.0)):
        raise PlanError(
            _("A temper needs a temperature and a time above zero."), field="seconds"
        )
    parameter: Number = temperature * (constant + np.log10(seconds / HOUR))
    return parameter


def temper_temperature(parameter: Number, seconds: float) -> Number:
    """Return how hot to temper for a parameter.

    Parameters
    ----------
    parameter : float or array (draws,)
        As `temper_parameter` gives it, with its general constant [K].
    seconds : float
        All equal tempers together [s].

    Returns
    -------
    float or array (draws,)
        Temperature [K].
    """
    temperature: Number = parameter / (GENERAL_CONSTANT + np.log10(seconds / HOUR))
    return temperature


def own_curve(grade: Grade) -> Curve | None:
    """Return the curve of the shop's own rows, all together; None without any."""
    own = [row for row in grade.tempers if row.own]
    return _curve(own) if own else None


def printed_curves(grade: Grade) -> tuple[Curve, ...]:
    """Return a curve for each printed table, in the order of their sources' names.

    Where sheets differ the first of them counts, and the others widen the band.
    """
    tables: dict[str, list[TemperPoint]] = {}
    for row in grade.tempers:
        if not row.own:
            tables.setdefault(row.source, []).append(row)
    return tuple(_curve(tables[source]) for source in sorted(tables))


def _curve(rows: list[TemperPoint]) -> Curve:
    found: dict[float, list[float]] = {}
    for row in rows:
        parameter = float(temper_parameter(row.temperature, row.seconds))
        found.setdefault(parameter, []).append(row.hardness)
    parameters = np.array(sorted(found))
    measured = np.array([np.mean(found[one]) for one in parameters])
    falling = np.minimum.accumulate(measured)
    return Curve(
        parameters=parameters,
        hardness=falling,
        mended=bool((falling < measured).any()),
    )


def read_curve(curve: Curve, parameter: Number) -> Number:
    """Return the hardness a table gives.

    Parameters
    ----------
    curve : Curve
        The table.
    parameter : float or array (draws,)
        As `temper_parameter` gives it [K].

    Returns
    -------
    float or array (draws,)
        Hardness [HRC]; beyond the rows as steep as the general fit.
    """
    inside = np.clip(parameter, curve.parameters[0], curve.parameters[-1])
    hardness: Number = np.interp(inside, curve.parameters, curve.hardness)
    return hardness + FIT_SLOPE * (parameter - inside)


def fitted(carbon: Number, parameter: Number) -> Number:
    """Return the hardness by the general fit, its range unheeded.

    Parameters
    ----------
    carbon : float or array (draws,)
        Of the layer [%].
    parameter : float or array (draws,)
        As `temper_parameter` gives it [K].

    Returns
    -------
    float or array (draws,)
        Hardness [HRC].

    Notes
    -----
    A straight line through 41 rows of data sheets and trade tables for O1, L6, W2,
    90MnCrV8, 1095 and plain steels of 0.65 to 0.85 % carbon, computed by us. It misses
    them by 1.1 HRC in the mean square and by 2.6 at most. For 150 to 340 °C, 0.65 to
    1.0 % carbon, steel that hardened through and does not harden again when tempered.
    """
    return FIT_START + carbon_share(carbon) + FIT_SLOPE * parameter


def carbon_share(carbon: Number) -> Number:
    """Return what carbon adds to the hardness after tempering.

    Parameters
    ----------
    carbon : float or array (draws,)
        Of the layer [%].

    Returns
    -------
    float or array (draws,)
        Part of the general fit [HRC].
    """
    share: Number = FIT_CARBON * np.minimum(carbon, FIT_MOST_CARBON)
    return share
