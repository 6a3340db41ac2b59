"""The form of a message to a customer."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.fields import MeasuredFormMixin, TextCleanField, form_system
from billets.units import System
from quotes.choices import paper_kind
from quotes.mails.masking import MASK
from quotes.models import Paper
from shop.templatetags.shop_words import day

LONGEST_ADDRESS, LONGEST_SUBJECT, LONGEST_BODY = 254, 200, 8000


class SubjectField(TextCleanField):
    """One line; a break in it is refused, for mail would take what follows for a head.

    Other boxes make a space of it: here somebody tries something.
    """

    def to_python(self, value: Any) -> Any:
        """Refuse every sign that any program takes for the end of a line."""
        text = str(value or "")
        if len((text + ".").splitlines()) > 1:
            raise ValidationError(
                _("A subject stands on one line: take the line break out."),
                code="line_break",
            )
        return super().to_python(value)


class MailForm(MeasuredFormMixin, forms.Form):
    """A message: to whom, about what, in which words, with which paper."""

    to = forms.EmailField(
        label=gettext_lazy("To"), max_length=LONGEST_ADDRESS,
        widget=forms.EmailInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )  # fmt: skip
    subject = SubjectField(label=gettext_lazy("Subject"), max_length=LONGEST_SUBJECT)
    body = TextCleanField(
        label=gettext_lazy("Text"), max_length=LONGEST_BODY,
        widget=forms.Textarea(attrs={"rows": 14}),
    )  # fmt: skip

    def __init__(
        self, *args: Any, papers: Iterable[Paper], language: str, system: System,
        **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, system=system, **kwargs)
        self.papers = {str(one.pk): one for one in papers}
        named = [(key, paper_text(one)) for key, one in self.papers.items()]
        self.fields["paper"] = forms.ChoiceField(
            label=gettext_lazy("Paper attached"), required=False,
            choices=[("", gettext_lazy("none")), *named],
        )  # fmt: skip
        for name in ("subject", "body"):
            self.fields[name].widget.attrs["lang"] = language
        if MASK in str(self.initial.get("body", "")):
            self.fields["body"].help_text = gettext_lazy(
                "The private link was not kept with the message: make a new one, and "
                "put it in the place of “/q/…”."
            )
        form_system(self, system)
        # A cutting limit would hide that a pasted address was too long.
        self.fields["to"].widget.attrs.pop("maxlength", None)

    def clean(self) -> dict[str, Any]:
        """Refuse a link whose secret was taken out when the message was kept."""
        super().clean()
        for name in ("subject", "body"):
            if MASK in self.cleaned_data.get(name, ""):
                self.add_error(name, _(
                    "The private link in it was not kept with the message and opens "
                    "nothing: make a new link, and put it in the place of {mask}."
                ).format(mask=MASK))  # fmt: skip
        return self.cleaned_data

    @property
    def chosen(self) -> Paper | None:
        """The paper that was chosen."""
        return self.papers.get(self.cleaned_data.get("paper") or "")

    @property
    def values(self) -> dict[str, Any]:
        """The columns of the message."""
        names = ("to", "subject", "body")
        typed = {name: self.cleaned_data[name] for name in names}
        return {**typed, "paper": self.chosen}


def paper_text(paper: Paper) -> str:
    """Return a paper as a list names it."""
    return _("{paper}, {number} of {day}").format(
        paper=dict(paper_kind())[paper.kind], number=paper.revision,
        day=day(paper.made_at),
    )  # fmt: skip
