"""What steel, gas and time cost on a day, as the plain numbers the billets take in."""

from __future__ import annotations

import datetime as dt

from billets.physics.unit_costs import UnitCosts
from billets.services import shop_beliefs
from quotes.pricing import rates_on
from quotes.rates import Rates
from shop.work import BILLET


def unit_costs_on(day: dt.date) -> UnitCosts:
    """Return the shop's unit costs in force on a day; QuoteError if one is missing.

    An hour of a plan costs what the shop's own billets have made of it, if any were
    finished. In the shop's currency. They only weigh one stack against another: no
    price is made of them, so they may be floats. A steel that has no price is not
    among them.
    """
    rates, prices = rates_on(day)
    return UnitCosts(
        steel={key: float(price) for key, price in prices.steels.items()},
        gas=float(rates.value("gas")),
        hour=float(rates.value("labour")) * _learned(rates),
    )


def _learned(rates: Rates) -> float:
    """Return how many hours an hour of a plan has taken in this shop [1]."""
    taught = rates.taught(BILLET)
    if taught is None:
        return 1.0
    return float(taught) / float(shop_beliefs().factors["hours"].median)
