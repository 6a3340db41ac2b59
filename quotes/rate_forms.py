"""The form of all rates: what holds today in the boxes, changes from a day on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.functional import cached_property
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    DateField,
    DecimalMoneyField,
    MeasuredFormMixin,
    TextCleanField,
    form_system,
)
from billets.grammar import write_number
from billets.inputs import CURRENCY_SIGNS
from billets.messages import sentence, spoken
from billets.units import System, decimal_mark
from quotes.errors import QuoteError
from quotes.forms import short_date
from quotes.rate_book import Book, Entry
from quotes.rate_items import ITEM_OF, POINTS, hours_key
from quotes.rates import check_rate, rates_from
from quotes.wording import number_text, percent_text, rate_text
from shop import stages
from shop.templatetags.shop_words import day as short_day

PLACES, DIGITS = 4, 12
"""As many as a row of rates keeps."""


class RateField(DecimalMoneyField):
    """A rate: an amount with up to four places, its unit in the label."""

    def __init__(self, *, unit: str, currency: str, places: int, **kwargs: Any) -> None:
        super().__init__(
            decimal_places=PLACES, max_digits=DIGITS, currency=currency, **kwargs
        )
        self.unit, self.least_places = unit, places

    def write(self, value: Any) -> str:
        """Write a rate without idle zeros; money keeps those of its cents."""
        written = write_number(Decimal(str(value)).normalize())
        whole, _dot, part = written.partition(".")
        part = part.ljust(self.least_places, "0")
        return f"{whole}.{part}".rstrip(".").replace(".", decimal_mark(spoken()))


class RatesForm(MeasuredFormMixin, forms.Form):
    """Every rate of the book; the boxes bear the rates' own keys."""

    valid_from = DateField(
        label=_("What you change counts from"),
        widget=short_date(),
        help_text=_("Quotes that are out keep the rates they were made with."),
    )
    note = TextCleanField(label=_("Why it changes"), required=False, max_length=200)

    def __init__(
        self, *args: Any, book: Book, currency: str, system: System, **kwargs: Any
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        self.book, self.entries, self.currency = book, book.entries, currency
        for key, entry in self.entries.items():
            self.fields[key] = _box(entry, currency)
            if entry.row:
                self.initial[key] = _in_box(entry, entry.row.value)
        form_system(self, system)
        self.system = system

    @cached_property
    def changes(self) -> dict[str, Decimal]:
        """Return the values of the boxes that no longer say what they were given."""
        return {
            key: self.cleaned_data[key]
            for key in self.changed_data
            if key in self.entries and self.cleaned_data.get(key) is not None
        }

    def clean(self) -> dict[str, Any]:
        """Refuse values no price could be made with, each beside its box."""
        clean: dict[str, Any] = super().clean() or {}
        for key in [key for key in self.changed_data if key in self.entries]:
            if clean.get(key) is not None:
                self._try(self.check_one, key, clean[key])
        if not self.errors:
            self.check_together(clean)
        return clean

    def check_one(self, key: str, value: Decimal) -> None:
        """Refuse a value by itself; what a bought thing costs may be anything."""
        if key in ITEM_OF:
            check_rate(key, value)

    def check_together(self, clean: Mapping[str, Any]) -> None:
        """Refuse hours that do not rise from least over likely to most."""
        known = {key: clean[key] for key in ITEM_OF if clean.get(key) is not None}
        rates = rates_from(
            known, currency=self.currency, valid_from=clean["valid_from"], tax=None
        )
        for row in stages.HOURS_ROWS:
            if all(hours_key(row, point) in known for point in POINTS):
                self._try(rates.hours, row)

    def _try(self, check: Callable[..., object], *args: Any) -> None:
        try:
            check(*args)
        except QuoteError as error:
            self.refuse(error)

    def refuse(self, error: QuoteError) -> None:
        """Say what is wrong beside its box, or above all of them."""
        box = error.field if error.field in self.fields else None
        self.add_error(box, sentence(error, self.system))


def _box(entry: Entry, currency: str) -> forms.Field:
    """Return the box of a rate; one that has a value cannot be emptied."""
    need: dict[str, Any] = {
        "label": _label(entry), "help_text": _hint(entry, currency),
        "required": entry.row is not None,
    }  # fmt: skip
    if entry.kind == "stage":
        return forms.TypedChoiceField(
            choices=_earlier_stages(entry.key), coerce=Decimal, empty_value=None, **need
        )
    if entry.kind == "money":
        sign = CURRENCY_SIGNS.get(currency, currency)
        return RateField(
            unit=f"{sign} {entry.unit}", currency=currency, places=2, **need
        )
    own = "%" if entry.kind == "percent" else entry.unit
    return RateField(unit=entry.unit, currency=own, places=0, **need)


def _label(entry: Entry) -> str:
    """Return what a box is called; what stands above its line is not seen again."""
    if not entry.of:
        return entry.label
    return format_html('<span class="unseen">{}:</span> {}', entry.of, entry.label)


def _earlier_stages(key: str) -> list[tuple[str, str]]:
    """Return the stages a failure may start again in: its own or an earlier one."""
    bench = stages.bench()
    last = bench.index(key.removeprefix("restart_")) + 1
    return [
        (str(place), gettext(stages.label_of(stage)))
        for place, stage in enumerate(bench[:last], start=1)
    ]


def _in_box(entry: Entry, value: Decimal) -> Any:
    return str(int(value)) if entry.kind == "stage" else value


def _hint(entry: Entry, currency: str) -> str:
    """Say what holds now and since when, and what will hold."""
    if entry.row is None:
        return gettext("Nothing is entered yet.")
    said = [_now(entry, entry.row.value, currency, entry.row.valid_from)]
    said += [
        gettext("{value} from {day}.").format(
            value=rate_words(entry, row.value, currency), day=short_day(row.valid_from)
        )
        for row in entry.later
    ]
    return " ".join(said)


def _now(entry: Entry, value: Decimal, currency: str, since: dt.date) -> str:
    return gettext("{value} since {day}.").format(
        value=rate_words(entry, value, currency), day=short_day(since)
    )


def rate_words(entry: Entry, value: Decimal, currency: str) -> str:
    """Write the value of a rate as its kind is written."""
    if entry.kind == "stage":
        return dict(_earlier_stages(entry.key)).get(str(int(value)), str(value))
    if entry.kind == "money":
        return rate_text(value, currency)
    if entry.kind == "percent":
        return percent_text(value)
    return number_text(value.normalize())
