"""Money, quantities and hours in words, in the language of whoever reads them."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from babel.dates import format_date
from babel.numbers import format_currency
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from billets.messages import spoken
from billets.units import QUARTER, local_number, locale_of
from quotes.costing import CostLine
from quotes.hours import HoursEstimate
from quotes.money import rounded, total
from shop.learning import CALIBRATED
from shop.work import BILLET

GROUPS: Mapping[str, str | Promise] = MappingProxyType(
    {
        "material": gettext_lazy("Steel and handle"),
        "energy": gettext_lazy("Gas and electricity"),
        "consumable": gettext_lazy("Used up"),
        "labour": gettext_lazy("Hours at the bench"),
        "machine": gettext_lazy("Machines, without their energy"),
    }
)
"""Names of the groups of cost, in the order of the page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRow:
    """One line of cost as a page shows it."""

    label: str
    quantity: str
    rate: str
    amount: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CostGroup:
    """The lines of one group and what they add up to."""

    label: str
    rows: tuple[CostRow, ...]
    subtotal: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursRow:
    """Attended hours of one row, to the quarter hour, with their band and origin."""

    label: str
    hours: str
    p80: str
    band: str
    source: str


MINUS = "\u2212"

# --- amounts ---------------------------------------------------------------------


def money_text(amount: Decimal, currency: str) -> str:
    """Write an amount with the places and the sign of its currency."""
    return _apart(format_currency(amount, currency, locale=locale_of(spoken())))


def rate_text(rate: Decimal, currency: str) -> str:
    """Write a rate with all its places, so that it can be multiplied by hand."""
    written = format_currency(
        rate.normalize(), currency, locale=locale_of(spoken()),
        decimal_quantization=False,
    )  # fmt: skip
    return _apart(written)


def _apart(written: str) -> str:
    """Put a space between letters that stand for a currency and the number (CLDR).

    A minus is the true sign, as in all other numbers.
    """
    return re.sub(r"(?<=[A-Z])(?=\d)", "\u00a0", written).replace("-", MINUS)


def number_text(number: Decimal) -> str:
    """Write a number with the places it has."""
    return local_number(number, spoken(), places=max(0, -_exponent(number)))


def percent_text(percent: Decimal) -> str:
    """Write per cents without idle zeros."""
    return f"{local_number(percent.normalize(), spoken())}\u00a0%"


def _exponent(number: Decimal) -> int:
    exponent = number.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def long_day(day: dt.date) -> str:
    """Write a day in full: 2 March 2026."""
    return format_date(day, "long", locale=locale_of(spoken()))


# --- cost ------------------------------------------------------------------------


def cost_groups(lines: Sequence[CostLine], currency: str) -> list[CostGroup]:
    """Return the lines of cost by group, with what each group adds up to."""
    groups = []
    for key, label in GROUPS.items():
        own = [line for line in lines if line.group == key]
        if own:
            groups.append(
                CostGroup(
                    label=str(label),
                    rows=tuple(_cost_row(line, currency) for line in own),
                    subtotal=money_text(total(one.amount for one in own), currency),
                )
            )
    return groups


def _cost_row(line: CostLine, currency: str) -> CostRow:
    label = _(line.label)
    unit = f"\u00a0{_(line.unit)}" if line.unit else ""
    return CostRow(
        label=f"{label}: {line.subject}" if line.subject else label,
        quantity=number_text(line.quantity.normalize()) + unit,
        rate=rate_text(line.rate, currency),
        amount=money_text(line.amount, currency),
    )


def risk_sentence(one_in: Decimal | None) -> str:
    """Say what the line of failures means."""
    if one_in is None:
        return _("No stage is expected to fail, so this adds nothing.")
    return _(
        "One knife in about {count} has to be started again or repaired; this is its "
        "share."
    ).format(count=number_text(rounded(one_in, 0)))


def hours_rows(hours: Iterable[HoursEstimate]) -> list[HoursRow]:
    """Return attended hours by row; the last one is their sum."""
    return [
        HoursRow(
            label=_(one.label),
            hours=quarters_text(one.expected),
            p80="–" if one.p80 is None else quarters_text(one.p80),
            band=_("{low} to {high}").format(
                low=_quarters(one.low), high=quarters_text(one.high)
            ),
            source="" if one.row == "all" else learned_from(one.row, one.count),
        )
        for one in hours
    ]


def learned_from(row: str, count: int) -> str:
    """Say from how many knives, or billets, hours are, and whether that is enough."""
    if not count:
        return _told(row)
    if row == BILLET:
        said = ngettext("from {count} billet", "from {count} billets", count)
    else:
        said = ngettext("from {count} knife", "from {count} knives", count)
    if count < CALIBRATED:
        said = _("{source}: still uncalibrated").format(source=said)
    return said.format(count=count)


def learned_sentence(hours: Iterable[HoursEstimate]) -> str:
    """Say which hours were learned, and from how many knives."""
    known = [one for one in hours if one.count]
    if not known:
        return _("No hours have been learned from finished knives: uncalibrated.")
    said = (f"{_(one.label)} {learned_from(one.row, one.count)}" for one in known)
    return _("Learned hours: {rows}.").format(rows="; ".join(said))


def _told(row: str) -> str:
    if row == BILLET:
        return _("from the plan: uncalibrated")
    return _("from your three points: uncalibrated")


def quarters_text(hours: Decimal) -> str:
    """Write hours to the quarter."""
    return f"{_quarters(hours)}\u00a0h"


def _quarters(hours: Decimal) -> str:
    quarters = rounded(hours / QUARTER, 0) * QUARTER
    return local_number(quarters.normalize(), spoken())
