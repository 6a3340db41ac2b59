"""What an order's quote reckoned with, and what was written down at the bench.

A thing that is not all written down yet counts as estimated, or as what was written
down so far where that is more already; it is never taken for all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from quotes.costing import CostLine
from quotes.earned import hours_with_failures, hours_with_share
from quotes.money import ZERO, total
from quotes.scrap import Link

Source = Literal["recorded", "hours", "part", "estimated"]
"""Where an actual comes from: written down; following from hours that are; written
down in part; not at all."""

_NOTHING: Mapping[str, Decimal] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What was written down of one thing that is asked of several knives or billets.

    Attributes
    ----------
    amount : Decimal
        All of it so far [h or kg].
    waiting : Decimal
        Of hours, what went on by itself meanwhile [h].
    recorded, of : int
        Knives or billets it was written down of, and those it is asked of [1].
    over : bool
        Whether nothing more can come.
    """

    amount: Decimal = ZERO
    waiting: Decimal = ZERO
    recorded: int = 0
    of: int = 0
    over: bool = True

    @property
    def complete(self) -> bool:
        """Whether this is all there is to write down."""
        return self.over and 0 < self.of <= self.recorded

    @property
    def source(self) -> Source:
        """Where it comes from."""
        if self.complete:
            return "recorded"
        return "part" if self.recorded else "estimated"

    def counted(self, estimated: Decimal) -> Decimal:
        """Return what to reckon with: all of it, else no less than was estimated."""
        return self.amount if self.complete else max(self.amount, estimated)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """What knives took that were scrapped.

    Attributes
    ----------
    knives : int
        How many [1].
    hours : mapping of str to Decimal
        Hands-on hours by row [h].
    steel, gas : Decimal
        Their part of the billets [kg].
    final : bool
        Whether no knife can be lost any more, and hours of each are written down.
    """

    knives: int = 0
    hours: Mapping[str, Decimal] = field(default_factory=lambda: _NOTHING)
    steel: Decimal = ZERO
    gas: Decimal = ZERO
    final: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What an order really took, as far as it was written down; scrap apart.

    Attributes
    ----------
    rows : mapping of str to Written
        Hands-on hours by row [h].
    steel, gas : Written
        Steel stacked and gas burnt, by billet [kg].
    lost : Lost
        What went into knives that were scrapped.
    """

    rows: Mapping[str, Written]
    steel: Written = Written()
    gas: Written = Written()
    lost: Lost = Lost()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """What the accepted quote reckoned with.

    Attributes
    ----------
    lines : tuple of CostLine
        What the work costs if nothing fails.
    risk : CostLine
        The share of failures.
    hours : mapping of str to Decimal
        Attended hours by row [h].
    labels : mapping of str to str
        What the rows are called.
    net : Decimal
        What the knives bring before tax, discount taken off and extras left out.
    currency : str
        What the money is.
    rates : mapping of str to Decimal
        The rates of the quote by key, as far as they were kept.
    links : tuple of Link
        The chain of the bench at these rates; empty where they were not kept.
    """

    lines: tuple[CostLine, ...]
    risk: CostLine
    hours: Mapping[str, Decimal]
    labels: Mapping[str, str]
    net: Decimal
    currency: str
    rates: Mapping[str, Decimal] = field(default_factory=lambda: _NOTHING)
    links: tuple[Link, ...] = ()

    @property
    def hours_with_failures(self) -> Decimal:
        """Attended hours with those of failures, as the floor price reckons them [h].

        Of a quote that did not keep its rates: by the share of failures it kept.
        """
        if self.links:
            return hours_with_failures(self.hours, self.links)
        return hours_with_share(total(self.hours.values()), self.risk.quantity)

    @property
    def hour(self) -> Decimal:
        """The shop's hour in the quote."""
        own = [one.rate for one in self.lines if one.key == "labour"]
        return own[0] if own else self.rates.get("labour", ZERO)

    def sum_of(self, key: str) -> Decimal:
        """Return how much of one thing the quote reckoned with."""
        return total(one.quantity for one in self.lines if one.key == key)
