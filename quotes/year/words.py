"""The shop's hour in words and numbers, as its page shows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from billets.messages import sentence
from billets.units import System
from billets.wording import Figure
from quotes.errors import QuoteError
from quotes.money import HUNDRED, rounded
from quotes.rate_items import ITEM_OF
from quotes.wording import money_text, number_text, percent_text, rate_text
from quotes.year.book import Charged
from quotes.year.items import MACHINES
from quotes.year.sums import MOST_BILLABLE, MachineYear, Share, ShopYear

NOTHING = "–"
AMOUNTS = frozenset({"taken", "whole"})
"""Placeholders of refusals that are amounts of money."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareRow:
    """One cost and where it went, as the page shows it."""

    label: str
    year: str
    hour: str
    machine: str
    own: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineRow:
    """What an hour or a firing of a machine costs, by cause."""

    label: str
    use: str
    depreciation: str
    interest: str
    space: str
    upkeep: str
    rate: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RateRow:
    """A rate of quotes as it would be and as it is."""

    label: str
    new: str
    now: str
    difference: str


def refusal_words(error: QuoteError, currency: str, system: System) -> str:
    """Return the sentence of a refusal, its amounts with their currency."""
    values = {
        name: money_text(value, currency)
        if name in AMOUNTS and isinstance(value, Decimal)
        else value
        for name, value in error.values.items()
    }
    return sentence(QuoteError(error.message, field=error.field, **values), system)


# --- the hour ----------------------------------------------------------------------


def hour_figure(year: ShopYear, currency: str) -> Figure:
    """Return what an hour at the bench must bring in, and how it is made."""
    made = _(
        "{costs} a year, divided by {hours} h that customers pay: {weeks} weeks of "
        "{week} h, {share} of them."
    ).format(
        costs=money_text(year.whole.hour, currency),
        hours=number_text(rounded(year.hours, 2).normalize()),
        weeks=number_text(year.weeks.normalize()),
        week=number_text(year.week_hours.normalize()),
        share=percent_text(year.billable),
    )
    return Figure.of(
        _("An hour at the bench must bring in"),
        money_text(year.rate, currency),
        source=made,
    )


def charged_figures(found: Charged | None, currency: str) -> list[Figure]:
    """Return what a customer pays for the hour, before tax and with it."""
    if found is None:
        return []
    net = Figure.of(
        _("With the margin, before tax"),
        money_text(found.price.net, currency),
        source=_("{share} of it is margin.").format(share=percent_text(found.margin)),
    )
    return [net, _with_tax(found, currency)]


def _with_tax(found: Charged, currency: str) -> Figure:
    if found.tax_percent is None:
        said = _("How the shop is taxed is not entered yet; this is without tax.")
    elif not found.tax_percent:
        said = _("The shop charges no tax; check with your adviser.")
    else:
        said = _("{tax} of it tax, {rate} of the net; check with your adviser.").format(
            tax=money_text(found.price.tax, currency),
            rate=percent_text(found.tax_percent),
        )
    return Figure.of(
        _("As a consumer pays it"), money_text(found.price.gross, currency), source=said
    )


def warnings(year: ShopYear) -> list[str]:
    """Return what to look at twice."""
    if year.billable <= MOST_BILLABLE:
        return []
    return [
        _(
            "You count on customers paying {share} of your hours. A shop of one person "
            "rarely sells more than two thirds: mail, quoting, books, cleaning and "
            "errands take the rest. With too many hours here every price is too low."
        ).format(share=percent_text(year.billable))
    ]


# --- tables ------------------------------------------------------------------------


def share_rows(year: ShopYear, currency: str) -> list[ShareRow]:
    """Return every cost and where it went."""
    return [_share_row(one, currency) for one in year.shares]


def sum_row(year: ShopYear, currency: str) -> ShareRow:
    """Return what the columns add up to."""
    return _share_row(year.whole, currency)


def _share_row(one: Share, currency: str) -> ShareRow:
    hour, machine, own = (
        money_text(part, currency) if part else NOTHING
        for part in (one.hour, one.machine, one.own)
    )
    return ShareRow(
        label=_(one.label), year=money_text(one.year, currency), hour=hour,
        machine=machine, own=own,
    )  # fmt: skip


def machine_rows(year: ShopYear, currency: str) -> list[MachineRow]:
    """Return what each machine's hour is made of."""
    return [_machine_row(one, currency) for one in year.machines]


def _machine_row(one: MachineYear, currency: str) -> MachineRow:
    hour = one.hour
    depreciation, interest, space, upkeep, rate = (
        money_text(cause, currency)
        for cause in (
            hour.depreciation, hour.interest, hour.space, hour.upkeep, hour.rate,
        )
    )  # fmt: skip
    return MachineRow(
        label=_(MACHINES[one.key]), use=_use_words(one), depreciation=depreciation,
        interest=interest, space=space, upkeep=upkeep, rate=rate,
    )  # fmt: skip


def _use_words(one: MachineYear) -> str:
    number = number_text(one.use.normalize())
    if one.key == "kiln":
        return _("a firing, of {count} a year").format(count=number)
    return _("an hour, of {count} a year").format(count=number)


def rate_rows(
    year: ShopYear, values: Mapping[str, Decimal], currency: str
) -> list[RateRow]:
    """Return each rate of quotes as the year makes it beside the one in force."""
    return [
        _rate_row(key, new, values.get(key), currency)
        for key, new in year.rates.items()
    ]


def _rate_row(key: str, new: Decimal, now: Decimal | None, currency: str) -> RateRow:
    item = ITEM_OF[key]
    return RateRow(
        label=_("{rate}, {unit}").format(rate=_(item.label), unit=_(item.unit)),
        new=money_text(new, currency),
        now=NOTHING if now is None else rate_text(now, currency),
        difference=NOTHING if now is None else _difference(new - now, now, currency),
    )


def _difference(more: Decimal, now: Decimal, currency: str) -> str:
    if not more:
        return _("the same")
    sign = "+" if more > 0 else "−"
    said = f"{sign}{rate_text(abs(more), currency)}"
    if not now:
        return said
    part = rounded(abs(more) / now * HUNDRED, 1)
    return f"{said} ({sign}{percent_text(part)})"
