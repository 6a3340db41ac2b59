"""What the demo's bench writes down: hours stage by stage, and what was weighed."""

from __future__ import annotations

from decimal import Decimal

from billets.units import to_si
from quotes.demo.cast import Cast
from quotes.demo.story import Act
from quotes.work.drivers import driver_of
from shop import entries, work
from shop.entries import MEASURED_IN


def hours(cast: Cast, act: Act) -> None:
    """Write down the hours of one stage of a knife: hands on, and waiting if any."""
    knife = cast.knife(act.said["knife"])
    spent = [
        work.Spent(
            stage=act.said["at"],
            row=row,
            hands_on=Decimal(told[0]),
            waiting=Decimal(told[1]) if len(told) > 1 else Decimal(0),
            driver=driver_of(knife, row, act.at.date()),
        )
        for row, told in act.said["rows"].items()
    ]
    work.write_hours(knife, spent, by=cast.who(act), at=act.at)


def weigh(cast: Cast, act: Act) -> None:
    """Write down what was weighed of a knife and its billet."""
    knife = cast.knife(act.said["knife"])
    for kind, typed in act.said["found"].items():
        entries.write_entry(
            knife, kind, to_si(typed, MEASURED_IN[kind]), typed,
            by=cast.who(act), at=act.at,
        )  # fmt: skip
