"""The boxes of the private page: a yes, a no, a question."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from billets.fields import MeasuredFormMixin, TextCleanField, form_system
from quotes.private.standing import how
from quotes.services import Reply
from shop.models import Shop

LONGEST_NAME, LONGEST_REASON, LONGEST_QUESTION = 120, 150, 2000


class YesForm(MeasuredFormMixin, forms.Form):
    """A yes: which option, the name typed under it, and a tick."""

    typed_name = TextCleanField(
        label=_("Your name, typed as your signature"), max_length=LONGEST_NAME,
        widget=forms.TextInput(attrs={"autocomplete": "name", "spellcheck": "false"}),
    )  # fmt: skip
    agree = forms.BooleanField(
        label=_("I order the knife as described in this quote, on these terms.")
    )

    def __init__(
        self, *args: Any, options: Sequence[tuple[str, str]] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        if options:
            self.fields["option"] = forms.ChoiceField(
                label=_("Which one you take"), choices=options,
                widget=forms.RadioSelect,
            )  # fmt: skip
            self.order_fields(["option", "typed_name", "agree"])
            form_system(self, "metric")
            asked = _("Choose the option you take.")
            self.fields["option"].error_messages["required"] = asked
        self.fields["agree"].error_messages["required"] = _(
            "Tick this box if you want to order."
        )

    def reply(self, shop: Shop) -> Reply:
        """Return what was said."""
        return Reply(
            accepted=True, note=how(shop), option=self.taken,
            typed_name=self.cleaned_data["typed_name"],
        )  # fmt: skip

    @property
    def taken(self) -> int | None:
        """The place of the option that was taken, if there is one to take."""
        place = self.cleaned_data.get("option")
        return int(place) if place else None


class NoForm(MeasuredFormMixin, forms.Form):
    """A no, with a reason if one is given."""

    reason = TextCleanField(
        label=_("What speaks against it"), max_length=LONGEST_REASON, required=False
    )

    def reply(self, shop: Shop) -> Reply:
        """Return what was said."""
        return Reply(accepted=False, note=how(shop, self.cleaned_data["reason"]))


def boxes_of(key: int, said: str) -> str:
    """Return what the boxes of an answer to a change begin with."""
    return f"change-{key}-{said}"


class ChangeYesForm(MeasuredFormMixin, forms.Form):
    """A yes to a change: the name typed under it, and a tick."""

    typed_name = TextCleanField(
        label=_("Your name, typed as your signature"), max_length=LONGEST_NAME,
        widget=forms.TextInput(attrs={"autocomplete": "name", "spellcheck": "false"}),
    )  # fmt: skip
    agree = forms.BooleanField(
        label=_("I want the knife changed as described here, at this price.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["agree"].error_messages["required"] = _(
            "Tick this box if you want the change."
        )

    def how(self, shop: Shop) -> str:
        """Say for the shop how it was said."""
        return how(shop, self.cleaned_data["typed_name"])


class ChangeNoForm(MeasuredFormMixin, forms.Form):
    """A no to a change, with a reason if one is given."""

    reason = TextCleanField(
        label=_("What speaks against it"), max_length=LONGEST_REASON, required=False
    )

    def how(self, shop: Shop) -> str:
        """Say for the shop how it was said."""
        return how(shop, self.cleaned_data["reason"])


class AskForm(MeasuredFormMixin, forms.Form):
    """A question to the shop."""

    question = TextCleanField(
        label=_("Your question"), max_length=LONGEST_QUESTION,
        widget=forms.Textarea(attrs={"rows": 5}),
    )  # fmt: skip
