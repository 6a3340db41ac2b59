"""The forms of a quote: how long it holds, and what the customer said."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    DateField,
    DecimalMoneyField,
    MeasuredFormMixin,
    TextCleanField,
    form_system,
)
from billets.inputs import CURRENCY_SIGNS
from billets.units import System
from quotes.money import EXPONENTS

ANSWERS = (
    ("yes", _("Yes: accepted")),
    ("no", _("No: declined")),
)


def short_date() -> forms.DateInput:
    """Return a box as wide as a date."""
    return forms.DateInput(
        format="%Y-%m-%d",
        attrs={"class": "short", "autocomplete": "off", "spellcheck": "false"},
    )


class IssueForm(MeasuredFormMixin, forms.Form):
    """How long a quote holds; the rest of it is computed."""

    valid_until = DateField(
        label=_("The quote holds until"),
        widget=short_date(),
        help_text=_("Its last day: the price is fixed as long."),
    )

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_valid_until(self) -> dt.date:
        """Refuse a day that is past."""
        day: dt.date = self.cleaned_data["valid_until"]
        if day < self.today:
            message = _("This day is past: type today or a later day.")
            raise ValidationError(message, code="past")
        return day


class AnswerForm(MeasuredFormMixin, forms.Form):
    """What the customer said to a quote, and how."""

    answer = forms.ChoiceField(
        label=_("The customer says"), choices=ANSWERS, widget=forms.RadioSelect
    )
    note = TextCleanField(
        label=_("How it was said"),
        max_length=200,
        help_text=_("By telephone, by mail, at the shop; on which day, if not today."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        said = self.fields["answer"]
        said.error_messages["required"] = _("Choose what the customer said.")

    @property
    def accepted(self) -> bool:
        """Whether the answer is a yes."""
        return bool(self.cleaned_data["answer"] == "yes")


class ShortForm(MeasuredFormMixin, forms.Form):
    """What a billet that falls short costs; read from an address, so never kept."""

    def __init__(
        self, *args: Any, currency: str, system: System, **kwargs: Any
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        box = DecimalMoneyField(
            label=_("A short billet costs"),
            help_text=_(
                "All that is lost with it: the steel, gas and hours in it, and more "
                "if a customer waits."
            ),
            currency=currency,
            decimal_places=EXPONENTS[currency],
        )
        box.unit = CURRENCY_SIGNS.get(currency, currency)  # type: ignore[attr-defined]
        self.fields["short"] = box
        form_system(self, system)
