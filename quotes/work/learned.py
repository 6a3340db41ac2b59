"""What the hours written at the bench teach, row by row, for the rates of a day."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quotes.pert import ThreePoint
from quotes.rates import Rates
from shop import stages, work
from shop.learning import Belief, Bias, Forecast, bias, forecast, prior, updated

NAMED = 2
"""Knives that are named where hours scatter too much [1]."""


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
    scattered : tuple of str
        Where they scatter too much to be charged, which are farthest off; the row then
        goes by its three points.
    """

    row: str
    three: ThreePoint
    forecast: Forecast | None
    bias: Bias | None
    scattered: tuple[str, ...] = ()


def learned_hours(rates: Rates) -> dict[str, Forecast]:
    """Return a forecast for every row of hours that a finished knife has taught.

    A row whose hours scatter too much is not in it, and goes by its three points.
    """
    found = (
        (row, _forecast(rates, row, done))
        for row, done in work.finished().items()
        if rates.hours(row).mean
    )
    return {row: known for row, known in found if not known.scattered}


def _forecast(rates: Rates, row: str, done: Sequence[work.Done]) -> Forecast:
    return forecast(updated(_start(rates, row), _logs(done)))


def rows_learned(rates: Rates) -> list[RowLearned]:
    """Return every row of hours with what it starts from and what was learned."""
    finished = work.finished()
    return [
        _row_learned(rates, row, finished.get(row, [])) for row in stages.HOURS_ROWS
    ]


def _row_learned(rates: Rates, row: str, done: Sequence[work.Done]) -> RowLearned:
    three, known = rates.hours(row), rates.learned.get(row)
    if known is None:
        odd = _odd(rates, row, done) if done and three.mean else ()
        return RowLearned(
            row=row, three=three, forecast=None, bias=None, scattered=odd
        )  # fmt: skip
    start = _start(rates, row)
    off = bias([one - start.centre for one in _logs(done)])
    return RowLearned(row=row, three=three, forecast=known, bias=off)


def _odd(rates: Rates, row: str, done: Sequence[work.Done]) -> tuple[str, ...]:
    """Return what to look at where hours scatter too much: the farthest off."""
    if not _forecast(rates, row, done).scattered:
        return ()
    centre = _start(rates, row).centre
    off = [(abs(log - centre), one.serial)
           for log, one in zip(_logs(done), done, strict=True)]  # fmt: skip
    return tuple(serial for _far, serial in sorted(off, reverse=True)[:NAMED])


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
