"""Where Django meets quantities: floats in SI in the row, typed text in the form.

``SIField`` says the kind once, on the model. Its box, ``QuantityField``, reads and
shows the shop's units; ``form_system`` tells a form which those are and prefers the
text as it was typed, kept in the row's ``typed`` (a JSON field: text by field name).
Boxes for plain numbers, money, dates and text come from ``billets.inputs`` and
``billets.dates``, and may be imported from here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.forms.models import BaseModelForm
from django.utils.translation import gettext_lazy as _

from billets.dates import DateField as DateField
from billets.grammar import UnitError
from billets.inputs import EMPTY as EMPTY
from billets.inputs import DecimalMoneyField as DecimalMoneyField
from billets.inputs import IntegerCountField as IntegerCountField
from billets.inputs import NumberField as NumberField
from billets.inputs import ReadField as ReadField
from billets.inputs import TextCleanField as TextCleanField
from billets.messages import spoken
from billets.spellings import KINDS
from billets.units import DISPLAYS, System, edit, exact, label_unit, to_si, unit_of

OWN_MESSAGES: Mapping[str, Any] = MappingProxyType(
    {
        "required": EMPTY,
        "invalid": _("This cannot be read: type it another way."),
        "min_value": _("Type %(limit_value)s or more."),
        "max_value": _("Type %(limit_value)s or less."),
        "null_characters_not_allowed": _(
            "A hidden sign is in this text: type it again."
        ),
        "invalid_choice": _("Choose one of the list."),
        "invalid_list": _("Choose from the list."),
        "invalid_pk_value": _("Choose from the list."),
        "max_length": _(
            "Use at most %(limit_value)d signs here: this has %(show_value)d."
        ),
    }
)
"""What a form says instead of Django's stock messages, by their code."""

EMAIL_MESSAGE = _("Type an e-mail address like name@example.org.")


class QuantityField(ReadField):
    """A box for a quantity: text with or without a unit in, SI float out.

    ``system`` is the shop's units, "metric" until ``form_system`` says otherwise;
    ``min_value`` and ``max_value`` are in SI.
    """

    def __init__(self, *, kind: str, **kwargs: Any) -> None:
        self.kind = kind
        # The decimal keypad of a phone has no stroke, no inch mark and no colon.
        letters = DISPLAYS[kind].si == "m" or KINDS[kind].clock == "h"
        self.inputmode = "text" if letters else "decimal"
        self.untouched: Any = None
        super().__init__(**kwargs)

    @property
    def unit(self) -> str:
        """The unit a label prints, and a bare number is read in."""
        return label_unit(self.kind, self.system)

    def read(self, text: str) -> float:
        """Read into SI; a text nobody touched gives the very value it stands for."""
        if isinstance(self.untouched, float) and text == self.write(self.untouched):
            return self.untouched
        return to_si(text, self.kind, unit_of(self.kind, self.system))

    def write(self, value: Any) -> str:
        """Return an SI value as the box shows it."""
        return edit(float(value), self.kind, self.system, spoken())

    def write_bound(self, value: Any) -> str:
        """Return a limit with its unit."""
        return exact(float(value), self.kind, self.system, spoken())

    def get_bound_field(
        self, form: forms.BaseForm, field_name: str
    ) -> forms.BoundField:
        """Remember what the box was given: a form asks for this before it reads."""
        self.untouched = form.get_initial_for_field(self, field_name)
        return super().get_bound_field(form, field_name)


class SIField(models.FloatField):
    """A measured value in SI, whose kind decides the unit it is typed and shown in.

    The limits, in SI too, belong to forms and validation and make no migration.
    """

    default_error_messages = {
        "null": EMPTY,
        "blank": EMPTY,
        "invalid": _("“%(value)s” cannot be kept as a measured value."),
    }

    def __init__(
        self,
        *args: Any,
        kind: str,
        min_value: float | None = None,
        max_value: float | None = None,
        **kwargs: Any,
    ) -> None:
        if kind not in KINDS:
            raise KeyError(
                f"{kind} is no kind of quantity; choose of {', '.join(KINDS)}"
            )
        self.kind, self.min_value, self.max_value = kind, min_value, max_value
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> Any:
        """Keep the kind in migrations, so that they can build the field again."""
        name, path, args, kwargs = super().deconstruct()
        return name, path, args, {**kwargs, "kind": self.kind}

    def to_python(self, value: Any) -> Any:
        """Return a finite float; infinity and not-a-number never reach a row."""
        number = super().to_python(value)
        if number is not None and not math.isfinite(number):
            message = self.error_messages["invalid"]
            raise ValidationError(message, code="invalid", params={"value": value})
        return number

    def get_prep_value(self, value: Any) -> Any:
        """Return what the database keeps; a value that is no number is a fault."""
        number = super().get_prep_value(value)
        if isinstance(number, float) and not math.isfinite(number):
            raise ValueError(f"{self.name} would be {number} in the database")
        return number

    def validate(self, value: Any, model_instance: models.Model | None) -> None:
        """Hold the limits where no form did, such as for rows from a file."""
        super().validate(value, model_instance)
        if value is not None:
            self.box().validate(value)

    def box(self) -> QuantityField:
        """Return a form field with the kind and limits of this one."""
        return QuantityField(
            kind=self.kind, min_value=self.min_value, max_value=self.max_value
        )

    def formfield(self, **kwargs: Any) -> Any:
        """Return the box of a form."""
        own: dict[str, Any] = {
            "form_class": QuantityField, "kind": self.kind,
            "min_value": self.min_value, "max_value": self.max_value,
        }  # fmt: skip
        return super().formfield(**(own | kwargs))


def form_system(form: forms.BaseForm, system: System) -> None:
    """Set a form to the shop's units, to typed text, and to sentences of our own."""
    form.use_required_attribute = False
    texts = getattr(getattr(form, "instance", None), "typed", None) or {}
    for name, field in form.fields.items():
        _speak_plainly(field)
        if isinstance(field, ReadField):
            field.system = system
        if isinstance(field, QuantityField):
            stored = form.get_initial_for_field(field, name)
            if _still_means(texts.get(name), stored, field):
                form.initial[name] = texts[name]


def typed_texts(form: forms.BaseForm) -> dict[str, str]:
    """Return what was typed into boxes for quantities, to keep beside the values."""
    return {
        name: field.typed
        for name, field in form.fields.items()
        if isinstance(field, QuantityField) and field.typed
    }


class MeasuredFormMixin(forms.BaseForm):
    """A form in the shop's units: ``TryForm(data, system="inch")``."""

    def __init__(self, *args: Any, system: System = "metric", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        form_system(self, system)


class MeasuredModelFormMixin(MeasuredFormMixin, BaseModelForm):
    """A form of a row in the shop's units; on saving, ``row.typed`` keeps the text."""

    def save(self, commit: bool = True) -> Any:  # noqa: FBT001, FBT002  as in Django
        """Keep the typed text, then save as usual."""
        row: Any = self.instance
        if isinstance(getattr(row, "typed", None), dict):
            others = {n: t for n, t in row.typed.items() if n not in self.fields}
            row.typed = others | typed_texts(self)
        return super().save(commit=commit)


def plain_formfield(db_field: models.Field, **kwargs: Any) -> Any:
    """Give a row's plain fields our boxes: ``formfield_callback = plain_formfield``."""
    box = next((b for kind, b in BOXES.items() if isinstance(db_field, kind)), None)
    own = isinstance(db_field, SIField | models.EmailField | models.SlugField)
    if box is None or own or db_field.choices:
        return db_field.formfield(**kwargs)
    return db_field.formfield(**({"form_class": box} | kwargs))


BOXES: Mapping[type[models.Field], type[forms.Field]] = MappingProxyType(
    {
        models.DateTimeField: forms.DateTimeField,
        models.CharField: TextCleanField,
        models.TextField: TextCleanField,
        models.DateField: DateField,
        models.DecimalField: DecimalMoneyField,
        models.IntegerField: IntegerCountField,
        models.FloatField: NumberField,
    }
)
"""The box of each plain field; a time of day is a field of its own."""


def _still_means(text: Any, stored: Any, field: QuantityField) -> bool:
    """Whether typed text still gives the value in the row, in the units of today."""
    if not isinstance(text, str):
        return False
    try:
        value = to_si(text, field.kind, unit_of(field.kind, field.system))
    except UnitError:
        return False
    return bool(value == stored)


def _speak_plainly(field: forms.Field) -> None:
    """Replace stock messages that the field has not replaced itself."""
    if isinstance(field, ReadField | DateField | TextCleanField):
        return
    field.error_messages.update(OWN_MESSAGES)
    if isinstance(field, forms.EmailField):
        field.error_messages["invalid"] = EMAIL_MESSAGE
