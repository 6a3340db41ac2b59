"""What became of an order, in figures: what an hour earned, what is left, what it took.

A figure that rests on part of the records says so in its label and names how many.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.units import System
from billets.wording import Figure, bare, said
from quotes.after.compared import Comparison
from quotes.after.entry_words import entry_text
from quotes.after.order import After, KnifeWeighed
from quotes.after.taken import Written
from quotes.after.words import NOTHING, hours_text
from quotes.money import ZERO, total
from quotes.wording import money_text


def earnings(found: After) -> list[Figure]:
    """Return what an hour at the bench earned, and what is left over the cost."""
    return [_hourly(found.comparison, found.quote.currency), _left(found)]


def work(found: After, system: System) -> list[Figure]:
    """Return hours and weights against what was expected of them."""
    taken, reckoned = found.comparison.taken, found.comparison.reckoned
    steel = _("{mass} estimated").format(
        mass=said(float(reckoned.sum_of("steel")), "mass_kg", system)
    )
    figures = [
        _hours(found.comparison),
        _mass(_("Steel, as bought for the stack"), taken.steel, steel, system),
        _mass(_("Gas burnt"), taken.gas, _gas_band(found, system), system),
    ]
    if len(found.knives) == 1:
        figures.append(_knife(found.knives[0], system))
    return figures


# --- money -------------------------------------------------------------------------


def _hourly(compared: Comparison, currency: str) -> Figure:
    label, source = _("Earned per hour"), _hour_sentence(compared, currency)
    if not compared.begun or compared.hourly is None:
        return _none_yet(label, source)
    if not compared.complete:
        label = _("Earned per hour, if the rest goes as estimated")
    value = money_text(compared.hourly, currency)
    return Figure(label=label, value=value, source=source)


def _hour_sentence(compared: Comparison, currency: str) -> str:
    hour = money_text(compared.reckoned.hour, currency)
    planned = compared.estimated_hourly
    if planned is None:
        return _("The shop's hour in the quote: {hour}.").format(hour=hour)
    return _(
        "The shop's hour in the quote: {hour}. With its margin the quote reckoned "
        "with {planned}."
    ).format(hour=hour, planned=money_text(planned, currency))


def _left(found: After) -> Figure:
    compared, currency = found.comparison, found.quote.currency
    planned = money_text(compared.estimated_left, currency)
    if not compared.begun:
        source = _("The quote reckoned with {planned} left over its cost.")
        return _none_yet(_("Left over the cost"), source.format(planned=planned))
    source = _(
        "The knives bring {net} before tax and cost {cost}, the hours paid at the "
        "shop's hour; the quote reckoned with {planned} left over."
    ).format(
        net=money_text(compared.reckoned.net, currency),
        cost=money_text(compared.cost, currency),
        planned=planned,
    )
    # A label that says loss needs no sign as well.
    left = abs(compared.left) if compared.complete else compared.left
    value = money_text(left, currency)
    return Figure(label=_left_label(compared), value=value, source=source)


def _left_label(compared: Comparison) -> str:
    if not compared.complete:
        return _("Left over the cost, if the rest goes as estimated")
    return _("Profit") if compared.left >= ZERO else _("Loss")


def _none_yet(label: str, source: str) -> Figure:
    said_of_it = _("Nothing recorded yet. {more}").format(more=source)
    return Figure(label=label, value=NOTHING, source=said_of_it)


# --- hours and weights -------------------------------------------------------------


def _hours(compared: Comparison) -> Figure:
    label, spent = _("Hours at the bench"), compared.recorded_hours
    estimated = _("{hours} estimated").format(
        hours=hours_text(compared.estimated_hours)
    )
    if not spent:
        return _none_yet(label, estimated)
    recorded = _("{done} of {all} rows of hours are recorded in full.").format(
        done=compared.rows_complete, all=len(compared.rows)
    )
    lost = total(compared.taken.lost.hours.values())
    if lost:
        scrapped = _("{hours} of them went into scrapped knives.")
        recorded = f"{recorded} {scrapped.format(hours=hours_text(lost))}"
    return Figure.of(label, hours_text(spent), band=estimated, source=recorded)


def _mass(label: str, written: Written, estimated: str, system: System) -> Figure:
    if not written.recorded:
        return _none_yet(label, estimated)
    told = ngettext(
        "{count} of {all} billet weighed: the part this order pays.",
        "{count} of {all} billets weighed: the part this order pays.",
        written.of,
    )
    source = told.format(count=written.recorded, all=written.of)
    amount = said(float(written.amount), "mass_kg", system)
    return Figure.of(label, amount, band=estimated, source=source)


def _gas_band(found: After, system: System) -> str:
    """Say what gas was estimated, with its band where the quote kept one."""
    estimated = float(found.comparison.reckoned.sum_of("gas"))
    bands = [one.forecast.get("gas") for one in found.billets]
    middle = said(estimated, "mass_kg", system)
    if not bands or not all(isinstance(one, Mapping) for one in bands):
        return _("{mass} estimated").format(mass=middle)
    low, high = (
        said(estimated * _spread(bands, end), "mass_kg", system)
        for end in ("low", "high")
    )
    return _("{mass} estimated, {low} to {high}").format(
        mass=middle, low=bare(low), high=high
    )


def _spread(bands: list[Any], end: str) -> float:
    """Return the end of some bands over their middle; they scatter together."""
    middle = sum(one["middle"] for one in bands)
    return float(sum(one[end] for one in bands) / middle) if middle else 1.0


def _knife(one: KnifeWeighed, system: System) -> Figure:
    label, expected = _("Finished knife"), _("no forecast")
    if one.forecast is not None:
        low, high = (said(end, "mass", system) for end in one.band)
        expected = _("{mass} expected, {low} to {high}").format(
            mass=said(one.forecast, "mass", system), low=bare(low), high=high
        )
    if one.entry is None:
        return _none_yet(label, expected)
    return Figure.of(
        label, entry_text(one.entry, system), band=expected, source=_met(one)
    )


def _met(one: KnifeWeighed) -> str:
    if one.forecast is None:
        return ""
    return _("Inside its band.") if one.met else _("Outside its band.")
