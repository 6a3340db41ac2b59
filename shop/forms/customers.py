"""The form of a customer."""

from __future__ import annotations

from django import forms

from billets.fields import MeasuredModelFormMixin, plain_formfield
from shop.forms.fields import (
    BUSINESS,
    BUSINESS_HINT,
    COUNTRY,
    COUNTRY_HINT,
    OFF,
    VAT_HINT,
    VAT_NUMBER,
)
from shop.forms.numbers import CountryField, VatField
from shop.models import Customer


class CustomerForm(MeasuredModelFormMixin, forms.ModelForm):
    """What the shop knows of a customer."""

    country = CountryField(label=COUNTRY, required=False, help_text=COUNTRY_HINT)
    vat_number = VatField(
        label=VAT_NUMBER, max_length=20, required=False, help_text=VAT_HINT
    )

    class Meta:
        model = Customer
        fields = (
            "name", "email", "phone", "address", "country", "business", "vat_number",
            "language", "note",
        )  # fmt: skip
        formfield_callback = plain_formfield
        widgets = {
            "name": forms.TextInput(attrs=OFF),
            "email": forms.EmailInput(attrs={**OFF, "spellcheck": "false"}),
            "phone": forms.TextInput(attrs={**OFF, "inputmode": "tel"}),
            "address": forms.Textarea(attrs={**OFF, "rows": 4}),
            "note": forms.Textarea(attrs={"rows": 4}),
        }
        labels = {"business": BUSINESS}
        help_texts = {"business": BUSINESS_HINT}
