"""What the hours written at the bench teach, row by row, for the rates of a day."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quotes.pert import ThreePoint
from quotes.rates import Rates
from shop import stages, work
from shop.learning import Belief, Bias, Forecast, bias, forecast, prior, updated


@dataclass(frozen=True, slots=True, kw_only=True)
class RowLearned:
    """A row of hours: where it starts from, and what the shop's knives made of it.

    Attributes
    ----------
    row : str
        Its key.
    three : ThreePoint
        The shop's three points [h].
    forecast : Forecast or None
        What its knives taught; None before the first.
    bias : Bias or None
        How far they were from the three points, or from the plans' hours.
    """

    row: str
    three: ThreePoint
    forecast: Forecast | None
    bias: Bias | None


def learned_hours(rates: Rates) -> dict[str, Forecast]:
    """Return a forecast for every row of hours that a finished knife has taught."""
    return {
        row: forecast(updated(_start(rates, row), _logs(done)))
        for row, done in work.finished().items()
        if rates.hours(row).mean
    }


def rows_learned(rates: Rates) -> list[RowLearned]:
    """Return every row of hours with what it starts from and what was learned."""
    finished = work.finished()
    return [
        _row_learned(rates, row, finished.get(row, [])) for row in stages.HOURS_ROWS
    ]


def _row_learned(rates: Rates, row: str, done: Sequence[work.Done]) -> RowLearned:
    three, known = rates.hours(row), rates.learned.get(row)
    if known is None:
        return RowLearned(row=row, three=three, forecast=None, bias=None)
    start = _start(rates, row)
    off = bias([one - start.centre for one in _logs(done)])
    return RowLearned(row=row, three=three, forecast=known, bias=off)


def _start(rates: Rates, row: str) -> Belief:
    """Return what is believed of a row before the first knife.

    Of the billet that is the hours of its plan, with the spread of its three points.
    """
    three, worth = rates.hours(row), float(rates.value("hours_worth"))
    mean, variance = float(three.mean), float(three.beta_variance)
    if row == work.BILLET:
        mean, variance = 1.0, variance / mean**2
    return prior(mean, variance, worth)


def _logs(done: Sequence[work.Done]) -> list[float]:
    return [math.log(one.hours / one.driver) for one in done]
