"""The forms of the shop's own settings."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    IntegerCountField,
    MeasuredModelFormMixin,
    plain_formfield,
)
from billets.text import in_fours
from shop import choices
from shop.forms.fields import PercentField
from shop.forms.numbers import (
    BicField,
    CountryField,
    IbanField,
    SiteField,
    VatField,
)
from shop.models import Shop, TaxSetting


class ShopForm(MeasuredModelFormMixin, forms.ModelForm):
    """What pages and papers say of the shop."""

    validity_days = IntegerCountField(
        label=_("A quote holds, days"), min_value=1, max_value=365
    )

    country = CountryField(label=_("Country, two letters"), required=False)
    vat_number = VatField(
        label=_("VAT number"), max_length=20, required=False,
        help_text=_("With the letters of the country, such as DE or ATU."),
    )  # fmt: skip
    iban = IbanField(label=_("IBAN"), required=False)
    bic = BicField(
        label=_("BIC"), required=False,
        help_text=_("Only banks outside the European Economic Area need it."),
    )  # fmt: skip
    site = SiteField(
        label=_("Address under which customers reach this shop"), max_length=200,
        required=False, help_text=_("Such as https://forge.example; links begin so."),
    )  # fmt: skip

    class Meta:
        model = Shop
        fields = (
            "name", "owner", "address", "email", "phone", "tax_number",
            "country", "vat_number", "legal_id",
            "account_holder", "iban", "bic", "site",
            "deposit_covers", "deposit_locks",
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
            "account_holder": _(
                "As the bank knows it: banks compare the name with the account."
            ),
            "deposit_covers": _(
                "Else the deposit is the share of your rates, and the price says when "
                "it is too small. It is never more than the total."
            ),
            "deposit_locks": _(
                "If ticked, no knife goes on from the forge before; else its page "
                "warns."
            ),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["iban"] = in_fours(self.initial.get("iban") or "")

    def clean(self) -> dict[str, Any]:
        """Ask whose account it is: a transfer without the name does not arrive."""
        clean: dict[str, Any] = super().clean() or {}
        if clean.get("iban") and not clean.get("account_holder"):
            message = _("Type the name the account of this IBAN is held in.")
            self.add_error("account_holder", message)
        return clean


class TaxForm(MeasuredModelFormMixin, forms.ModelForm):
    """How the shop is taxed from a day on."""

    regime = forms.ChoiceField(label=_("Rule"), choices=choices.tax_regime)
    rate = PercentField(
        label=_("Rate"), required=False,
        help_text=_("Leave it empty where no tax is charged."),
    )  # fmt: skip

    class Meta:
        model = TaxSetting
        fields = ("regime", "rate", "valid_from", "note")
        formfield_callback = plain_formfield

    def clean(self) -> dict[str, Any]:
        """Refuse a rate where no tax is charged; there an empty box is 0."""
        clean: dict[str, Any] = super().clean() or {}
        if clean.get("rate") is None and "rate" not in self.errors:
            if clean.get("regime") in choices.UNTAXED:
                clean["rate"] = Decimal(0)
            elif clean.get("regime"):
                message = _("Type a value here, such as {example}.")
                self.add_error("rate", message.format(example="19"))
        if clean.get("regime") in choices.UNTAXED and clean.get("rate"):
            message = _(
                "No tax is charged under this rule: type 0, or choose the other."
            )
            self.add_error("rate", message)
        return clean
