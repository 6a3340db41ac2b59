"""What became of an order: its quote and what it really took, side by side."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from quotes.after.taken import Reckoned, Source, Taken, Written
from quotes.costing import CostLine
from quotes.earned import earned_per_hour
from quotes.money import HUNDRED, money, rounded, total

WORST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class RowCompared:
    """One row of hours: guessed, and as it was written down."""

    row: str
    label: str
    estimated: Decimal
    written: Written

    @property
    def counted(self) -> Decimal:
        """The hours to reckon with."""
        return self.written.counted(self.estimated)

    @property
    def ratio(self) -> Decimal | None:
        """Actual over estimate; None as long as it says nothing."""
        if not self.written.complete or not self.estimated:
            return None
        return self.written.amount / self.estimated


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCompared:
    """One line of the quote, and what became of it.

    Attributes
    ----------
    line : CostLine
        As the quote has it.
    quantity, amount : Decimal
        What it really took, at the rate of the quote.
    source : {"recorded", "hours", "part", "estimated"}
        Where that comes from.
    """

    line: CostLine
    quantity: Decimal
    amount: Decimal
    source: Source

    @property
    def known(self) -> bool:
        """Whether the actual is known, in all of it."""
        return self.source in ("recorded", "hours")

    @property
    def difference(self) -> Decimal:
        """Actual less estimate."""
        return self.amount - self.line.amount

    @property
    def percent(self) -> Decimal | None:
        """The difference in per cent of the estimate."""
        return percent_of(self.difference, self.line.amount)


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """One thing that was guessed: a row of hours, or a line that was weighed."""

    key: str
    label: str
    estimated: Decimal
    actual: Decimal

    @property
    def difference(self) -> Decimal:
        """Actual less estimate."""
        return self.actual - self.estimated

    @property
    def percent(self) -> Decimal | None:
        """The difference in per cent of the estimate."""
        return percent_of(self.difference, self.estimated)


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """An order against its quote.

    Attributes
    ----------
    reckoned, taken
        What was compared.
    rows : tuple of RowCompared
        Hours by row.
    lines : tuple of LineCompared
        Cost line by line, scrapped knives left out.
    failures : LineCompared
        The share of failures against what scrapped knives took.
    lost : Decimal
        What scrapped knives took so far.
    """

    reckoned: Reckoned
    taken: Taken
    rows: tuple[RowCompared, ...]
    lines: tuple[LineCompared, ...]
    failures: LineCompared
    lost: Decimal

    @property
    def begun(self) -> bool:
        """Whether anything has been written down."""
        taken = self.taken
        told = (*taken.rows.values(), taken.steel, taken.gas)
        return any(one.recorded for one in told) or any(taken.lost.hours.values())

    @property
    def rows_complete(self) -> int:
        """How many rows of hours are written down in all."""
        return sum(one.written.complete for one in self.rows)

    @property
    def complete(self) -> bool:
        """Whether every hour is written down and nothing can fail any more."""
        return self.rows_complete == len(self.rows) and self.taken.lost.final

    @property
    def estimated_hours(self) -> Decimal:
        """Hands-on hours the quote reckoned with."""
        return total(one.estimated for one in self.rows)

    @property
    def hours(self) -> Decimal:
        """Hands-on hours to reckon with, those of scrapped knives with them."""
        return self._kept_hours + self._lost_hours

    @property
    def recorded_hours(self) -> Decimal:
        """Hands-on hours written down so far."""
        return total(one.written.amount for one in self.rows) + self._lost_hours

    @property
    def estimated_cost(self) -> Decimal:
        """The cost in the quote, failures with it."""
        return total(one.line.amount for one in self._all)

    @property
    def cost(self) -> Decimal:
        """The cost to reckon with."""
        return total(one.amount for one in self._all)

    @property
    def estimated_left(self) -> Decimal:
        """What the quote would leave over its cost."""
        return self.reckoned.net - self.estimated_cost

    @property
    def left(self) -> Decimal:
        """What is left over the cost; below zero it is a loss."""
        return self.reckoned.net - self.cost

    @property
    def estimated_hourly(self) -> Decimal | None:
        """What an hour would earn if all went as the quote reckoned."""
        hours = self.reckoned.hours_with_failures
        return self._earned(self.estimated_left, hours)

    @property
    def hourly(self) -> Decimal | None:
        """What an hour at the bench earns.

        As long as a knife can still be lost, the hours put aside for that count, as
        their cost does.
        """
        return self._earned(self.left, self._kept_hours + self._failed_hours)

    @property
    def _all(self) -> tuple[LineCompared, ...]:
        return (*self.lines, self.failures)

    @property
    def _kept_hours(self) -> Decimal:
        return total(one.counted for one in self.rows)

    @property
    def _lost_hours(self) -> Decimal:
        return total(self.taken.lost.hours.values())

    @property
    def _failed_hours(self) -> Decimal:
        aside = self.reckoned.hours_with_failures - self.estimated_hours
        lost = self._lost_hours
        return lost if self.taken.lost.final else max(lost, aside)

    def _earned(self, left: Decimal, hours: Decimal) -> Decimal | None:
        reckoned = self.reckoned
        return earned_per_hour(reckoned.hour, left, hours, reckoned.currency)

    def worst(self, count: int = WORST) -> tuple[Guess, ...]:
        """Return what was guessed worst, the largest difference in money first.

        Hours count row by row at the hour of the quote; what follows from hours, and
        the share of failures, which is no guess about one order, do not count.
        """
        wrong = (one for one in self._guesses() if one.difference)
        ranked = sorted(wrong, key=lambda one: abs(one.difference), reverse=True)
        return tuple(ranked[:count])

    def _guesses(self) -> Iterable[Guess]:
        currency, hour = self.reckoned.currency, self.reckoned.hour
        for row in self.rows:
            if row.written.complete:
                yield Guess(
                    key=row.row,
                    label=row.label,
                    estimated=money(row.estimated * hour, currency),
                    actual=money(row.written.amount * hour, currency),
                )
        for key in ("steel", "gas"):
            own = [one for one in self.lines if one.line.key == key]
            if own and own[0].source == "recorded":
                yield Guess(
                    key=key,
                    label=own[0].line.label,
                    estimated=total(one.line.amount for one in own),
                    actual=total(one.amount for one in own),
                )


def percent_of(part: Decimal, whole: Decimal) -> Decimal | None:
    """Return a part in per cent of a whole; None where the whole is nothing.

    >>> percent_of(Decimal(-3), Decimal(12)), percent_of(Decimal(1), Decimal(0))
    (Decimal('-25.0'), None)
    """
    return rounded(part * HUNDRED / whole, 1) if whole else None
