"""The forms of an order: opened with its first knife, changed, looked for."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    MeasuredFormMixin,
    MeasuredModelFormMixin,
    TextCleanField,
    plain_formfield,
)
from billets.messages import spoken
from shop import choices
from shop.forms.fields import (
    BUSINESS,
    BUSINESS_HINT,
    COUNTRY,
    COUNTRY_HINT,
    OFF,
    VAT_HINT,
    VAT_NUMBER,
    KnownCustomerField,
    WeekField,
    offer,
)
from shop.forms.knives import KnifeForm
from shop.forms.numbers import CountryField, VatField
from shop.models import Customer, Order

WISH = _("Wish in the customer's words")
WEEK = _("Promised for the week of")
WEEK_HINT = _("Any day of the week; leave it empty if nothing is promised yet.")
NEW_CUSTOMER = ("email", "phone", "language", "business", "country", "vat_number")


class NewOrderForm(KnifeForm):
    """An enquiry: who asks for what until when, and the first knife."""

    known = KnownCustomerField(
        label=_("Known customer"), required=False,
        help_text=_("Type some letters of the name and choose one of the list."),
    )  # fmt: skip
    customer_name = TextCleanField(
        label=_("New customer"), required=False, max_length=80,
        widget=forms.TextInput(attrs=OFF),
        help_text=_("The full name, as on the papers."),
    )  # fmt: skip
    email = forms.EmailField(
        label=_("E-mail"), required=False,
        widget=forms.EmailInput(attrs={**OFF, "spellcheck": "false"}),
    )  # fmt: skip
    phone = TextCleanField(
        label=_("Telephone"), required=False, max_length=40,
        widget=forms.TextInput(attrs={**OFF, "inputmode": "tel"}),
    )  # fmt: skip
    language = forms.ChoiceField(
        label=_("Language of papers"), choices=choices.language, required=False,
        initial=spoken,
    )  # fmt: skip
    business = forms.BooleanField(
        label=BUSINESS, required=False, help_text=BUSINESS_HINT
    )
    country = CountryField(label=COUNTRY, required=False, help_text=COUNTRY_HINT)
    vat_number = VatField(
        label=VAT_NUMBER, max_length=20, required=False, help_text=VAT_HINT
    )
    wish = TextCleanField(
        label=WISH,
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    promised_week = WeekField(label=WEEK, required=False, help_text=WEEK_HINT)

    def clean(self) -> dict[str, Any]:
        """Ask for one customer, known or new."""
        clean = super().clean()
        known, new = clean.get("known"), clean.get("customer_name")
        if known and new:
            message = _("Choose a known customer or type a new one, not both.")
            self.add_error("customer_name", message)
        elif known and known.erased:
            message = _("This customer was erased: type the name again below.")
            self.add_error("known", message)
        elif not (known or new) and not {"known", "customer_name"} & set(self.errors):
            message = _("Choose a known customer, or type the name of a new one below.")
            self.add_error("known", message)
        return clean

    def customer_values(self) -> dict[str, Any]:
        """Return what is known of a new customer."""
        said = {
            name: self.cleaned_data[name]
            for name in NEW_CUSTOMER
            if self.cleaned_data[name]
        }
        return {"name": self.cleaned_data["customer_name"], **said}


class OrderForm(MeasuredModelFormMixin, forms.ModelForm):
    """What can be changed of an order itself."""

    class Meta:
        model = Order
        fields = ("wish", "promised_week")
        formfield_callback = plain_formfield
        field_classes = {"promised_week": WeekField}
        widgets = {
            "wish": forms.Textarea(attrs={"rows": 6}),
            "promised_week": WeekField.widget,
        }
        labels = {"wish": WISH, "promised_week": WEEK}
        help_texts = {"promised_week": WEEK_HINT}


class OrderFilter(MeasuredFormMixin, forms.Form):
    """What to show of the table of orders."""

    q = TextCleanField(
        label=_("Find"), required=False, max_length=100,
        widget=forms.TextInput(attrs={"class": "short", "type": "search", **OFF}),
    )  # fmt: skip
    state = forms.ChoiceField(label=_("State"), required=False)
    stage = forms.ChoiceField(label=_("Stage of a knife"), required=False)
    customer = KnownCustomerField(label=_("Customer"), required=False)
    sort = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        any_one: choices.Choices = [("", _("any"))]
        offer(self, "state", any_one + choices.state())
        offer(self, "stage", any_one + choices.stage())


def newest_customers() -> list[Customer]:
    """Return the customers a page offers while a name is typed."""
    return list(Customer.objects.only("pk", "name").order_by("-pk")[:OFFERED])


OFFERED = 200
"""So many names a page can carry; any other customer is found by the full name."""
