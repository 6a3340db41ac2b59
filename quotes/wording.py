"""Money, quantities and hours in words, in the language of whoever reads them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from babel.numbers import format_currency
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.messages import spoken
from billets.units import QUARTER, local_number, locale_of
from quotes.costing import CostLine
from quotes.hours import HoursEstimate
from quotes.money import rounded, total

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
    """Attended hours of one row, to the quarter hour, with their band."""

    label: str
    hours: str
    band: str


# --- amounts ---------------------------------------------------------------------


def money_text(amount: Decimal, currency: str) -> str:
    """Write an amount with the places and the sign of its currency."""
    return format_currency(amount, currency, locale=locale_of(spoken()))


def rate_text(rate: Decimal, currency: str) -> str:
    """Write a rate with all its places, so that it can be multiplied by hand."""
    return format_currency(
        rate.normalize(), currency, locale=locale_of(spoken()),
        decimal_quantization=False,
    )  # fmt: skip


def number_text(number: Decimal) -> str:
    """Write a number with the places it has."""
    return local_number(number, spoken(), places=max(0, -_exponent(number)))


def percent_text(percent: Decimal) -> str:
    """Write per cents without idle zeros."""
    return f"{local_number(percent.normalize(), spoken())}\u00a0%"


def _exponent(number: Decimal) -> int:
    exponent = number.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


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
            hours=f"{_quarters(one.expected)}\u00a0h",
            band=_("{low} to {high}").format(
                low=_quarters(one.low), high=f"{_quarters(one.high)}\u00a0h"
            ),
        )
        for one in hours
    ]


def _quarters(hours: Decimal) -> str:
    quarters = rounded(hours / QUARTER, 0) * QUARTER
    return local_number(quarters.normalize(), spoken())
