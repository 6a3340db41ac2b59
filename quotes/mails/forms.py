"""The form of a message to a customer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.fields import MeasuredFormMixin, TextCleanField, form_system
from billets.units import System
from quotes.choices import paper_kind
from quotes.mails.masking import MASK
from quotes.mails.texts import UNKNOWN
from quotes.models import Paper
from shop.models import Photo
from shop.photos import called
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


class PhotoTicks(forms.CheckboxSelectMultiple):
    """Ticks of photos, each beside its picture."""

    option_template_name = "quotes/_photo_tick.html"
    photos: Sequence[Photo] = ()

    def create_option(self, name: str, value: Any, *args: Any, **kwargs: Any) -> Any:
        """Put the photo beside what Django says of its tick."""
        option = super().create_option(name, value, *args, **kwargs)
        return option | {"photo": next(x for x in self.photos if str(x.pk) == value)}


class MailForm(MeasuredFormMixin, forms.Form):
    """A message: to whom, about what, in which words, with which paper and photos.

    ``linked`` says that a private link can be made when it is sent, ``papered`` that a
    paper goes with it unless somebody says that none does.
    """

    to = forms.EmailField(
        label=gettext_lazy("To"), max_length=LONGEST_ADDRESS,
        widget=forms.EmailInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )  # fmt: skip
    subject = SubjectField(label=gettext_lazy("Subject"), max_length=LONGEST_SUBJECT)
    body = TextCleanField(
        label=gettext_lazy("Text"), max_length=LONGEST_BODY,
        widget=forms.Textarea(attrs={"rows": 16}),
    )  # fmt: skip

    def __init__(
        self, *args: Any, papers: Iterable[Paper], photos: Sequence[Photo],
        language: str, system: System, linked: bool, papered: bool, **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, system=system, **kwargs)
        self.linked, self.papered = linked, papered
        self.papers = {str(one.pk): one for one in papers}
        self.photos = {str(one.pk): one for one in photos}
        self._offer_papers()
        if self.photos:
            self._offer_photos()
        for name in ("subject", "body"):
            self.fields[name].widget.attrs["lang"] = language
        form_system(self, system)
        # A cutting limit would hide that a pasted address was too long.
        self.fields["to"].widget.attrs.pop("maxlength", None)

    def _offer_papers(self) -> None:
        named = [(key, paper_text(one)) for key, one in self.papers.items()]
        self.fields["paper"] = forms.ChoiceField(
            label=gettext_lazy("Paper attached"), required=False,
            choices=[("", gettext_lazy("none")), *named],
        )  # fmt: skip
        if self.papered:
            self.fields["bare"] = forms.BooleanField(
                label=gettext_lazy("Without a paper"), required=False,
                help_text=gettext_lazy(
                    "A paper goes with this message. If none is to, tick this, and "
                    "take out what the text says of one."
                ),
            )  # fmt: skip

    def _offer_photos(self) -> None:
        ticks = PhotoTicks()
        ticks.photos = list(self.photos.values())
        self.fields["photos"] = forms.MultipleChoiceField(
            label=gettext_lazy("Photos attached"), required=False, widget=ticks,
            choices=[(key, called(one)) for key, one in self.photos.items()],
            help_text=gettext_lazy(
                "Those the customer may see and those that go with the balance; at "
                "most 10, and 8 megabytes in all."
            ),
        )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Refuse gaps, a paper forgotten, and the mark of a link that nobody makes."""
        super().clean()
        self._check_link()
        for name in ("subject", "body"):
            if UNKNOWN in self.cleaned_data.get(name, ""):
                self.add_error(name, _(
                    "{mark} stands for something that is not known here: put in what "
                    "belongs there, or take the sentence out."
                ).format(mark=UNKNOWN))  # fmt: skip
        chosen = self.cleaned_data.get("paper", "unreadable")
        if self.papered and not chosen and not self.cleaned_data.get("bare"):
            self.add_error("paper", _(
                "No paper is chosen, and one goes with this message: choose it, make "
                "it first, or tick that it goes without a paper."
            ))  # fmt: skip
        return self.cleaned_data

    def _check_link(self) -> None:
        if MASK in self.cleaned_data.get("subject", ""):
            self.add_error("subject", _(
                "A private link does not belong into a subject, which others may see: "
                "take it out."
            ))  # fmt: skip
        if MASK in self.cleaned_data.get("body", "") and self._by_hand:
            self.add_error("body", _(
                "{mark} stands for a private link that was not kept, and opens "
                "nothing: make a new link, or take the line out."
            ).format(mark=MASK))  # fmt: skip

    @property
    def _by_hand(self) -> bool:
        """Whether nobody puts a link in the place of its mark any more."""
        return not self.linked or "copied" in self.data

    @property
    def ticked(self) -> list[Photo]:
        """The photos that were ticked, in the order of the page."""
        keys = set(self.cleaned_data.get("photos") or ())
        return [one for key, one in self.photos.items() if key in keys]

    @property
    def chosen(self) -> Paper | None:
        """The paper that was chosen."""
        return self.papers.get(self.cleaned_data.get("paper") or "")

    @property
    def values(self) -> dict[str, Any]:
        """The columns of the message."""
        names = ("to", "subject", "body")
        typed = {name: self.cleaned_data[name] for name in names}
        return {**typed, "paper": self.chosen, "photos": self.ticked}


def paper_text(paper: Paper) -> str:
    """Return a paper as a list names it."""
    return _("{paper}, {number} of {day}").format(
        paper=dict(paper_kind())[paper.kind], number=paper.revision,
        day=day(paper.made_at),
    )  # fmt: skip
