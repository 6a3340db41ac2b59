"""What became of an order, line by line, row by row, weight by weight."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from billets.messages import spoken
from billets.units import System, local_number
from billets.wording import bare, said
from quotes.after.compared import Comparison, LineCompared, RowCompared, percent_of
from quotes.after.entry_words import entry_text
from quotes.after.order import After, BilletWeighed, KnifeWeighed
from quotes.after.words import NOTHING, hours_text, more_or_less, percent_more
from quotes.wording import money_text, number_text
from shop import choices
from shop.entries import BILLET_KINDS, MEASURED_IN
from shop.work import BILLET

FROM: Mapping[str, str | Promise] = MappingProxyType(
    {
        "recorded": gettext_lazy("recorded"),
        "hours": gettext_lazy("follows from the hours"),
        "part": gettext_lazy("recorded in part, the rest as estimated"),
        "estimated": gettext_lazy("as estimated"),
    }
)
"""Where an actual comes from, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRow:
    """One line of cost: what, estimate, actual, and how far apart."""

    label: str
    guessed: str
    estimated: str
    taken: str
    actual: str
    difference: str
    percent: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRow:
    """One row of hours: estimate, actual, their ratio, and how much of it is told."""

    label: str
    estimated: str
    spent: str
    ratio: str
    waiting: str
    recorded: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightRow:
    """One thing on the scale: what was expected, and what it weighed."""

    label: str
    forecast: str
    band: str
    weighed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterTables:
    """The tables of the page; the last row of the first two is their sum."""

    lines: list[LineRow]
    hours: list[WorkRow]
    weights: list[WeightRow]


def after_tables(found: After, system: System) -> AfterTables:
    """Return what became of an order as the page's tables."""
    compared, currency = found.comparison, found.quote.currency
    lines = [_line(one, currency) for one in compared.lines]
    return AfterTables(
        lines=[*lines, _risk(compared, currency), _cost(compared, currency)],
        hours=[*(_row(one) for one in compared.rows), _hours(compared)],
        weights=list(_weights(found, system)),
    )


# --- cost --------------------------------------------------------------------------


def _line(one: LineCompared, currency: str) -> LineRow:
    line, label = one.line, _(one.line.label)
    return LineRow(
        label=f"{label}: {line.subject}" if line.subject else label,
        guessed=_quantity(line.quantity, line.unit),
        estimated=money_text(line.amount, currency),
        taken=_quantity(one.quantity, line.unit),
        source=str(FROM[one.source]),
        **_apart(one.amount, one.difference, line.amount, currency, known=one.known),
    )


def _apart(
    actual: Decimal, difference: Decimal, estimated: Decimal, currency: str, *,
    known: bool,
) -> dict[str, str]:  # fmt: skip
    """Return actual and difference; what is not known has none unless it is over."""
    if not known and not difference:
        return {
            "actual": money_text(actual, currency),
            "difference": NOTHING,
            "percent": NOTHING,
        }
    return {
        "actual": money_text(actual, currency),
        "difference": more_or_less(difference, currency),
        "percent": percent_more(percent_of(difference, estimated)),
    }


def _quantity(quantity: Decimal, unit: str) -> str:
    return number_text(quantity.normalize()) + (f"\u00a0{_(unit)}" if unit else "")


def _risk(compared: Comparison, currency: str) -> LineRow:
    one = compared.failures
    return LineRow(
        label=_("Failures"),
        guessed=_quantity(one.line.quantity, one.line.unit),
        estimated=money_text(one.line.amount, currency),
        taken=NOTHING,
        source=str(FROM[one.source]),
        **_apart(
            one.amount, one.difference, one.line.amount, currency, known=one.known
        ),
    )


def _cost(compared: Comparison, currency: str) -> LineRow:
    more = compared.cost - compared.estimated_cost
    return LineRow(
        label=_("Cost"),
        guessed="",
        estimated=money_text(compared.estimated_cost, currency),
        taken="",
        source="",
        **_apart(
            compared.cost, more, compared.estimated_cost, currency,
            known=compared.complete,
        ),
    )  # fmt: skip


# --- hours -------------------------------------------------------------------------


def _row(one: RowCompared) -> WorkRow:
    written = one.written
    spent = hours_text(written.amount) if written.amount else _("nothing recorded yet")
    if written.amount and not written.complete:
        spent = _("{hours} so far").format(hours=spent)
    return WorkRow(
        label=_(one.label),
        estimated=hours_text(one.estimated),
        spent=spent,
        ratio=_ratio(one.ratio),
        waiting=hours_text(written.waiting) if written.waiting else NOTHING,
        recorded=_recorded(one),
    )


def _ratio(ratio: Decimal | None) -> str:
    return NOTHING if ratio is None else local_number(ratio, spoken(), places=2)


def _recorded(one: RowCompared) -> str:
    asked = one.written.of
    told = ngettext("{count} of {all} knife", "{count} of {all} knives", asked)
    if one.row == BILLET:
        told = ngettext("{count} of {all} billet", "{count} of {all} billets", asked)
    text = told.format(count=one.written.recorded, all=asked)
    return text if one.written.over else _("{told}, going on").format(told=text)


def _hours(compared: Comparison) -> WorkRow:
    """Return the sum of the hours: a ratio only once all of them are told."""
    written = [one.written for one in compared.rows]
    spent = sum((one.amount for one in written), Decimal(0))
    waiting = sum((one.waiting for one in written), Decimal(0))
    full = compared.rows_complete == len(compared.rows)
    text = hours_text(spent) if spent else _("nothing recorded yet")
    if spent and not full:
        text = _("{hours} so far").format(hours=text)
    estimated = compared.estimated_hours
    return WorkRow(
        label=_("All together"),
        estimated=hours_text(estimated),
        spent=text,
        ratio=_ratio(spent / estimated if full and estimated else None),
        waiting=hours_text(waiting) if waiting else NOTHING,
        recorded=_("{count} of {all} rows").format(
            count=compared.rows_complete, all=len(compared.rows)
        ),
    )


# --- weights -----------------------------------------------------------------------


def _weights(found: After, system: System) -> Iterable[WeightRow]:
    for billet in found.billets:
        yield from (_of_billet(billet, kind, system) for kind in BILLET_KINDS)
    yield from (_of_knife(one, system) for one in found.knives)


def _of_billet(billet: BilletWeighed, kind: str, system: System) -> WeightRow:
    label = capfirst(str(dict(choices.entry_kind())[kind]))
    forecast, band = _forecast(billet.forecast.get(kind), kind, system)
    entry = billet.entries.get(kind)
    return WeightRow(
        label=f"{billet.title}: {label}",
        forecast=forecast,
        band=band,
        weighed=entry_text(entry, system) if entry else _("nothing recorded yet"),
    )


def _forecast(told: Any, kind: str, system: System) -> tuple[str, str]:
    """Return a forecast and its band as far as the quote kept them."""
    if told is None:
        return NOTHING, NOTHING
    if isinstance(told, Mapping):
        low, high = (
            said(told[end], MEASURED_IN[kind], system) for end in ("low", "high")
        )
        middle = said(told["middle"], MEASURED_IN[kind], system)
        return middle, _("{low} to {high}").format(low=bare(low), high=high)
    return said(told, MEASURED_IN[kind], system), NOTHING


def _of_knife(one: KnifeWeighed, system: System) -> WeightRow:
    forecast, band = NOTHING, NOTHING
    if one.forecast is not None:
        low, high = (said(end, "mass", system) for end in one.band)
        forecast = said(one.forecast, "mass", system)
        band = _("{low} to {high}").format(low=bare(low), high=high)
    weighed = _("nothing recorded yet")
    if one.entry:
        weighed = entry_text(one.entry, system)
    return WeightRow(
        label=str(one.knife), forecast=forecast, band=band, weighed=weighed
    )
