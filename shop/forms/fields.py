"""Boxes that only this shop's own pages need."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    DateField,
    DecimalMoneyField,
    NumberField,
    TextCleanField,
)
from shop.models import Customer, folded
from shop.weeks import monday_of

OFF = {"autocomplete": "off"}
BUSINESS = _("Buys for a business: reads prices before tax")
BUSINESS_HINT = _(
    "If ticked, amounts on quotes stand before tax, which is added below them. Whoever "
    "buys for private use reads prices with the tax in them."
)
COUNTRY, VAT_NUMBER = _("Country, two letters"), _("VAT number")
COUNTRY_HINT = _("Such as DE, AT or US: where the customer's address is.")
VAT_HINT = _("Of a business, with the letters of the country, such as DE or ATU.")
KNOWN_LIST = "known-customers"
"""The id of the list of names a page offers for a known customer."""

_NAMED = re.compile(r"(?P<name>.*\S)\s*\((?P<pk>[0-9]{1,18})\)", re.ASCII | re.DOTALL)


def offer(form: forms.BaseForm, name: str, choices: Iterable[Any]) -> None:
    """Say what a box of a form offers."""
    cast(forms.ChoiceField, form.fields[name]).choices = list(choices)


class WeekField(DateField):
    """A week, given by any of its days; kept as its Monday."""

    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", **OFF})

    def clean(self, value: Any) -> dt.date | None:
        """Return the Monday of the day."""
        day = super().clean(value)
        return monday_of(day) if day else None


class PercentField(DecimalMoneyField):
    """A percentage as a plain decimal: 19, 19 %, 8.1 %."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(currency="%", max_value=Decimal(100), **kwargs)

    @property
    def unit(self) -> str:
        """What stands behind the box."""
        return "%"


class HardnessField(NumberField):
    """A Rockwell hardness, with its HRC or without."""

    def read(self, text: str) -> float:
        """Read the number; what stands behind it says nothing new."""
        return super().read(re.sub(r"\s*HRC\s*$", "", text, flags=re.IGNORECASE))


class KnownCustomerField(TextCleanField):
    """One of the shop's customers, by name, or as the page's list writes them."""

    widget = forms.TextInput(attrs={"list": KNOWN_LIST, "spellcheck": "false", **OFF})

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=120, **kwargs)

    def clean(self, value: Any) -> Customer | None:
        """Return the customer; say what to do if there is none or more than one."""
        text = super().clean(value)
        return _customer(text) if text else None

    def prepare_value(self, value: Any) -> Any:
        """Show a customer as the list writes one."""
        return named(value) if isinstance(value, Customer) else value


def named(customer: Customer) -> str:
    """Return a customer's name so that it is found again among others of that name."""
    return f"{customer.name} ({customer.pk})"


def _customer(text: str) -> Customer:
    if found := _NAMED.fullmatch(text):
        by_number = Customer.objects.filter(pk=int(found["pk"])).first()
        if by_number and by_number.folded == folded(found["name"]):
            return by_number
    same = list(Customer.objects.filter(folded=folded(text))[:2])
    if len(same) == 1:
        return same[0]
    if same:
        message = _("Several customers have this name: choose one of the list.")
        raise ValidationError(message, code="several")
    message = _(
        "No customer has this name: choose one of the list, or leave this empty and "
        "type the name under New customer."
    )
    raise ValidationError(message, code="unknown")
