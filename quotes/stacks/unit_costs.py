"""What steel, gas and time cost on a day, as the plain numbers the billets take in."""

from __future__ import annotations

import datetime as dt

from billets.physics.unit_costs import UnitCosts
from quotes.pricing import rates_on


def unit_costs_on(day: dt.date) -> UnitCosts:
    """Return the shop's unit costs in force on a day; QuoteError if one is missing.

    In the shop's currency. They only weigh one stack against another: no price is made
    of them, so they may be floats. A steel that has no price is not among them.
    """
    rates, prices = rates_on(day)
    return UnitCosts(
        steel={key: float(price) for key, price in prices.steels.items()},
        gas=float(rates.value("gas")),
        hour=float(rates.value("labour")),
    )
