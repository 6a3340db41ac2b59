"""Boxes that only a billet's form needs: a row of the shop, the order of layers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Model, Q
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from billets.fields import TextCleanField
from billets.letters import read_order
from billets.messages import sentence
from billets.models import BarSize, Equipment, Plan
from billets.physics.errors import PlanError
from billets.units import System
from billets.wording import bar_text

EQUIPMENT = {
    "forge": ("forge",),
    "tool": ("press", "hammer", "hand"),
    "saw": ("saw",),
    "bath": ("bath",),
}
"""The boxes for equipment, with the kinds each takes."""


class RowSelect(forms.Select):
    """A list of rows, written in one go: a template for each option takes 50 ms."""

    def render(
        self, name: str, value: Any, attrs: Any = None, renderer: Any = None
    ) -> SafeString:
        """Return the list with the chosen row marked."""
        chosen = "" if value is None else str(value)
        given = self.build_attrs(self.attrs, {"name": name, **(attrs or {})})
        options = format_html_join(
            "",
            "<option{}>{}</option>",
            (
                (flatatt({"value": key, "selected": str(key) == chosen}), text)
                for key, text in self.choices
            ),
        )
        return format_html("<select{}>{}</select>", flatatt(given), options)


class RowField(forms.ChoiceField):
    """One of some rows that were read beforehand; the clean value is the row."""

    widget = RowSelect

    def __init__(self, **kwargs: Any) -> None:
        self.rows: Mapping[str, Model] = {}
        super().__init__(**kwargs)

    def offer(self, rows: Mapping[str, Model], texts: Iterable[str]) -> None:
        """Say which rows there are and what they are called."""
        none = [] if self.required else [("", "–")]
        self.rows = rows
        self.choices = [*none, *zip(rows, texts, strict=True)]

    def clean(self, value: Any) -> Any:
        """Return the row."""
        return self.rows.get(super().clean(value))

    def prepare_value(self, value: Any) -> Any:
        """Show a row, or its number, as the list names it."""
        key = value.pk if isinstance(value, Model) else value
        return "" if key is None else str(key)


class OrderField(TextCleanField):
    """The order of the layers in letters, short or in full; every letter is kept."""

    def __init__(self, **kwargs: Any) -> None:
        self.typed = ""
        widget = forms.TextInput(attrs={"spellcheck": "false", "autocomplete": "off"})
        super().__init__(max_length=400, widget=widget, **kwargs)

    def clean(self, value: Any) -> str:
        """Return every letter from the bottom up."""
        self.typed = super().clean(value)
        try:
            return read_order(self.typed)
        except PlanError as error:
            raise ValidationError(sentence(error), code="order") from error


@dataclass(frozen=True, slots=True, kw_only=True)
class Offers:
    """The bars and equipment a form offers, read once a request."""

    bars: Mapping[str, BarSize]
    equipment: tuple[Equipment, ...]

    def of_kinds(self, *kinds: str) -> dict[str, Equipment]:
        """Return equipment of some kinds."""
        return {str(one.pk): one for one in self.equipment if one.kind in kinds}

    def fill(self, form: forms.BaseForm, system: System) -> None:
        """Put what is offered into a form's boxes."""
        for name, kinds in EQUIPMENT.items():
            rows = self.of_kinds(*kinds)
            row_field(form, name).offer(rows, map(str, rows.values()))
        texts = [bar_text(bar, system) for bar in self.bars.values()]
        for name, field in form.fields.items():
            if name.startswith("bar_"):
                row_field(form, name).offer(self.bars, texts)
                field.label = _("Bar {letter}").format(letter=name[-1].upper())


def row_field(form: forms.BaseForm, name: str) -> RowField:
    """Return a form's box for a row of the shop."""
    field = form.fields[name]
    assert isinstance(field, RowField)  # noqa: S101  the forms of this package say so
    return field


def offers(plan: Plan | None) -> Offers:
    """Return what is on offer and in use, and whatever a plan has chosen already."""
    bars, equipment = Q(on_offer=True), Q(in_use=True)
    if plan is not None:
        chosen_bars = {row.bar_id for row in plan.bars.all()}
        chosen_bars |= {step.core_id for step in plan.steps.all() if step.core_id}
        bars |= Q(pk__in=chosen_bars)
        chosen = (plan.forge_id, plan.tool_id, plan.saw_id, plan.bath_id)
        equipment |= Q(pk__in=[pk for pk in chosen if pk is not None])
    found = BarSize.objects.filter(bars).select_related("steel")
    found = found.prefetch_related("steel__tempers")
    return Offers(
        bars={str(bar.pk): bar for bar in found},
        equipment=tuple(Equipment.objects.filter(equipment)),
    )
