"""The forms of the shop's hour: the year typed in, the day shown, the rates taken."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from billets.fields import DateField, MeasuredFormMixin
from billets.units import System
from quotes.errors import QuoteError
from quotes.forms import short_date
from quotes.rate_forms import RatesForm
from quotes.rate_items import ITEM_OF
from quotes.year.items import check_year
from quotes.year.sums import ShopYear, shop_year
from quotes.year.words import refusal_words


class YearForm(RatesForm):
    """What the shop costs in a year; ``found`` is what an hour then comes to.

    ``others`` are the rates of the day that the year needs beside its own boxes.
    """

    def __init__(
        self, *args: Any, others: Mapping[str, Decimal], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.others, self.found = others, None
        for key, entry in self.entries.items():
            self.fields[key].required = True
            if entry.of:
                self.fields[key].label = f"{entry.of}: {entry.label}"

    others: Mapping[str, Decimal]
    found: ShopYear | None

    def check_one(self, key: str, value: Decimal) -> None:
        """Refuse a value no hour can be computed from."""
        check_year(key, value)

    def check_together(self, clean: Mapping[str, Any]) -> None:
        """Compute the hour; refuse machines that take more than the year has."""
        year = {key: clean[key] for key in self.entries}
        try:
            self.found = shop_year({**self.others, **year}, self.currency)
        except QuoteError as error:
            self.refuse(error)

    def refuse(self, error: QuoteError) -> None:
        """Say what is wrong beside its box, amounts with their currency."""
        box = error.field if error.field in self.fields else None
        self.add_error(box, refusal_words(error, self.currency, self.system))


class DayForm(MeasuredFormMixin, forms.Form):
    """The day whose year is shown."""

    day = DateField(label=_("Show the hour of another day"), widget=short_date())


class TakeForm(MeasuredFormMixin, forms.Form):
    """The day from which quotes charge what the hour comes to."""

    valid_from = DateField(widget=forms.HiddenInput)

    def refuse(self, error: QuoteError, currency: str, system: System) -> None:
        """Say what is wrong, and of which rate."""
        said = refusal_words(error, currency, system)
        if error.field in ITEM_OF:
            said = f"{gettext(ITEM_OF[str(error.field)].label)}: {said}"
        self.add_error(None, said)
