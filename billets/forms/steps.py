"""The steps of a billet's form: one row a step; the boxes of its kind count."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from billets import choices
from billets.fields import EMPTY, MeasuredModelFormMixin, plain_formfield, typed_texts
from billets.forms.boxes import RowField, row_field
from billets.models import BarSize, PlanStep
from billets.plan_steps import STEP_FIELDS, filled_steps, required, step_values
from billets.units import System
from billets.wording import bar_text

BOXES = (
    "width", "thickness", "temperature", "heats", "per_end", "face", "edge", "pieces",
    "turned", "turns", "octagon", "groove_shape", "drill", "point", "depth", "groove",
    "pitch", "core",
)  # fmt: skip
"""The boxes of a step beside its kind, in the order they stand in a row."""

TICKS = ("turned", "octagon")
"""The boxes that are ticked; an empty one says no, not that nothing was said."""

NOTHING = dict.fromkeys(TICKS, False) | {"groove_shape": ""}
"""What a box of another kind of step holds, where that is not None."""

MOST_STEPS = 40
"""Steps beyond which nobody plans a billet."""

USED_BY: Mapping[str, tuple[str, ...]] = {
    box: tuple(kind for kind, (_step, names) in STEP_FIELDS.items() if box in names)
    for box in BOXES
}
"""The kinds of step a box counts for."""


class StepForm(MeasuredModelFormMixin, forms.ModelForm):
    """One step: its kind, and the boxes of all kinds."""

    class Meta:
        model = PlanStep
        fields = ("kind", *BOXES)
        formfield_callback = plain_formfield

    core = RowField(label=_("Bar for the core"), required=False)

    def __init__(self, *args: Any, offered: Offered, **kwargs: Any) -> None:
        super().__init__(*args, system=offered.system, **kwargs)
        row_field(self, "core").offer(offered.bars, offered.texts)
        kind = self.fields["kind"]
        assert isinstance(kind, forms.ChoiceField)  # noqa: S101  the model has choices
        kind.choices = choices.step()
        kind.label = _("Step")

    @property
    def now(self) -> str:
        """The kind of the step as it stands in the form."""
        value = self["kind"].value()
        return value if value in STEP_FIELDS else ""

    @property
    def used(self) -> tuple[str, ...]:
        """The boxes that count for the step as it stands."""
        return STEP_FIELDS[self.now][1] if self.now else ()

    @property
    def was(self) -> int | None:
        """The place of the saved step this row was, if it was one."""
        return self.instance.position if self.instance.pk else None

    @property
    def boxes(self) -> list[tuple[forms.BoundField, str]]:
        """The boxes with the kinds they count for, as classes of the style sheet."""
        return [
            (self[name], " ".join(f"of-{k}" for k in USED_BY[name])) for name in BOXES
        ]

    def clean(self) -> dict[str, Any]:
        """Forget what stands in boxes of other kinds, and ask for what is needed."""
        clean: dict[str, Any] = super().clean() or {}
        kind = clean.get("kind", "")
        known = kind in STEP_FIELDS
        used = STEP_FIELDS[kind][1] if known else ()
        for name in BOXES:
            if name not in used:
                self.errors.pop(name, None)
                clean[name] = NOTHING.get(name)
        for name in required(kind) if known else ():
            if name not in self.errors and clean.get(name) in (None, ""):
                self.add_error(name, EMPTY)
        return clean

    def step_values(self) -> dict[str, Any]:
        """Return the clean step, with what was typed into the boxes that count."""
        used = STEP_FIELDS[self.cleaned_data["kind"]][1]
        typed = {k: v for k, v in typed_texts(self).items() if k in used}
        kept = {name: self.cleaned_data[name] for name in used}
        return {"kind": self.cleaned_data["kind"], **kept, "typed": typed}


class StepForms:
    """All steps of a form, in order; named as the list of errors knows a formset."""

    def __init__(self, forms: Sequence[StepForm]) -> None:
        self.forms = list(forms)

    def is_valid(self) -> bool:
        """Whether every step can be read."""
        return not self.total_error_count()

    def total_error_count(self) -> int:
        """Return how many things there are to mend."""
        return sum(
            len(errors) for form in self.forms for errors in form.errors.values()
        )

    def values(self) -> list[dict[str, Any]]:
        """Return the clean steps."""
        return [form.step_values() for form in self.forms]


def prefix(place: int) -> str:
    """Return what the names of a row's boxes begin with."""
    return f"step-{place}"


@dataclass(frozen=True, kw_only=True)
class Offered:
    """What every step of a form is shown with: bars to choose from, and units."""

    bars: Mapping[str, BarSize]
    system: System

    @cached_property
    def texts(self) -> list[str]:
        """What the bars are called; written once for all steps."""
        return [bar_text(bar, self.system) for bar in self.bars.values()]


def sent_steps(
    data: Mapping[str, Any], count: int, offered: Offered, saved: Sequence[PlanStep]
) -> StepForms:
    """Return the steps as they were sent; ``was`` says which saved step a row is."""
    return StepForms(
        [
            StepForm(
                data,
                prefix=prefix(place),
                offered=offered,
                **_before(data.get(f"{prefix(place)}-was", ""), saved),
            )
            for place in range(count)
        ]
    )


def _before(was: str, saved: Sequence[PlanStep]) -> dict[str, Any]:
    """Return what a row showed when it was first shown, so that untouched is equal."""
    known = {str(row.position): row for row in saved}
    return {"instance": known[was]} if was in known else {}


def saved_steps(rows: Sequence[PlanStep], offered: Offered) -> StepForms:
    """Return the steps of a saved plan; an empty number shows what is usual."""
    shown = filled_steps([step_values(row) for row in rows])
    return StepForms(
        [
            StepForm(
                instance=row,
                initial={k: v for k, v in values.items() if getattr(row, k) is None},
                prefix=prefix(place),
                offered=offered,
            )
            for place, (row, values) in enumerate(zip(rows, shown, strict=True))
        ]
    )


def new_steps(rows: Sequence[Mapping[str, Any]], offered: Offered) -> StepForms:
    """Return steps nobody has saved yet, from values or texts by box."""
    return StepForms(
        [
            StepForm(initial=row, prefix=prefix(place), offered=offered)
            for place, row in enumerate(rows)
        ]
    )
