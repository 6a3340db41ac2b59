"""The sums of an invoice: lines and tax by rate, advances, what is left, its opposite.

Names in brackets are the terms of EN 16931. Amounts of a bill are signed: what is
taken off stands below zero, and so does everything on a cancelling document.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.money import ZERO, Taxed, money, split, tax_within, total
from quotes.rates import REGIMES
from quotes.sums import Amount, Mode, sums

ONE = Decimal(1)
UNTAXED = {"small": "E", "export": "G"}
"""Categories of tax of what is not taxed (UNTDID 5305): exempt; export, free of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One amount as the customer reads it, with the words that go with it."""

    label: str
    amount: Amount
    detail: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BillLine:
    """One line (BG-25), allowance (BG-20) or charge (BG-21).

    Attributes
    ----------
    kind : {"line", "allowance", "charge"}
        What it is.
    label, detail : str
        In words (BT-153 and BT-154; BT-97 or BT-104).
    net : Decimal
        Before tax (BT-131, BT-92, BT-99), an allowance below zero.
    percent, category
        Its tax (BT-152 and BT-151; BT-96 and BT-95; BT-103 and BT-102).
    quantity : Decimal
        How many (BT-129); below zero on a cancelling document.
    """

    kind: str
    label: str
    detail: str
    net: Decimal
    percent: Decimal
    category: str
    quantity: Decimal = ONE


@dataclass(frozen=True, slots=True, kw_only=True)
class RateSum:
    """Everything at one rate of tax (BG-23: BT-119, BT-118, BT-116, BT-117)."""

    percent: Decimal
    category: str
    base: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        """Base and tax together."""
        return self.base + self.tax


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """Lines, tax by rate, and what has been paid before (BT-113).

    Examples
    --------
    >>> knife = Amount(kind="line", amount=Decimal("890.00"), percent=Decimal(19))
    >>> bill = billed([Asked(label="Knife", amount=knife)], "gross", "standard")
    >>> bill.net, bill.tax, bill.gross
    (Decimal('747.90'), Decimal('142.10'), Decimal('890.00'))
    """

    lines: tuple[BillLine, ...]
    taxes: tuple[RateSum, ...]
    paid: Decimal = ZERO

    def of_kind(self, kind: str) -> tuple[BillLine, ...]:
        """Return the lines of one kind."""
        return tuple(one for one in self.lines if one.kind == kind)

    @property
    def lines_net(self) -> Decimal:
        """Sum of the lines (BT-106)."""
        return total(one.net for one in self.of_kind("line"))

    @property
    def allowances(self) -> Decimal:
        """Sum of what is taken off, above zero (BT-107)."""
        return -total(one.net for one in self.of_kind("allowance"))

    @property
    def charges(self) -> Decimal:
        """Sum of sending and fees (BT-108)."""
        return total(one.net for one in self.of_kind("charge"))

    @property
    def net(self) -> Decimal:
        """Total before tax (BT-109)."""
        return self.lines_net - self.allowances + self.charges

    @property
    def tax(self) -> Decimal:
        """All tax (BT-110)."""
        return total(one.tax for one in self.taxes)

    @property
    def gross(self) -> Decimal:
        """Total with tax (BT-112)."""
        return self.net + self.tax

    @property
    def due(self) -> Decimal:
        """What is still to pay (BT-115)."""
        return self.gross - self.paid

    @property
    def whole(self) -> Taxed:
        """The three totals together."""
        return Taxed(net=self.net, tax=self.tax, gross=self.gross)


def category_of(percent: Decimal, regime: str) -> str:
    """Return the category of tax of a rate: S taxed, Z at nothing, E exempt, G export.

    >>> [category_of(Decimal(rate), "standard") for rate in (19, 0)]
    ['S', 'Z']
    """
    if regime not in REGIMES:
        raise QuoteError(
            _("The tax regime {regime} is not known; choose one of the list."),
            field="tax_regime", regime=regime,
        )  # fmt: skip
    return UNTAXED.get(regime) or ("S" if percent else "Z")


def billed(
    asked: Sequence[Asked], mode: Mode, regime: str, currency: str = "EUR"
) -> Bill:
    """Return the bill over amounts as they are read; QuoteError if there are none."""
    if not asked:
        raise QuoteError(
            _("There is nothing to bill: every knife of this order was cancelled."),
            field="order",
        )
    added = sums([one.amount for one in asked], mode, currency)
    lines = tuple(
        BillLine(
            kind=one.amount.kind, label=one.label, detail=one.detail,
            net=money(shown.net, currency), percent=shown.percent,
            category=category_of(shown.percent, regime),
        )
        for one, shown in zip(asked, added.shown, strict=True)
    )  # fmt: skip
    taxes = tuple(
        RateSum(
            percent=one.percent, category=category_of(one.percent, regime),
            base=money(one.base, currency), tax=money(one.tax, currency),
        )
        for one in added.taxes
    )  # fmt: skip
    return Bill(lines=lines, taxes=taxes)


# --- advances ---------------------------------------------------------------------


def left_over(
    whole: Iterable[RateSum], taken: Iterable[RateSum]
) -> tuple[RateSum, ...]:
    """Return what is left of each rate when parts at the same rate are taken off."""
    off = list(taken)
    return tuple(
        replace(
            one,
            base=one.base - total(x.base for x in off if x.percent == one.percent),
            tax=one.tax - total(x.tax for x in off if x.percent == one.percent),
        )
        for one in whole
    )


def advance_bill(
    whole: Bill, before: Sequence[RateSum], gross: Decimal, *, label: str,
    currency: str = "EUR",
) -> Bill:  # fmt: skip
    """Return the bill over an advance that has been paid, with the tax it holds.

    Shared out over the rates by what is left at each. Base and tax of a rate never
    exceed what is left of them, so that an advance over all that is left takes all of
    it, and taxes of advances and final invoice add up to the tax of the whole.

    Parameters
    ----------
    whole : Bill
        Everything that is delivered.
    before : sequence of RateSum
        Advances billed already, rate by rate.
    gross : Decimal
        What was paid.
    label : str
        What its lines are called; each says what at its rate is to be delivered.
    currency : str
        ISO 4217 code.
    """
    left = whole.gross - total(one.gross for one in before)
    if not 0 < gross <= left:
        raise QuoteError(
            _("A payment of {amount} is no advance where {left} is left to bill: the "
              "final invoice counts it."), field="payment", amount=gross, left=left,
        )  # fmt: skip
    rates = left_over(whole.taxes, before)
    shares = split(gross, [max(one.gross, ZERO) for one in rates], currency)
    taxes = tuple(
        _part(one, money(share, currency), currency)
        for one, share in zip(rates, shares, strict=True)
        if share
    )
    lines = tuple(
        BillLine(kind="line", label=label, detail=_to_come(whole, one.percent),
                 net=one.base, percent=one.percent, category=one.category)
        for one in taxes
    )  # fmt: skip
    return Bill(lines=lines, taxes=taxes, paid=total(one.gross for one in taxes))


def _to_come(whole: Bill, percent: Decimal) -> str:
    """Say what is delivered at a rate of tax, one thing a line."""
    things = (one for one in whole.lines if one.percent == percent)
    return "\n".join(_in_a_line(one) for one in things if one.kind != "allowance")


def _in_a_line(one: BillLine) -> str:
    detail = "; ".join(one.detail.splitlines())
    return f"{one.label}: {detail}" if detail else one.label


def _part(left: RateSum, gross: Decimal, currency: str) -> RateSum:
    """Return a part of what is left at a rate, given with its tax."""
    exact = tax_within(gross, left.percent, currency)
    tax = min(max(exact, gross - left.base), left.tax)
    return replace(left, base=gross - tax, tax=tax)


def rest_of(whole: Bill, advances: Iterable[Taxed]) -> Taxed:
    """Return what a final invoice still asks for: the whole less advances and tax.

    >>> net = Amount(kind="line", amount=Decimal(10000), percent=Decimal(19))
    >>> whole = billed([Asked(label="Knives", amount=net)], "net", "standard")
    >>> one = Taxed(net=Decimal(2500), tax=Decimal(475), gross=Decimal(2975))
    >>> str(rest_of(whole, [one, one]).gross)
    '5950.00'
    """
    rest = whole.whole
    for one in advances:
        rest -= one
    return rest


def opposite(bill: Bill) -> Bill:
    """Return the bill that takes another one back, line by line."""
    return Bill(
        lines=tuple(
            replace(one, net=-one.net, quantity=-one.quantity) for one in bill.lines
        ),
        taxes=tuple(replace(one, base=-one.base, tax=-one.tax) for one in bill.taxes),
        paid=-bill.paid,
    )
