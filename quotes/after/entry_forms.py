"""The form in which weights are written down at the bench."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.fields import MeasuredFormMixin, QuantityField, form_system
from billets.grammar import UnitError
from billets.messages import sentence
from billets.physics.errors import Flag
from billets.physics.errors import _ as marked
from billets.units import System
from shop import choices
from shop.entries import MEASURED_IN, TYPED_MOST, kinds_of
from shop.models import Knife
from shop.stages import StageError

MOST = 1000.0
"""No smith of three stacks more; it also keeps infinity out [kg]."""

HINTS: Mapping[str, str | Promise] = MappingProxyType(
    {
        "stack": gettext_lazy("All bars and cores, before the first weld."),
        "bar": gettext_lazy("As it leaves the forge, before it is ground clean."),
        "gas": gettext_lazy(
            "From the first lighting until the blades are forged: the bottle before "
            "and after."
        ),
        "knife": gettext_lazy("With its handle, as it goes out."),
    }
)
"""What is to be put on the scale, by kind of entry."""


class WeighedForm(MeasuredFormMixin, forms.Form):
    """What was weighed, in one box a kind; those left empty write nothing."""

    keep = forms.BooleanField(
        label=gettext_lazy("I have looked again: keep it as it is"), required=False
    )
    asked = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, knife: Knife, system: System = "metric", **kwargs: Any
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        self.asks = ""
        self.kinds = kinds_of(knife)
        labels = dict(choices.entry_kind())
        for kind in self.kinds:
            self.fields[kind] = QuantityField(
                kind=MEASURED_IN[kind], label=capfirst(str(labels[kind])),
                help_text=HINTS[kind], required=False, max_value=MOST,
            )  # fmt: skip
        form_system(self, system)

    @property
    def boxes(self) -> list[forms.BoundField]:
        """The boxes that can be filled in."""
        return [self[kind] for kind in self.kinds]

    @property
    def values(self) -> dict[str, float]:
        """What was weighed, by kind [kg]."""
        told = ((kind, self.cleaned_data.get(kind)) for kind in self.kinds)
        return {kind: value for kind, value in told if value is not None}

    def typed(self, kind: str) -> str:
        """Return what stood in a box."""
        text: str = getattr(self.fields[kind], "typed", "")
        return text

    def clean(self) -> dict[str, Any]:
        """Refuse nothing at all, nothing on the scale, and a text nobody can keep."""
        clean = super().clean() or self.cleaned_data
        for kind, value in self.values.items():
            if value <= 0:
                self.add_error(kind, _("Weigh again: this must be above zero."))
            elif len(self.typed(kind)) > TYPED_MOST:
                self.add_error(kind, self._too_long(kind))
        if not self.errors and not self.values:
            raise forms.ValidationError(_("Fill in what was weighed."), code="empty")
        return clean

    def _too_long(self, kind: str) -> str:
        return sentence(
            UnitError(
                marked("Use at most {limit} signs here: this has {count}."),
                limit=TYPED_MOST, count=len(self.typed(kind)),
            )
        )  # fmt: skip

    def ask(self, doubts: Sequence[Flag], system: System) -> bool:
        """Ask about what looks wrong; say whether it may be kept.

        A tick counts for the very weights it was asked about.
        """
        asked = ";".join(
            f"{one.field}={self.values[str(one.field)]!r}" for one in doubts
        )
        clean = self.cleaned_data
        if not doubts or (clean.get("keep") and clean.get("asked") == asked):
            return True
        self.asks, self.data = asked, dict(self.data.items()) | {"keep": ""}
        for one in doubts:
            looks = _("Looks wrong. {why} Weigh again, or tick below to keep it.")
            self.add_error(one.field, looks.format(why=sentence(one, system)))
        return False

    def refuse(self, error: StageError, system: System) -> None:
        """Show what the bench refuses, beside its box."""
        box = error.field if error.field in self.fields else None
        self.add_error(box, sentence(error, system))
