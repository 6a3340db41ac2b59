"""The sums of a quote: what is read, what it is before tax, tax once per rate.

A customer who buys for a business reads amounts before tax, everybody else amounts
with tax in them. The tax of a rate is computed once, on the sum of its amounts: on
top of amounts read before tax, out of amounts read with it. So the amounts that are
read always add up to the total that is read.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Literal

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.money import (
    HUNDRED,
    ZERO,
    TaxSum,
    apportioned,
    cent,
    tax_on,
    tax_within,
    total,
)

Mode = Literal["gross", "net"]
Kind = Literal["line", "allowance", "charge"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """One amount of a quote as it is read.

    Attributes
    ----------
    kind : {"line", "allowance", "charge"}
        Something delivered, something taken off, the cost of sending or paying.
    amount : Decimal
        As read, in whole smallest units; an allowance is given above zero.
    percent : Decimal
        Its rate of tax [%].
    """

    kind: Kind
    amount: Decimal
    percent: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """An amount with both its sides; what is taken off stands below zero."""

    read: Decimal
    net: Decimal
    gross: Decimal
    percent: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """What amounts add up to; names in brackets are the terms of EN 16931.

    Attributes
    ----------
    shown : tuple of Shown
        The amounts in their order.
    lines, allowances, charges : Decimal
        Sums before tax (BT-106, BT-107, BT-108).
    net, tax, gross : Decimal
        Total before tax, the tax, total with tax (BT-109, BT-110, BT-112).
    taxes : tuple of TaxSum
        Base and tax by rate, highest rate first (BT-116, BT-117).
    read : Decimal
        The total in the customer's reading.
    """

    shown: tuple[Shown, ...]
    lines: Decimal
    allowances: Decimal
    charges: Decimal
    net: Decimal
    tax: Decimal
    gross: Decimal
    taxes: tuple[TaxSum, ...]
    read: Decimal


def sums(amounts: Sequence[Amount], mode: Mode, currency: str = "EUR") -> Sums:
    """Add up the amounts of a quote; QuoteError where more is taken off than is there.

    References
    ----------
    EN 16931, rules BR-CO-10 to BR-CO-17 of the open validation rules: sums of lines,
    allowances and charges before tax, tax once per rate.

    Examples
    --------
    >>> three = [Amount(kind="line", amount=Decimal("37.50"), percent=Decimal(19))] * 3
    >>> sums(three, "net").gross, sums(three, "gross").tax
    (Decimal('133.88'), Decimal('17.96'))
    """
    for one in amounts:
        _check(one, currency)
    shown: list[Shown | None] = [None] * len(amounts)
    taxes = []
    for percent in sorted({one.percent for one in amounts}, reverse=True):
        places = [at for at, one in enumerate(amounts) if one.percent == percent]
        read = [_signed(amounts[at]) for at in places]
        base, tax = _of_rate(total(read), percent, mode, currency)
        taxes.append(TaxSum(percent=percent, base=base, tax=tax))
        other = _other_side(read, percent, mode, base=base, tax=tax, currency=currency)
        for at, mine, theirs in zip(places, read, other, strict=True):
            net, gross = (theirs, mine) if mode == "gross" else (mine, theirs)
            shown[at] = Shown(read=mine, net=net, gross=gross, percent=percent)
    return _added(amounts, [one for one in shown if one], tuple(taxes), mode)


def _check(one: Amount, currency: str) -> None:
    if one.amount < 0 or one.amount != one.amount.quantize(cent(currency)):
        raise QuoteError(
            _("{amount} is no amount in {currency}: type whole smallest coins, from "
              "zero on."),
            field="amount", amount=str(one.amount), currency=currency,
        )  # fmt: skip


def _signed(one: Amount) -> Decimal:
    return -one.amount if one.kind == "allowance" else one.amount


def _of_rate(
    read: Decimal, percent: Decimal, mode: Mode, currency: str
) -> tuple[Decimal, Decimal]:
    """Return base and tax of all amounts at one rate."""
    if read < 0:
        raise QuoteError(
            _("More is taken off than there is to pay: make the discount smaller."),
            field="discount",
        )
    if mode == "net":
        return read, tax_on(read, percent, currency)
    tax = tax_within(read, percent, currency)
    return read - tax, tax


def _other_side(
    read: Sequence[Decimal], percent: Decimal, mode: Mode, *,
    base: Decimal, tax: Decimal, currency: str,
) -> list[Decimal]:  # fmt: skip
    """Return the amounts on the side that is not read, adding up to it to the cent."""
    grown = 1 + percent / HUNDRED
    if mode == "net":
        return apportioned([one * grown for one in read], base + tax, currency)
    return apportioned([one / grown for one in read], base, currency)


def _added(
    amounts: Sequence[Amount], shown: Sequence[Shown], taxes: tuple[TaxSum, ...],
    mode: Mode,
) -> Sums:  # fmt: skip
    net, tax = total(one.base for one in taxes), total(one.tax for one in taxes)
    kinds: dict[str, Decimal] = {"line": ZERO, "allowance": ZERO, "charge": ZERO}
    for one, seen in zip(amounts, shown, strict=True):
        kinds[one.kind] += seen.net
    return Sums(
        shown=tuple(shown),
        lines=kinds["line"],
        allowances=-kinds["allowance"],
        charges=kinds["charge"],
        net=net,
        tax=tax,
        gross=net + tax,
        taxes=taxes,
        read=net + tax if mode == "gross" else net,
    )


def rounded_up(amount: Decimal, step: Decimal) -> Decimal:
    """Return the next whole multiple of a step, or the amount where there is none.

    >>> rounded_up(Decimal("1746.18"), Decimal(10)), rounded_up(Decimal(20), Decimal(0))
    (Decimal('1750'), Decimal('20'))
    """
    if not step:
        return amount
    return (amount / step).to_integral_value(rounding=ROUND_CEILING) * step


def share_out(
    amounts: Iterable[Decimal], whole: Decimal, currency: str = "EUR"
) -> list[Decimal]:
    """Scale amounts so that they add up to another whole, to the cent.

    >>> share_out([Decimal(30), Decimal(60)], Decimal("100.00"))
    [Decimal('33.33'), Decimal('66.67')]
    """
    known = list(amounts)
    before = total(known)
    if not before:
        return apportioned([whole / len(known)] * len(known), whole, currency)
    return apportioned([one * whole / before for one in known], whole, currency)
