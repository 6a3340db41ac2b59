"""The forms of an order's payments: money that arrived, another deposit, a request."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    DateField,
    DecimalMoneyField,
    MeasuredFormMixin,
    TextCleanField,
)
from billets.grammar import UnitError
from billets.inputs import CURRENCY_SIGNS
from quotes.money import EXPONENTS, cent
from quotes.pay.request import NAMES
from shop.payments import Received

SIGNS = {"€": "EUR", "£": "GBP", "$": "USD", "FR.": "CHF"} | {
    code: code for code in (*EXPONENTS, *CURRENCY_SIGNS)
}
"""How a currency may be written beside an amount."""


class PaidField(DecimalMoneyField):
    """An amount in the currency an order is paid in; another one is named."""

    def read(self, text: str) -> Decimal:
        """Read an amount; money of another currency is no amount here."""
        other = _other_currency(text, self.currency)
        if other:
            raise UnitError(
                gettext(
                    "This order is paid in {wanted}, not in {other}: type what arrived "
                    "in {wanted}."
                ),
                wanted=self.currency, other=other,
            )  # fmt: skip
        return super().read(text)


def _other_currency(text: str, currency: str) -> str:
    upper = text.upper().strip()
    for sign, code in SIGNS.items():
        if code != currency and (upper.startswith(sign) or upper.endswith(sign)):
            return code
    return ""


class AskingForm(MeasuredFormMixin, forms.Form):
    """What may be a slip needs a tick, and the tick is for what was asked about.

    Other values than those are asked about anew.
    """

    sure = forms.BooleanField(label=_("It is right, enter it"), required=False)
    asked = forms.CharField(widget=forms.HiddenInput, required=False)

    @property
    def mark(self) -> str:
        """What was typed, in one line; empty where it cannot be read."""
        raise NotImplementedError

    @property
    def is_sure(self) -> bool:
        """Whether the tick stands for what is typed."""
        asked = self.cleaned_data.get("asked")
        return bool(self.cleaned_data.get("sure")) and asked == self.mark


class PaymentForm(AskingForm):
    """Money that arrived, or that was paid back."""

    received_on = DateField(label=_("Received on"))
    reference = TextCleanField(
        label=_("Reference"), max_length=80, required=False,
        help_text=_("As the bank's paper has it, so that it is found again."),
    )  # fmt: skip
    back = forms.BooleanField(
        label=_("Paid back: this money went to the customer"), required=False
    )
    field_order = ("amount", "received_on", "reference", "back", "sure")

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["amount"] = PaidField(
            label=_("Amount"), currency=currency, min_value=cent(currency),
            decimal_places=EXPONENTS[currency],
        )  # fmt: skip
        self.order_fields(self.field_order)

    @property
    def payment(self) -> Received:
        """What is to be entered."""
        clean = self.cleaned_data
        return Received(
            amount=clean["amount"],
            received_on=clean["received_on"],
            reference=clean["reference"],
            back=bool(clean.get("back")),
        )

    @property
    def mark(self) -> str:
        """What was typed, in one line; empty where it cannot be read."""
        if not self.is_bound or not {"amount", "received_on"} <= set(self.cleaned_data):
            return ""
        one = self.payment
        way = "back" if one.back else ""
        return f"{way} {one.amount} {one.received_on} {one.reference}".strip()


class DepositForm(AskingForm):
    """Another deposit than the quote's, and the one it was changed from."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, currency: str, deposit: Decimal, **kwargs: Any
    ) -> None:
        super().__init__(*args, auto_id="id_deposit_%s", **kwargs)
        self.fields["deposit"] = PaidField(
            label=_("Deposit"), currency=currency, decimal_places=EXPONENTS[currency],
            initial=deposit.quantize(cent(currency)),
        )  # fmt: skip
        self.fields["seen"].initial = str(deposit)
        self.order_fields(("deposit", "sure"))

    @property
    def mark(self) -> str:
        """Which deposit is typed."""
        typed = self.cleaned_data.get("deposit") if self.is_bound else None
        return "" if typed is None else str(typed)

    @property
    def was(self) -> Decimal | None:
        """Which deposit it is changed from."""
        try:
            found = Decimal(self.cleaned_data["seen"])
        except ArithmeticError:
            return None
        return found if found.is_finite() else None


class LateForm(MeasuredFormMixin, forms.Form):
    """The sum of an order that was said yes to before payments were kept."""

    def __init__(
        self, *args: Any, currency: str, usual: Decimal, **kwargs: Any
    ) -> None:
        super().__init__(*args, auto_id="id_late_%s", **kwargs)
        self.fields["total"] = PaidField(
            label=_("All there is to pay, with tax"), currency=currency,
            decimal_places=EXPONENTS[currency], min_value=Decimal(0),
            initial=usual.quantize(cent(currency)),
        )  # fmt: skip


class RequestForm(MeasuredFormMixin, forms.Form):
    """What is asked for."""

    what = forms.ChoiceField(choices=lambda: list(NAMES.items()))
