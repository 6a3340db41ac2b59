"""Money: Decimal only, halves up, every line rounded and rounded lines added.

Physics never sees a Decimal and money never sees a float: ``quantity`` is the only
door between them. Nothing here reads text; that is the business of the forms.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from types import MappingProxyType

from billets.physics import Number
from billets.physics.errors import _
from quotes.errors import QuoteError

ZERO = Decimal(0)
HUNDRED = Decimal(100)

EXPONENTS: Mapping[str, int] = MappingProxyType(
    {
        **dict.fromkeys(("CLP", "ISK", "JPY"), 0),
        **dict.fromkeys(("AUD", "CAD", "CHF", "CZK", "DKK", "EUR", "GBP"), 2),
        **dict.fromkeys(("HUF", "NOK", "NZD", "PLN", "SEK", "USD"), 2),
        **dict.fromkeys(("BHD", "KWD", "TND"), 3),
    }
)
"""Decimal places of a currency's smallest unit (ISO 4217)."""


def cent(currency: str) -> Decimal:
    """Return the smallest unit of a currency.

    >>> cent("EUR"), cent("JPY"), cent("KWD")
    (Decimal('0.01'), Decimal('1'), Decimal('0.001'))
    """
    if currency not in EXPONENTS:
        raise QuoteError(
            _("The currency {currency} is not known; choose one of {known}."),
            field="currency",
            currency=currency,
            known=", ".join(sorted(EXPONENTS)),
        )
    return Decimal(1).scaleb(-EXPONENTS[currency])


def money(amount: Decimal, currency: str = "EUR") -> Decimal:
    """Round to the smallest unit of the currency, halves up, the way a bill is read.

    >>> money(Decimal("2.675")), money(Decimal("2.665"))
    (Decimal('2.68'), Decimal('2.67'))
    >>> money(Decimal("1250.5"), "JPY"), money(Decimal("2.0005"), "KWD")
    (Decimal('1251'), Decimal('2.001'))
    """
    return amount.quantize(cent(currency), rounding=ROUND_HALF_UP)


def quantity(value: Number, places: int = 3) -> Decimal:
    """Bring a physical value into money's world, once; a sampled one is refused.

    Parameters
    ----------
    value : float or array (draws,)
        A mass, a time, a count, in whatever unit its price is in [unit of the price].
    places : int
        Decimal places kept [1].

    Returns
    -------
    Decimal
        The value, halves up [unit of the price].

    Examples
    --------
    >>> quantity(0.4580000000000001), quantity(21.83333333, places=4)
    (Decimal('0.458'), Decimal('21.8333'))
    """
    return rounded(Decimal(str(float(value))), places)


def rounded(value: Decimal, places: int) -> Decimal:
    """Round a quantity to so many decimal places, halves up.

    >>> rounded(Decimal("0.0005"), 3)
    Decimal('0.001')
    """
    return value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def total(amounts: Iterable[Decimal]) -> Decimal:
    """Add amounts that have been rounded before.

    >>> total([Decimal("8.24"), Decimal("22.00"), Decimal("15.30")])
    Decimal('45.54')
    """
    return sum(amounts, ZERO)


def tax_on(net: Decimal, percent: Decimal, currency: str = "EUR") -> Decimal:
    """Return the tax on a net amount.

    >>> tax_on(Decimal("37.50"), Decimal(19))
    Decimal('7.13')
    """
    return money(net * percent / HUNDRED, currency)


def tax_within(gross: Decimal, percent: Decimal, currency: str = "EUR") -> Decimal:
    """Return the tax that a gross amount holds.

    >>> tax_within(Decimal("890.00"), Decimal(19))
    Decimal('142.10')
    """
    return money(gross * percent / (HUNDRED + percent), currency)


@dataclass(frozen=True, slots=True, kw_only=True)
class Taxed:
    """An amount with its tax; net and tax add up to the gross to the cent."""

    net: Decimal
    tax: Decimal
    gross: Decimal

    def __sub__(self, other: Taxed) -> Taxed:
        """Return what is left after a part; its tax is taken off with it."""
        return Taxed(
            net=self.net - other.net,
            tax=self.tax - other.tax,
            gross=self.gross - other.gross,
        )


def from_net(net: Decimal, percent: Decimal, currency: str = "EUR") -> Taxed:
    """Add tax to a net amount.

    >>> from_net(Decimal("1467.38"), Decimal(19)).gross
    Decimal('1746.18')
    """
    tax = tax_on(net, percent, currency)
    return Taxed(net=net, tax=tax, gross=net + tax)


def from_gross(gross: Decimal, percent: Decimal, currency: str = "EUR") -> Taxed:
    """Take the tax out of a gross amount.

    >>> from_gross(Decimal("890.00"), Decimal(19)).net
    Decimal('747.90')
    """
    tax = tax_within(gross, percent, currency)
    return Taxed(net=gross - tax, tax=tax, gross=gross)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxSum:
    """The tax at one rate: on the sum of all lines at that rate, once."""

    percent: Decimal
    base: Decimal
    tax: Decimal


def tax_sums(
    lines: Iterable[tuple[Decimal, Decimal]], currency: str = "EUR"
) -> tuple[TaxSum, ...]:
    """Return the tax per rate of lines of (net amount, percent), highest rate first.

    >>> [str(one.tax) for one in tax_sums([(Decimal("37.50"), Decimal(19))] * 3)]
    ['21.38']
    """
    bases: dict[Decimal, Decimal] = {}
    for net, percent in lines:
        bases[percent] = bases.get(percent, ZERO) + net
    return tuple(
        TaxSum(percent=percent, base=base, tax=tax_on(base, percent, currency))
        for percent, base in sorted(bases.items(), reverse=True)
    )


def deposit_of(
    whole: Taxed, share_percent: Decimal, tax_percent: Decimal, currency: str = "EUR"
) -> Taxed:
    """Return the deposit on a price: a share of the gross, with the tax it holds.

    ``whole - deposit_of(whole, ...)`` is what the final invoice asks for; the taxes
    of both add up to the tax of the whole.

    >>> whole = from_net(Decimal("1467.38"), Decimal(19))
    >>> deposit = deposit_of(whole, Decimal(30), Decimal(19))
    >>> deposit.gross, deposit.tax, (whole - deposit).gross
    (Decimal('523.85'), Decimal('83.64'), Decimal('1222.33'))
    """
    gross = money(whole.gross * share_percent / HUNDRED, currency)
    return from_gross(gross, tax_percent, currency)


def covering(
    deposit: Taxed,
    spent: Decimal,
    whole: Taxed,
    tax_of: Callable[[Decimal], Decimal],
    currency: str = "EUR",
) -> Taxed:
    """Return a deposit raised until it covers what is spent, never above the whole.

    ``spent`` is before tax, and so is what has to cover it; ``tax_of`` says what tax
    an amount paid holds.

    >>> whole = from_net(Decimal("100.00"), Decimal(20))
    >>> low = deposit_of(whole, Decimal(30), Decimal(20))
    >>> tax_of = lambda gross: tax_within(gross, Decimal(20))
    >>> covering(low, Decimal("45.00"), whole, tax_of).gross
    Decimal('54.00')
    >>> covering(low, Decimal("20.00"), whole, tax_of) == low
    True
    """
    if deposit.net >= spent:
        return deposit
    if spent >= whole.net:
        return whole
    unit = cent(currency)
    exact = spent * whole.gross / whole.net
    gross = exact.quantize(unit, rounding=ROUND_FLOOR)
    while gross - tax_of(gross) < spent:
        gross += unit
    if gross >= whole.gross:
        return whole
    return Taxed(net=gross - tax_of(gross), tax=tax_of(gross), gross=gross)


def apportioned(
    exact: Sequence[Decimal], whole: Decimal, currency: str = "EUR"
) -> list[Decimal]:
    """Round amounts so that they add up to a whole near their sum.

    All are rounded down; the smallest coins left over go to those that lost most by
    it, of equal losers to the first.

    >>> third = Decimal(100) / 3
    >>> [str(one) for one in apportioned([third, third, third], Decimal("100.00"))]
    ['33.34', '33.33', '33.33']
    """
    unit = cent(currency)
    parts = [one.quantize(unit, rounding=ROUND_FLOOR) for one in exact]
    left = int((whole - total(parts)) / unit)
    losers = sorted(range(len(parts)), key=lambda at: parts[at] - exact[at])
    for turn in range(left):
        parts[losers[turn % len(parts)]] += unit
    return parts


def split(
    amount: Decimal, weights: Sequence[Decimal], currency: str = "EUR"
) -> tuple[Decimal, ...]:
    """Share an amount out by weight, so that the parts add up to it to the cent.

    >>> split(Decimal("100.00"), [Decimal(1)] * 3)
    (Decimal('33.34'), Decimal('33.33'), Decimal('33.33'))
    """
    whole = total(weights)
    if whole <= 0 or min(weights) < 0:
        raise QuoteError(
            _("An amount can only be shared out by weights above zero."), field="needed"
        )
    exact = [amount * weight / whole for weight in weights]
    return tuple(apportioned(exact, amount, currency))
