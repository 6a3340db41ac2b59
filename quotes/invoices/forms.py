"""The boxes of an invoice: which payment, when supplied, why cancelled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from billets.fields import DateField, MeasuredFormMixin, TextCleanField, form_system
from billets.units import System
from quotes.forms import short_date

Choices = Sequence[tuple[str, str]]


class InvoiceForm(MeasuredFormMixin, forms.Form):
    """What the forms of invoices share: a choice among rows, if there are some."""

    chosen = ""

    def __init__(
        self, *args: Any, choices: Choices = (), system: System = "metric",
        **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, system=system, **kwargs)
        if self.chosen:
            box = self.fields[self.chosen]
            box.choices = choices  # type: ignore[attr-defined]
            form_system(self, system)
            box.error_messages["required"] = _("Choose one of the list.")


class AdvanceForm(InvoiceForm):
    """The payment an advance invoice is for, and when the knife is expected."""

    chosen = "payment"
    payment = forms.ChoiceField(label=_("Payment"), widget=forms.RadioSelect)
    expected = DateField(
        label=_("Delivery expected"),
        help_text=_("A day in the month you expect; the month is printed."),
        widget=short_date(),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["expected"].error_messages["required"] = _(
            "Say when you expect to deliver: type a day in that month."
        )


class FinalForm(InvoiceForm):
    """When the work was supplied, and when the rest is due."""

    supplied_on = DateField(
        label=_("Date of supply"),
        help_text=_("The day the knife was handed over or sent."),
        widget=short_date(),
    )
    due_on = DateField(
        label=_("Due on"), required=False, widget=short_date(),
        help_text=_("Left empty, what is left is due at once."),
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["supplied_on"].error_messages["required"] = _(
            "An invoice says when it was supplied: type the day the knife was handed "
            "over or sent."
        )


class CancelForm(InvoiceForm):
    """Which invoice is taken back, and why."""

    chosen = "invoice"
    invoice = forms.ChoiceField(label=_("Invoice"), widget=forms.RadioSelect)
    reason = TextCleanField(
        label=_("Why"), max_length=200, help_text=_("Printed on the document.")
    )
