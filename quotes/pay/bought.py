"""What a yes bought, and the tax that every part of its price holds."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quotes.changes_after.agreed import answer_of
from quotes.money import ZERO, money, tax_within
from shop.models import Order


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """The total of an order, as its payments see it.

    Attributes
    ----------
    gross, tax : Decimal
        What is paid in all, and the tax in it.
    percent : Decimal or None
        The rate of tax, where one rate holds for all of it.
    regime, currency : str
        How it is taxed, and in what it is paid.
    """

    gross: Decimal
    tax: Decimal
    percent: Decimal | None
    regime: str
    currency: str

    def tax_until(self, paid: Decimal) -> Decimal:
        """Return the tax in the first so much of the price.

        All of the price holds all of the tax, so the taxes of its parts, each taken
        between two such sums, add up to that of the whole.
        """
        if paid >= self.gross:
            return self.tax
        if self.percent is not None:
            return tax_within(paid, self.percent, self.currency)
        return money(self.tax * paid / self.gross, self.currency)

    def tax_between(self, paid: Decimal, amount: Decimal) -> Decimal:
        """Return the tax in an amount that is paid after so much."""
        return self.tax_until(paid + amount) - self.tax_until(paid)


def bought_of(order: Order) -> Bought | None:
    """Return what was bought; None where nothing was.

    A total that was changed after the yes holds tax in the same share.
    """
    answer = answer_of(order)
    if answer is None or order.agreed is None:
        return None
    quote, bought = answer.quote, answer.option or answer.quote
    rates = quote.taxes or [{"percent": str(quote.tax_rate)}]
    percent = Decimal(rates[0]["percent"]) if len(rates) == 1 else None
    tax = bought.tax
    if order.agreed != bought.total:
        share = order.agreed / bought.total if bought.total else ZERO
        tax = money(tax * share, quote.currency)
        if percent is not None:
            tax = tax_within(order.agreed, percent, quote.currency)
    return Bought(
        gross=order.agreed, tax=tax, percent=percent, regime=quote.regime,
        currency=quote.currency,
    )  # fmt: skip
