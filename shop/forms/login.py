"""Signing in, with sentences of our own."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.forms import AuthenticationForm
from django.utils.translation import gettext_lazy as _

from billets.fields import form_system


class LoginForm(AuthenticationForm):
    """Name and password."""

    error_messages = {
        "invalid_login": _(
            "This name and password do not go together: look at both again. Capital "
            "and small letters count."
        ),
        "inactive": _("This account is closed: ask the owner to open it again."),
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = _("Name")
        self.fields["password"].label = _("Password")
        form_system(self, "metric")
        # A cutting limit would hide that a pasted name was too long.
        self.fields["username"].widget.attrs.pop("maxlength", None)
