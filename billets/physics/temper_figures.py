"""All that is known of how one steel tempers: own rows, printed tables, or the fit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.grades import Grade
from billets.physics.hardness import as_quenched
from billets.physics.state import every
from billets.physics.temper_tables import (
    Curve,
    carbon_share,
    fitted,
    own_curve,
    printed_curves,
    read_curve,
    temper_parameter,
    temper_temperature,
)
from billets.physics.transformation import lower_critical

FIT_COOLEST, FIT_HOTTEST = 150.0 + ZERO_CELSIUS, 340.0 + ZERO_CELSIUS
"""Tempers the general fit holds for [K]. Below the first no blade is tempered."""

FIT_LEAST_CARBON, FIT_LAST_CARBON = 0.65, 1.0
"""Carbon the general fit holds for [%]."""

TABLE_SPREAD, FIT_SPREAD = 1.0, 2.0
"""Either way of a table, common practice, no source; of the fit, computed [HRC]."""

BELOW_CRITICAL = 50.0
"""No temper is asked for closer to Ac1 than this, common practice, no source [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """How a steel tempers in a given time.

    Attributes
    ----------
    grade : Grade
        The steel.
    carbon : float or array (draws,)
        All carbon of the layer after levelling [%].
    seconds : float
        All equal tempers together [s].
    source : str
        "own", "table" or "fit".
    curves : tuple of Curve
        Own rows, or every printed table, the one that counts first; none for the fit.
    """

    grade: Grade
    carbon: Number
    seconds: float
    source: str
    curves: tuple[Curve, ...]

    def value(self, temperature: Number) -> Number:
        """Return the hardness [HRC] after a temper, float or array (draws,) [K]."""
        return self._curves(temperature)[0]

    def low(self, temperature: Number) -> Number:
        """Return the least hardness [HRC] after a temper, likewise [K]."""
        known = self._around(temperature)
        least: Number = np.minimum.reduce(np.broadcast_arrays(*known))
        return least - self._spread

    def high(self, temperature: Number) -> Number:
        """Return the most hardness [HRC] after a temper, likewise [K]."""
        known = self._around(temperature)
        most: Number = np.maximum.reduce(np.broadcast_arrays(*known))
        return most + self._spread

    @property
    def table_ends(self) -> tuple[float, float] | None:
        """Return between which tempers of this time the table has rows [K]."""
        if not self.curves:
            return None
        ends = self.curves[0].parameters[[0, -1]]
        first, last = (float(temper_temperature(end, self.seconds)) for end in ends)
        return first, last

    @property
    def hottest(self) -> float:
        """Return where figures end: those of the fit, or the last row [K]."""
        last = FIT_HOTTEST if self.table_ends is None else self.table_ends[1]
        limit = float(lower_critical(self.grade).value) - BELOW_CRITICAL
        return min(max(last, FIT_HOTTEST), limit)

    @property
    def fit_holds(self) -> bool:
        """Return whether the carbon is within the range of the fit."""
        low, high = FIT_LEAST_CARBON, FIT_LAST_CARBON
        return every((self.carbon >= low) & (self.carbon <= high))

    @property
    def _spread(self) -> float:
        return FIT_SPREAD if self.source == "fit" else TABLE_SPREAD

    def _curves(self, temperature: Number) -> tuple[Number, ...]:
        parameter = temper_parameter(temperature, self.seconds)
        if self.source == "fit":
            # Steel with little carbon was never as hard as the fit would leave it.
            most = as_quenched(self.carbon).value
            return (np.minimum(fitted(self.carbon, parameter), most),)
        moved = carbon_share(self.carbon) - carbon_share(self.grade.carbon)
        return tuple(read_curve(curve, parameter) + moved for curve in self.curves)

    def _around(self, temperature: Number) -> tuple[Number, ...]:
        """Return every figure there is; the fit widens what is only printed."""
        known = self._curves(temperature)
        if self.source != "table" or not self.fit_holds:
            return known
        holds = (temperature >= FIT_COOLEST) & (temperature <= FIT_HOTTEST)
        parameter = temper_parameter(temperature, self.seconds)
        return (*known, np.where(holds, fitted(self.carbon, parameter), known[0]))


def figures_of(grade: Grade, carbon: Number, seconds: float) -> Figures:
    """Return what is known of how a steel tempers.

    Parameters
    ----------
    grade : Grade
        The steel and its temper tables.
    carbon : float or array (draws,)
        All carbon of the layer after levelling [%].
    seconds : float
        All equal tempers together [s].

    Returns
    -------
    Figures
        The shop's own rows, else the printed tables, else the general fit.
    """
    own = own_curve(grade)
    curves = printed_curves(grade) if own is None else (own,)
    source = "own" if own is not None else "table" if curves else "fit"
    return Figures(
        grade=grade, carbon=carbon, seconds=seconds, source=source, curves=curves
    )
