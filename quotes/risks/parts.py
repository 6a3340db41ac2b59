"""What of a knife's cost goes with its hours, with the gas, and with nothing.

The amounts are those of the lines of cost, shared out to knives and stages as they
are there; here they are floats, since a simulation has no use for cents.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from quotes.cost_items import COST_ITEMS, Need
from quotes.costing import line_of
from quotes.hours import knife_hours
from quotes.job import Job
from quotes.money import total
from quotes.rates import Rates
from shop import stages

ROWS = tuple(stages.HOURS_ROWS)
BENCH = stages.bench()

GOES_WITH_HOURS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"labour": BENCH, "grinder": BENCH, "electricity": ("grind", "finish")}
)
"""Cost items that grow with the hours at the bench, and in which stages they do."""

GOES_WITH_GAS = frozenset({"gas"})
"""Cost items that grow with what the forge burns."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnifeParts:
    """What one knife costs if nothing fails, by stage and by what it goes with.

    Attributes
    ----------
    billet : int
        Place of its billet in the job.
    fixed, gas : array (stages,)
        What goes with nothing, and what goes with the gas burnt [currency].
    hourly : array (stages, rows)
        What goes with the hours of each row [currency].
    hours : array (stages, rows)
        Attended hours [h].
    """

    billet: int
    fixed: NDArray[np.float64]
    gas: NDArray[np.float64]
    hourly: NDArray[np.float64]
    hours: NDArray[np.float64]

    @property
    def nominal(self) -> NDArray[np.float64]:
        """Cost of each stage at its first pass, as planned [currency]."""
        whole: NDArray[np.float64] = self.fixed + self.gas + self.hourly.sum(axis=1)
        return whole


def parts_of(job: Job, rates: Rates) -> tuple[KnifeParts, ...]:
    """Return the cost of every knife by stage and by what it goes with.

    Together they are the direct cost of ``quotes.costing.cost``.
    """
    parts = [
        KnifeParts(
            billet=knife.billet,
            fixed=np.zeros(len(BENCH)),
            gas=np.zeros(len(BENCH)),
            hourly=np.zeros((len(BENCH), len(ROWS))),
            hours=_SHARES * _row_hours(knife_hours(job, rates, knife)),
        )
        for knife in job.knives
    ]
    for item in COST_ITEMS:
        for need in item.needs(job, rates):
            line = line_of(item, need, job.currency)
            if line.quantity:
                _spend(item.key, float(line.amount), need, parts)
    return tuple(parts)


def _row_hours(hours: Mapping[str, Decimal]) -> NDArray[np.float64]:
    return np.array([float(hours[row]) for row in ROWS])


def _row_shares() -> NDArray[np.float64]:
    """Return which share of each row of hours falls into each stage."""
    shares = np.zeros((len(BENCH), len(ROWS)))
    for place, key in enumerate(BENCH):
        for row, share in stages.stage_of(key).hours:
            shares[place, ROWS.index(row)] = float(share)
    return shares


_SHARES = _row_shares()


def _spend(key: str, amount: float, need: Need, parts: list[KnifeParts]) -> None:
    """Add a line's amount to knives and stages, in proportion to what they use."""
    whole = float(total(use.amount for use in need.uses))
    for use in need.uses:
        part, place = parts[use.knife], BENCH.index(use.stage)
        own = amount * float(use.amount) / whole
        hours = part.hours[place]
        if use.stage in GOES_WITH_HOURS.get(key, ()) and hours.any():
            part.hourly[place] += own * hours / hours.sum()
        elif key in GOES_WITH_GAS:
            part.gas[place] += own
        else:
            part.fixed[place] += own
