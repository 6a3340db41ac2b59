"""The forms that ask for the password again: for the file, to erase, to destroy."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.fields import MeasuredFormMixin
from quotes.privacy.erasing import REASONS
from quotes.privacy.owing import Between
from quotes.privacy.purging import Past

LONGEST_PASSWORD = 4096


class PasswordForm(MeasuredFormMixin, forms.Form):
    """The password of whoever is signed in, asked again."""

    password = forms.CharField(
        label=gettext_lazy("Your password, once more"), strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )  # fmt: skip

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        self.user = user
        super().__init__(*args, **kwargs)

    def clean_password(self) -> str:
        """Refuse another word; what is longer than any password is not even tried."""
        word: str = self.cleaned_data["password"]
        if len(word) > LONGEST_PASSWORD or not self.user.check_password(word):
            raise ValidationError(
                _("This is not your password: capital and small letters count."),
                code="password",
            )
        return word


class EraseForm(PasswordForm):
    """Why a customer is erased, a tick for each sum that is open, and the password."""

    reason = forms.ChoiceField(
        label=gettext_lazy("Why"), choices=list(REASONS.items()),
        widget=forms.RadioSelect,
        help_text=gettext_lazy(
            "It is kept with the erased customer; words of your own could bring the "
            "name back."
        ),
    )  # fmt: skip

    field_order = ("reason", "settled", "password")

    def __init__(self, *args: Any, money: Sequence[Between], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.money = money
        if money:
            self.fields["settled"] = forms.MultipleChoiceField(
                label=gettext_lazy("Money is open. Erase all the same"),
                choices=[(one.mark, one.said) for one in money],
                widget=forms.CheckboxSelectMultiple,
                help_text=gettext_lazy(
                    "Once the name is gone nobody can be reminded, and nothing can be "
                    "given back. Tick each sum that is to be left as it is."
                ),
                error_messages={"required": self._untold(money), "invalid_choice": _(
                    "A sum has changed since: look at it again, and tick it."
                )},
            )  # fmt: skip
            self.order_fields(self.field_order)

    def _untold(self, money: Sequence[Between]) -> str:
        text = _("Tick this too, or settle it first: {sums}")
        return text.format(sums=" ".join(one.said for one in money))

    def clean(self) -> dict[str, Any]:
        """Ask for a tick for every sum."""
        super().clean()
        ticked = set(self.cleaned_data.get("settled") or ())
        left = [one for one in self.money if one.mark not in ticked]
        if left and "settled" not in self.errors:
            self.add_error("settled", self._untold(left))
        return self.cleaned_data

    @property
    def settled(self) -> list[str]:
        """The marks of the sums that were ticked."""
        return list(self.cleaned_data.get("settled") or ())


class PurgeForm(PasswordForm):
    """A tick for what was counted, and the password."""

    agree = forms.BooleanField(
        label=gettext_lazy("Destroy these papers for good"), required=False
    )
    mark = forms.CharField(widget=forms.HiddenInput, required=False)

    field_order = ("agree", "password")

    def __init__(self, *args: Any, past: Past, **kwargs: Any) -> None:
        super().__init__(*args, initial={"mark": past.mark}, **kwargs)

    def clean_agree(self) -> bool:
        """Refuse to destroy anything without the tick."""
        if not self.cleaned_data["agree"]:
            raise ValidationError(
                _("Tick this: what is destroyed cannot be brought back."), code="agree"
            )
        return True
