"""The forms of the shop's own settings."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from billets.fields import MeasuredModelFormMixin, plain_formfield
from shop.forms.fields import PercentField
from shop.models import Shop, TaxSetting

ROWS = {"rows": 5}


class ShopForm(MeasuredModelFormMixin, forms.ModelForm):
    class Meta:
        model = Shop
        fields = (
            "name", "owner", "address", "email", "phone", "tax_number",
            "currency", "units", "language", "paper",
            "validity_days", "terms", "care", "legal", "extinguisher",
        )  # fmt: skip
        formfield_callback = plain_formfield
        widgets = {
            "address": forms.Textarea(attrs={"rows": 4}),
            "terms": forms.Textarea(attrs=ROWS),
            "care": forms.Textarea(attrs=ROWS),
            "legal": forms.Textarea(attrs=ROWS),
        }
        help_texts = {
            "units": _("What you type stays as typed; pages and papers show these."),
            "extinguisher": _(
                "Printed on every build sheet: beside the door, on the left."
            ),
            "legal": _("Check the wording with your adviser."),
        }


class TaxForm(MeasuredModelFormMixin, forms.ModelForm):
    rate = PercentField(label=_("Rate, %"))

    class Meta:
        model = TaxSetting
        fields = ("regime", "rate", "valid_from", "note")
        formfield_callback = plain_formfield

    def clean(self) -> dict[str, Any]:
        """A shop that charges no tax has no rate."""
        clean: dict[str, Any] = super().clean()
        if clean.get("regime") in ("small", "export") and clean.get("rate"):
            message = _(
                "No tax is charged under this rule: type 0, or choose the other."
            )
            self.add_error("rate", message)
        return clean
