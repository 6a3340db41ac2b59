"""From a cost to a price: margin, tax once per rate on the net sum, deposit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.money import (
    ZERO,
    Taxed,
    TaxSum,
    cent,
    covering,
    deposit_of,
    money,
    tax_sums,
    tax_within,
    total,
)
from quotes.rates import Rates
from quotes.year.rate import price_at_margin


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """From cost to what the customer pays, and when.

    Attributes
    ----------
    cost, margin, net : Decimal
        Cost with the share of failures; what is added; their sum, before tax.
    taxes : tuple of TaxSum
        One for each rate, on the sum of the lines at that rate.
    whole, deposit, final : Taxed
        The price, the part paid before the work begins, and the rest.
    note : str
        What the paper has to say about tax.
    """

    cost: Decimal
    margin: Decimal
    net: Decimal
    taxes: tuple[TaxSum, ...]
    whole: Taxed
    deposit: Taxed
    final: Taxed
    note: str


def price_of(cost: Decimal, rates: Rates, sunk: Decimal = ZERO) -> Price:
    """Return the price at which a cost leaves the shop's margin, with tax and deposit.

    ``sunk`` is what is spent before flaws can show, for a shop whose deposit covers it.

    >>> from quotes.rates import shipped_rates
    >>> price = price_of(Decimal("100.00"), shipped_rates())
    >>> price.net, price.whole.gross
    (Decimal('117.65'), Decimal('140.00'))
    """
    if rates.tax is None:
        raise QuoteError(
            _("Say how the shop is taxed before it makes a price."), field="tax_regime"
        )
    asked = price_at_margin(cost, rates.share("margin"))
    net = money(asked, rates.currency)
    taxes = tax_sums([(net, rates.tax.charged)], rates.currency)
    tax = total(one.tax for one in taxes)
    whole = Taxed(net=net, tax=tax, gross=net + tax)
    deposit = usual_deposit(whole, rates, rates.tax.charged, sunk)
    return Price(
        cost=cost,
        margin=net - cost,
        net=net,
        taxes=taxes,
        whole=whole,
        deposit=deposit,
        final=whole - deposit,
        note=rates.tax.paper_note,
    )


def usual_deposit(whole: Taxed, rates: Rates, percent: Decimal, sunk: Decimal) -> Taxed:
    """Return the deposit on a total taxed at one rate, by the shop's rule.

    It is the shop's share, or what is ``sunk`` before flaws can show where that is
    more and the shop wants it covered.
    """
    currency = rates.currency
    deposit = deposit_of(whole, rates.value("deposit"), percent, currency)
    if not rates.deposit_covers:
        return deposit
    return covering(
        deposit, to_cover(sunk, currency), whole,
        lambda gross: tax_within(gross, percent, currency), currency,
    )  # fmt: skip


def to_cover(sunk: Decimal, currency: str) -> Decimal:
    """Return what is spent in whole smallest coins, none of it lost to rounding."""
    return sunk.quantize(cent(currency), rounding=ROUND_CEILING)
