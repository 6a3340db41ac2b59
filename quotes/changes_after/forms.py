"""The forms of a change after the yes, of the answer to it, and of a cancellation."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    DecimalMoneyField,
    MeasuredFormMixin,
    TextCleanField,
    form_system,
)
from billets.inputs import CURRENCY_SIGNS
from billets.units import System
from quotes.changes_after.figured import Wish
from quotes.money import EXPONENTS
from shop.forms.fields import WeekField
from shop.forms.knives import SPEC, KnifeForm
from shop.forms.stages import CancelForm

CUT = (
    ("no", _("No: nothing is cut for it yet")),
    ("yes", _("Yes: steel is cut, or further")),
)
CUT_LABEL = _("Is the steel cut?")
RECKONED = ("cut", "fee", "total", "new_week")
"""Boxes beside the knife's that what a change comes to hangs on."""

CUT_HINT = _(
    "Filled in from stage, weights and hours written down; you know it better."
)
ANSWERS = (("yes", _("Yes: agreed")), ("no", _("No: it stays as it was")))


class ChangeForm(KnifeForm):
    """A knife as it would be, with what is asked for the change."""

    wish = TextCleanField(
        label=_("What the customer wants"), max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("In the customer's words; it stands on the change note."),
    )  # fmt: skip
    cut = forms.ChoiceField(
        label=CUT_LABEL, choices=CUT, widget=forms.RadioSelect, help_text=CUT_HINT
    )
    new_week = WeekField(
        label=_("New week"), required=False,
        help_text=_("Any day of the week; empty: the promised week stays."),
    )  # fmt: skip

    def __init__(
        self, *args: Any, currency: str, system: System, **kwargs: Any
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        self.fields["cut"].error_messages["required"] = _("Say whether steel is cut.")
        hints = {
            "fee": (_("Fee for the change"), _("Empty: by the ladder.")),
            "total": (
                _("To be paid in all"),
                _("With the change, tax included. Empty: as reckoned."),
            ),
        }
        for name, (label, hint) in hints.items():
            box = DecimalMoneyField(
                label=label, help_text=hint, required=False, currency=currency,
                decimal_places=EXPONENTS[currency], min_value=None,
            )  # fmt: skip
            box.unit = CURRENCY_SIGNS.get(currency, currency)  # type: ignore[attr-defined]
            self.fields[name] = box
        form_system(self, system)

    def clean_fee(self) -> Decimal | None:
        """Refuse a fee that would be given instead of taken."""
        return _not_below_zero(self.cleaned_data["fee"], _(
            "The fee for a change is nothing or more. If the knife becomes cheaper, "
            "leave the fee empty and type what is to be paid in all."
        ))  # fmt: skip

    def clean_total(self) -> Decimal | None:
        """Refuse to pay the customer for a change."""
        return _not_below_zero(self.cleaned_data["total"], _(
            "What is to be paid in all is nothing or more: type the whole sum with the "
            "change, not by how much it differs."
        ))  # fmt: skip

    def only_knife_errors(self) -> None:
        """Forget what was said of boxes that nothing is reckoned from."""
        for name in set(self.errors) - {*SPEC, *RECKONED}:
            del self.errors[name]

    def can_be_reckoned(self) -> bool:
        """Whether all that a change comes to can be read."""
        return self.knife_is_clean() and not set(RECKONED) & set(self.errors)

    def wished(self) -> Wish:
        """Return the change as it is typed, once every box can be read."""
        clean = self.cleaned_data
        return Wish(
            values=self.knife_values(), cut=clean.get("cut") == "yes",
            fee=clean.get("fee"), total=clean.get("total"),
            new_week=clean.get("new_week"),
        )  # fmt: skip


def _not_below_zero(amount: Decimal | None, refusal: Promise) -> Decimal | None:
    if amount is not None and amount < 0:
        raise forms.ValidationError(refusal, code="least")  # type: ignore[arg-type]
    return amount


class ChangeAnswerForm(MeasuredFormMixin, forms.Form):
    """What the customer said to a change, and how."""

    answer = forms.ChoiceField(
        label=_("The customer says"), choices=ANSWERS, widget=forms.RadioSelect
    )
    how = TextCleanField(
        label=_("How it was said"), max_length=200,
        help_text=_("By telephone, by mail, at the shop; on which day, if not today."),
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        said = self.fields["answer"]
        said.error_messages["required"] = _("Choose what the customer said.")

    @property
    def accepted(self) -> bool:
        """Whether the answer is a yes."""
        return bool(self.cleaned_data["answer"] == "yes")


class LadderForm(CancelForm):
    """Why an order is cancelled, and which rung of the ladder counts."""

    cut = forms.ChoiceField(
        label=CUT_LABEL, choices=CUT, widget=forms.RadioSelect, help_text=CUT_HINT
    )
    field_order = ("cut", "reason")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cut"].error_messages["required"] = _("Say whether steel is cut.")
