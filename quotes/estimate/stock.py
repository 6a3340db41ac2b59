"""What a job file may be made of and is charged with: the shop's, else the shipped."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from billets.loading import read_steels
from billets.models import Steel as SteelRow
from billets.physics.bar import Steel
from billets.physics.factors import PRIORS
from billets.services import Beliefs, shop_beliefs
from billets.stock import core_steel
from billets.units import System
from quotes.pricing import Prices, rates_on
from quotes.rates import Rates, shipped_rates
from shop.models import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What a job may be made of, and what it is charged with.

    Attributes
    ----------
    steels : mapping of str to Steel
        By short name and by name, in lower case.
    beliefs : Beliefs
        The shop's factors, else the trade's priors.
    rates, prices : Rates, Prices
        Of the shop, else as shipped.
    system, language : str
        How the shop reads sizes, and what it speaks.
    """

    steels: Mapping[str, Steel]
    beliefs: Beliefs
    rates: Rates
    prices: Prices
    system: System = "metric"
    language: str = "en"


def shop_stock(day: dt.date) -> Stock:
    """Return the steels, factors and rates of the shop's database."""
    rates, prices = rates_on(day)
    rows, shop = SteelRow.objects.all(), Shop.current()
    return Stock(
        steels=_by_name(core_steel(row) for row in rows),
        beliefs=shop_beliefs(),
        rates=rates,
        prices=prices,
        system=shop.units,
        language=shop.language,
    )


def shipped_stock(prices: Prices) -> Stock:
    """Return the shipped steels, priors and rates."""
    steels = (
        Steel(
            entry.key, entry.values["name"], entry.values["carbon"],
            entry.values["density"], entry.values["etch"],
        )
        for entry in read_steels()
    )  # fmt: skip
    return Stock(
        steels=_by_name(steels),
        beliefs=Beliefs(factors=PRIORS, billets=0),
        rates=shipped_rates(),
        prices=prices,
    )


def _by_name(steels: Iterable[Steel]) -> dict[str, Steel]:
    known: dict[str, Steel] = {}
    for steel in steels:
        known |= {steel.key.lower(): steel, steel.name.lower(): steel}
    return known
