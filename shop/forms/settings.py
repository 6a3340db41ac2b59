"""The forms of the shop's own settings."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    IntegerCountField,
    MeasuredModelFormMixin,
    plain_formfield,
)
from shop import choices
from shop.forms.fields import PercentField
from shop.models import Shop, TaxSetting


class ShopForm(MeasuredModelFormMixin, forms.ModelForm):
    """What pages and papers say of the shop."""

    validity_days = IntegerCountField(
        label=_("A quote holds, days"), min_value=1, max_value=365
    )

    class Meta:
        model = Shop
        fields = (
            "name", "owner", "address", "email", "phone", "tax_number",
            "currency", "units", "language", "paper",
            "validity_days", "extinguisher",
        )  # fmt: skip
        formfield_callback = plain_formfield
        widgets = {
            "address": forms.Textarea(attrs={"rows": 4}),
        }
        help_texts = {
            "units": _("What you type stays as typed; pages and papers show these."),
            "extinguisher": _(
                "As build sheets print it, such as: beside the door, on the left."
            ),
        }


class TaxForm(MeasuredModelFormMixin, forms.ModelForm):
    """How the shop is taxed from a day on."""

    regime = forms.ChoiceField(label=_("Rule"), choices=choices.tax_regime)
    rate = PercentField(label=_("Rate"))

    class Meta:
        model = TaxSetting
        fields = ("regime", "rate", "valid_from", "note")
        formfield_callback = plain_formfield

    def clean(self) -> dict[str, Any]:
        """Refuse a rate where no tax is charged."""
        clean: dict[str, Any] = super().clean() or {}
        if clean.get("regime") in choices.UNTAXED and clean.get("rate"):
            message = _(
                "No tax is charged under this rule: type 0, or choose the other."
            )
            self.add_error("rate", message)
        return clean
