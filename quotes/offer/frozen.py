"""What a quote says in numbers and words: into its rows, and back out of them.

An offer is made once; the paper is printed from it and the rows are written from it.
Pages, JSON and CSV read it back from the rows, so none of them computes anything.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Literal, cast

from quotes.models import Quote, QuoteLine, QuoteOption
from quotes.money import TaxSum
from quotes.sums import Mode

LineKind = Literal["knife", "extra", "charge", "discount"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferLine:
    """One line a customer reads.

    Attributes
    ----------
    label, detail : str
        What it is; of a knife its specification in words.
    amount : Decimal
        As the customer reads it; what is taken off stands below zero.
    kind : {"knife", "extra", "charge", "discount"}
        What kind of line.
    key, serial : str
        Which extra, and which knife.
    net, gross, percent : Decimal or None
        Both sides of the amount and its rate of tax; quotes issued before these were
        kept have none.
    """

    label: str
    detail: str
    amount: Decimal
    kind: LineKind = "knife"
    key: str = ""
    serial: str = ""
    net: Decimal | None = None
    gross: Decimal | None = None
    percent: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferOption:
    """One of several ways to have it; the first is as the lines say.

    Attributes
    ----------
    label, detail : str
        Its name, and what is different in words.
    serial, values
        Which knife, and its columns that differ.
    mass, balance : float
        Of that knife [kg, m].
    amount : Decimal
        The whole quote with it, as the customer reads it.
    net, tax, total, deposit : Decimal
        The same with both sides, and what is paid first.
    """

    label: str
    detail: str
    serial: str
    values: Mapping[str, Any]
    mass: float
    balance: float
    amount: Decimal
    net: Decimal
    tax: Decimal
    total: Decimal
    deposit: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """All a quote says; made once, printed and frozen from the same.

    Attributes
    ----------
    revision, issued_at, valid_until
        Which one it is, of when, and its last day.
    kind : {"fixed", "estimate", ""}
        Whether the price binds; one that does not say cannot be issued.
    mode : {"gross", "net"}
        How the customer reads amounts.
    regime, currency : str
        How it is taxed, and in what it is paid.
    net, tax_rate, tax, total : Decimal
        Total before tax, the rate of its knives, the tax, total with tax.
    taxes : tuple of TaxSum
        Base and tax by rate.
    deposit : Decimal
        What is paid first, its tax in it.
    lines, options
        What is offered, and the ways to have it; one way only has none.
    changes : tuple of str
        What is different from the revision before.
    words : mapping
        What it says of each knife, by key, so that the next revision can tell what
        has changed.
    """

    revision: int
    issued_at: dt.datetime
    valid_until: dt.date
    kind: str
    mode: Mode
    regime: str
    currency: str
    net: Decimal
    tax_rate: Decimal
    tax: Decimal
    total: Decimal
    taxes: tuple[TaxSum, ...]
    deposit: Decimal
    lines: tuple[OfferLine, ...]
    options: tuple[OfferOption, ...] = ()
    changes: tuple[str, ...] = ()
    words: Mapping[str, Any] = field(default_factory=dict)

    @property
    def read(self) -> Decimal:
        """The total in the customer's reading."""
        return self.total if self.mode == "gross" else self.net

    @property
    def taxed(self) -> bool:
        """Whether any of it is taxed."""
        return any(one.percent for one in self.taxes)


# --- into rows --------------------------------------------------------------------

SAME_NAMES = (
    "revision", "issued_at", "valid_until", "kind", "mode", "regime", "currency",
    "net", "tax_rate", "tax", "total", "deposit",
)  # fmt: skip
"""Columns of a quote that are its offer's fields."""


def quote_row(offer: Offer, **more: Any) -> Quote:
    """Return the row of a quote, not saved yet."""
    values = {name: getattr(offer, name) for name in SAME_NAMES}
    taxes = [
        {"percent": str(one.percent), "base": str(one.base), "tax": str(one.tax)}
        for one in offer.taxes
    ]
    return Quote(**values, taxes=taxes, changes=list(offer.changes), **more)


def line_rows(quote: Quote, offer: Offer) -> list[QuoteLine]:
    """Return the rows of a quote's lines, not saved yet."""
    names = ("kind", "serial", "label", "detail", "amount", "net", "gross", "percent")
    return [
        QuoteLine(
            quote=quote, position=place, **{name: getattr(one, name) for name in names}
        )
        for place, one in enumerate(offer.lines, start=1)
    ]


def option_rows(quote: Quote, offer: Offer) -> list[QuoteOption]:
    """Return the rows of a quote's options, not saved yet."""
    names = ("label", "detail", "serial", "mass", "balance", "amount", "net", "tax",
             "total", "deposit")  # fmt: skip
    return [
        QuoteOption(
            quote=quote, position=place, values=dict(one.values),
            **{name: getattr(one, name) for name in names},
        )
        for place, one in enumerate(offer.options, start=1)
    ]  # fmt: skip


# --- and back ---------------------------------------------------------------------


def kept_offer(quote: Quote) -> Offer:
    """Return what a quote said, from its rows alone."""
    values: dict[str, Any] = {name: getattr(quote, name) for name in SAME_NAMES}
    return Offer(
        **values,
        taxes=_taxes(quote),
        lines=tuple(_line(row) for row in quote.lines.all()),
        options=tuple(_option(row) for row in quote.options.all()),
        changes=tuple(quote.changes),
        words=quote.basis.get("words", {}),
    )


def _taxes(quote: Quote) -> tuple[TaxSum, ...]:
    """Return tax by rate; quotes issued before it was kept so had one rate only."""
    if not quote.taxes:
        only = TaxSum(percent=quote.tax_rate, base=quote.net, tax=quote.tax)
        return (only,)
    return tuple(
        TaxSum(**{name: Decimal(one[name]) for name in ("percent", "base", "tax")})
        for one in quote.taxes
    )


def _line(row: QuoteLine) -> OfferLine:
    return OfferLine(
        label=row.label, detail=row.detail, amount=row.amount,
        kind=cast("LineKind", row.kind), serial=row.serial,
        net=row.net, gross=row.gross, percent=row.percent,
    )  # fmt: skip


def _option(row: QuoteOption) -> OfferOption:
    names = ("label", "detail", "serial", "values", "mass", "balance", "amount", "net",
             "tax", "total", "deposit")  # fmt: skip
    return OfferOption(**{name: getattr(row, name) for name in names})
