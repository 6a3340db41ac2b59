"""The form of a paper's text: which, in which language, from which day on, what."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext, gettext_lazy

from billets.fields import DateField, MeasuredFormMixin, TextCleanField
from billets.messages import sentence
from quotes.errors import QuoteError
from quotes.forms import short_date
from quotes.texts import TEXTS
from shop import choices
from shop.models import PaperText

LONGEST = 3000


def text_choices() -> choices.Choices:
    """Return the texts there are."""
    return [(key, gettext(label)) for key, (label, _usual) in TEXTS.items()]


class TextForm(MeasuredFormMixin, forms.Form):
    """A new version of one text."""

    key = forms.ChoiceField(label=gettext_lazy("Text"), choices=text_choices)
    language = forms.ChoiceField(
        label=gettext_lazy("Language"), choices=choices.language
    )
    valid_from = DateField(
        label=gettext_lazy("It counts from"),
        widget=short_date(),
        help_text=gettext_lazy("Papers that are out keep the words they have."),
    )
    text = TextCleanField(
        label=gettext_lazy("What papers say"),
        required=False,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 10}),
        help_text=gettext_lazy(
            "Left empty, papers say the usual sentence again from that day on."
        ),
    )

    @property
    def row(self) -> PaperText:
        """The version as it was typed, not saved yet."""
        names = ("key", "language", "valid_from", "text")
        return PaperText(**{name: self.cleaned_data[name] for name in names})

    def refuse(self, error: QuoteError) -> None:
        """Say what is wrong beside its box, or above all of them."""
        box = error.field if error.field in self.fields else None
        self.add_error(box, sentence(error))
