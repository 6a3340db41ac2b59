"""The forms that ask for the password again: for everything as a file, for erasing."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.fields import MeasuredFormMixin
from quotes.privacy.erasing import REASONS

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
    """Why a customer is erased; and the password."""

    reason = forms.ChoiceField(
        label=gettext_lazy("Why"), choices=list(REASONS.items()),
        widget=forms.RadioSelect,
        help_text=gettext_lazy(
            "It is kept with the erased customer; words of your own could bring the "
            "name back."
        ),
    )  # fmt: skip

    field_order = ("reason", "password")
