"""The boxes of a floor price: six of them, and the caller's name when it is kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Self

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from billets.box_texts import size_text
from billets.choices import pattern_class
from billets.fields import (
    DecimalMoneyField,
    MeasuredFormMixin,
    QuantityField,
    TextCleanField,
    form_system,
)
from billets.grammar import UnitError
from billets.idempotency import FIELD, LONGEST, led_to, new_key
from billets.inputs import CURRENCY_SIGNS
from billets.messages import Said, sentence
from billets.physics.families import FAMILIES
from billets.units import System, to_si, unit_of
from quotes.floor.answer import Call
from quotes.floor.knife import AS_USUAL, HANDLE_CLASSES
from quotes.money import EXPONENTS
from shop import choices
from shop.forms.fields import OFF, WeekField
from shop.usual import FIRST_FAMILY
from shop.weeks import monday_of

BOXES = ("family", "length", "pattern", "handle", "wanted", "named")
"""Everything a caller is asked."""


class FloorForm(MeasuredFormMixin, forms.Form):
    """What a caller asks for. Every box has a usual value.

    Attributes
    ----------
    first : bool
        Whether nothing was asked yet, and everything is as usual.
    key : str
        What an order made of this answer is known by, so that it is made once.
    """

    first: bool = True
    key: str = ""

    family = forms.ChoiceField(label=_("Knife"), choices=choices.family)
    length = QuantityField(
        kind="length", label=_("Edge length"), required=False,
        help_text=_("Empty: the usual one."),
    )  # fmt: skip
    pattern = forms.ChoiceField(label=_("Pattern"), choices=pattern_class)
    handle = forms.ChoiceField(label=_("Handle"), required=False)
    wanted = WeekField(
        label=_("Wanted in the week of"), required=False,
        help_text=_("Any day of that week."),
    )  # fmt: skip

    def __init__(
        self, *args: Any, currency: str, system: System, **kwargs: Any
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        self.system = system
        handles = [(key, one.label) for key, one in HANDLE_CLASSES.items()]
        handle = self.fields["handle"]
        assert isinstance(handle, forms.ChoiceField)  # noqa: S101  declared above
        handle.choices = [(AS_USUAL, _("as usual for the knife")), *handles]
        named = DecimalMoneyField(
            label=_("Price the caller named"), required=False, currency=currency,
            decimal_places=EXPONENTS[currency], help_text=_("Tax included."),
        )  # fmt: skip
        named.unit = CURRENCY_SIGNS.get(currency, currency)  # type: ignore[attr-defined]
        self.fields["named"] = named
        form_system(self, system)

    @classmethod
    def asking(cls, sent: Mapping[str, Any], *, currency: str, system: System) -> Self:
        """Return the form as it was sent; what was left out is as usual.

        A length that was the usual one of the family before gives way with it.
        """
        data = {name: str(sent.get(name, "")) for name in BOXES}
        data["family"] = data["family"] or FIRST_FAMILY
        data["pattern"] = data["pattern"] or str(pattern_class()[0][0])
        if _untouched(data["length"], str(sent.get("filled", "")), system):
            data["length"] = ""
        if not data["length"].strip() and data["family"] in FAMILIES:
            data["length"] = usual_length(data["family"], system)
        form = cls(data, currency=currency, system=system)
        form.first = not any(name in sent for name in BOXES)
        form.key = str(sent.get(FIELD) or sent.get("call") or "")[:LONGEST]
        form.key = form.key or new_key()
        return form

    @property
    def next_key(self) -> str:
        """A key for the next call, so that an answer keeps its own in its address.

        Going back to an answer shows it with the key it was saved with.
        """
        return new_key()

    @property
    def saved(self) -> str:
        """Where what was saved of this answer is found; empty if nothing was."""
        return led_to(self.key)

    @property
    def filled(self) -> str:
        """The family whose usual length the box holds, or would."""
        return str(self.data.get("family", ""))

    def clean_wanted(self) -> dt.date | None:
        """Refuse a week that is over."""
        week: dt.date | None = self.cleaned_data["wanted"]
        if week is not None and week < monday_of(timezone.localdate()):
            message = _("This week is over: type a day of this week or of a later one.")
            raise ValidationError(message, code="past")
        return week

    def asked(self) -> Call:
        """Return what is asked for."""
        clean = self.cleaned_data
        return Call(**{name: clean[name] for name in BOXES})

    def refuse(self, error: Said) -> None:
        """Say beside the box what the knife cannot be, above all boxes if it has none.

        Boxes the page does not have belong to the length: all else is as usual for it.
        """
        place = error.field if error.field in self.fields else "length"
        self.add_error(place, sentence(error, self.system))


def usual_length(key: str, system: System) -> str:
    """Return the usual length of a family as the box holds it."""
    return size_text(FAMILIES[key].length.typical, "length", system)


def _untouched(text: str, key: str, system: System) -> bool:
    """Say whether a length is still the one the page had put in for a family."""
    if key not in FAMILIES:
        return False
    unit = unit_of("length", system)
    try:
        return to_si(text, "length", unit) == to_si(
            usual_length(key, system), "length", unit
        )
    except UnitError:
        return False


class CallerForm(MeasuredFormMixin, forms.Form):
    """Who called, if they said so."""

    caller = TextCleanField(
        label=_("Name of the caller"), required=False, max_length=80,
        widget=forms.TextInput(attrs=OFF),
        help_text=_("Empty: “Caller” with day and time; change it later."),
    )  # fmt: skip
