"""What a quote costs, as a customer reads it: lines, sums, tax by rate, options.

Made of an offer, so that paper and page show the same table.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from billets.units import System
from billets.wording import said
from quotes.money import TaxSum
from quotes.offer.frozen import Offer, OfferLine, OfferOption
from quotes.offer.specification import balance_text
from quotes.wording import money_text, percent_text


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRow:
    """One line of a price; ``main`` is the sum that is paid."""

    label: str
    amount: str
    detail: str = ""
    main: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionRow:
    """One way to have it, beside the others; ``first`` is what is paid first for it."""

    label: str
    detail: str
    mass: str
    balance: str
    amount: str
    first: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceTable:
    """What a quote costs.

    Attributes
    ----------
    heading : str
        How the amounts of the lines are read.
    lines, sums : tuple of PriceRow
        What is offered, and what it adds up to with its tax by rate.
    options : tuple of OptionRow
        The ways to have it, each with the price of the whole quote.
    options_heading : str
        How those prices are read.
    """

    heading: str
    lines: tuple[PriceRow, ...]
    sums: tuple[PriceRow, ...]
    options: tuple[OptionRow, ...]
    options_heading: str


def price_table(offer: Offer, system: System = "metric") -> PriceTable:
    """Return what an offer costs, in the language that is spoken."""
    return PriceTable(
        heading=reading_text(offer),
        lines=tuple(_line(one, offer) for one in offer.lines),
        sums=_sums(offer),
        options=tuple(_option(one, offer, system) for one in offer.options),
        options_heading=_whole_text(offer),
    )


def reading_text(offer: Offer) -> str:
    """Say how the amounts of an offer are read."""
    if not offer.taxed:
        return _("Price")
    if offer.mode == "gross":
        return _("Price, tax included")
    return _("Price before tax")


def _whole_text(offer: Offer) -> str:
    if not offer.taxed:
        return _("Whole quote")
    if offer.mode == "gross":
        return _("Whole quote, tax included")
    return _("Whole quote before tax")


def _line(line: OfferLine, offer: Offer) -> PriceRow:
    label = f"{line.label}, {line.serial}" if line.serial else line.label
    if len(offer.taxes) > 1 and line.percent is not None:
        label = _("{label} (tax {rate})").format(
            label=label, rate=percent_text(line.percent)
        )
    return PriceRow(
        label=label,
        amount=money_text(line.amount, offer.currency),
        detail=line.detail,
    )


def _sums(offer: Offer) -> tuple[PriceRow, ...]:
    """Return the total as this customer reads it, with the tax of each rate."""
    if not offer.taxed:
        return (_sum(_("Total"), offer, offer.total, main=True),)
    whole = _sum(_("Total, tax included"), offer, offer.total, main=True)
    before = _sum(_("Total before tax"), offer, offer.net)
    taxes = tuple(_tax(one, offer) for one in offer.taxes)
    if offer.mode == "net":
        return (before, *taxes, whole)
    return (whole, *taxes)


def _sum(label: str, offer: Offer, amount: Decimal, *, main: bool = False) -> PriceRow:
    return PriceRow(label=label, amount=money_text(amount, offer.currency), main=main)


def _tax(one: TaxSum, offer: Offer) -> PriceRow:
    said_of = (
        _("of it tax, {rate} on {base}")
        if offer.mode == "gross"
        else _("tax, {rate} on {base}")
    )
    return PriceRow(
        label=said_of.format(
            rate=percent_text(one.percent), base=money_text(one.base, offer.currency)
        ),
        amount=money_text(one.tax, offer.currency),
    )


def _option(one: OfferOption, offer: Offer, system: System) -> OptionRow:
    return OptionRow(
        label=one.label,
        detail=one.detail,
        mass=_("about {mass}").format(mass=said(one.mass, "mass", system)),
        balance=balance_text(one.balance, system),
        amount=money_text(one.amount, offer.currency),
        first=money_text(one.deposit, offer.currency) if one.deposit else "",
    )
