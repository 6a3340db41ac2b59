"""The forms of a quote: the word to issue it, and what the customer said."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from billets.fields import (
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
    """The word to issue; what is issued stands in the terms and on the paper."""


class AnswerForm(MeasuredFormMixin, forms.Form):
    """What the customer said to a quote, how, and which option was taken."""

    answer = forms.ChoiceField(
        label=_("The customer says"), choices=ANSWERS, widget=forms.RadioSelect
    )
    note = TextCleanField(
        label=_("How it was said"),
        max_length=200,
        help_text=_("By telephone, by mail, at the shop; on which day, if not today."),
    )

    def __init__(
        self, *args: Any, options: Sequence[tuple[str, str]] = (),
        system: System = "metric", **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, system=system, **kwargs)
        said = self.fields["answer"]
        said.error_messages["required"] = _("Choose what the customer said.")
        if options:
            self.fields["option"] = forms.ChoiceField(
                label=_("Which one the customer takes"), choices=options,
                widget=forms.RadioSelect,
                help_text=_("Only for a yes; the knife is then made so."),
            )  # fmt: skip
            self.order_fields(["answer", "option", "note"])
            form_system(self, system)
            asked = _("Choose the option the customer takes.")
            self.fields["option"].error_messages["required"] = asked

    def clean(self) -> dict[str, Any]:
        """Ask which option a yes means; a no means none."""
        clean: dict[str, Any] = super().clean() or {}
        if clean.get("answer") == "no":
            self.errors.pop("option", None)
        return clean

    @property
    def accepted(self) -> bool:
        """Whether the answer is a yes."""
        return bool(self.cleaned_data["answer"] == "yes")

    @property
    def option(self) -> int | None:
        """The place of the option that was taken, if there is one to take."""
        place = self.cleaned_data.get("option")
        return int(place) if place else None


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
