"""The shop's hour: read from the rates of a day, taken over into those of quotes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from quotes.money import HUNDRED, Taxed, from_net, money
from quotes.rate_book import save_rates
from quotes.rates import Tax
from quotes.year.rate import price_at_margin
from quotes.year.sums import ShopYear, shop_year
from shop.models import Rate, TaxSetting


@dataclass(frozen=True, slots=True, kw_only=True)
class Charged:
    """What a customer pays for an hour.

    Attributes
    ----------
    margin : Decimal
        Per cent of the net price that is margin.
    tax_percent : Decimal or None
        Per cent of tax; None where the shop has not said how it is taxed.
    price : Taxed
        The hour with its margin, its tax, and both; no tax where none is known.
    """

    margin: Decimal
    tax_percent: Decimal | None
    price: Taxed


def values_on(day: dt.date) -> dict[str, Decimal]:
    """Return every rate in force on a day by its key."""
    return {key: row.value for key, row in Rate.objects.on(day).items()}


def charged(
    hour: Decimal, values: Mapping[str, Decimal], day: dt.date, currency: str
) -> Charged | None:
    """Return what a customer pays for an hour; None without a margin below 100 %."""
    if values.get("margin", HUNDRED) >= HUNDRED:
        return None
    percent = _tax_percent(day)
    net = money(price_at_margin(hour, values["margin"] / HUNDRED), currency)
    return Charged(
        margin=values["margin"],
        tax_percent=percent,
        price=from_net(net, percent or Decimal(0), currency),
    )


def _tax_percent(day: dt.date) -> Decimal | None:
    setting = TaxSetting.objects.on(day)
    if setting is None:
        return None
    tax = Tax(
        regime=setting.regime, percent=setting.rate, valid_from=setting.valid_from
    )
    return tax.charged


def new_rates(year: ShopYear, values: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Return the rates of quotes that the year makes other than they are."""
    return {key: rate for key, rate in year.rates.items() if values.get(key) != rate}


def take_rates(day: dt.date, *, currency: str, note: str, seen: str) -> int:
    """Let quotes charge from a day on what the year then in force comes to.

    Returns how many rates changed. QuoteError if the year cannot be computed, if a
    rate was changed since ``seen``, or if one changes on a later day already.
    """
    values = values_on(day)
    changes = new_rates(shop_year(values, currency), values)
    save_rates(changes, valid_from=day, note=note, seen=seen)
    return len(changes)
