"""The whole form of a billet: its boxes and its steps as one thing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Self, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _

from billets.comparing import NAMES
from billets.forms.boxes import EQUIPMENT, offers
from billets.forms.plan import BAR_BOXES, PlanForm
from billets.forms.steps import (
    Offered,
    StepForm,
    StepForms,
    new_steps,
    saved_steps,
    sent_steps,
)
from billets.forms.texts import pressed, rows_of, start_texts, texts_of
from billets.letters import write_order
from billets.messages import Said, sentence
from billets.models import Plan, PlanStep, PlanTarget
from billets.physics.fit import Fit
from billets.plan_steps import filled_steps, step_values
from billets.services import PlanSpec, make_spec
from billets.trying import Aim
from billets.units import System
from billets.verdicts import fit_text

PLACES = {"layers": "order", "density": "order", "steps": "order"}
"""Where a refusal of the whole stack stands; those of a step stand in its row."""

UNCOUNTED = ("title", "note", "template")
"""Boxes no figure comes from: a try needs none of them."""


@dataclass(slots=True, kw_only=True)
class PlanEditor:
    """A billet's form as it is shown, tried, fitted and saved.

    Attributes
    ----------
    form : PlanForm
        All boxes but those of the steps.
    steps : StepForms
        The steps, one form each.
    fitted : str
        What was fitted last, in a sentence.
    """

    form: PlanForm
    steps: StepForms
    system: System
    fitted: str = ""

    # --- made -----------------------------------------------------------------------

    @classmethod
    def fresh(cls, system: System) -> Self:
        """Return the form of a new billet with a plan to begin with."""
        offered = offers(None)
        boxes, rows = start_texts(offered, system)
        boxes |= {name: getattr(Plan(), name) for name in ("chance", "seed")}
        for name, kinds in EQUIPMENT.items():
            boxes[name] = next(iter(offered.of_kinds(*kinds).values()), None)
        form = PlanForm(initial=boxes, offers=offered, system=system)
        steps = new_steps(rows, Offered(bars=offered.bars, system=system))
        return cls.sent(texts_of(form, steps), system)

    @classmethod
    def like(cls, plan: Plan, system: System) -> Self:
        """Return the form of a new billet that begins as a copy of another."""
        boxes = {name: getattr(plan, name) for name in NAMES} | _bar_boxes(plan)
        boxes["title"] = _("{title}, again").format(title=plan.title)[:80]
        boxes["template"] = ""  # a class has one template, and that stays the first
        offered = offers(plan)
        form = PlanForm(initial=boxes, offers=offered, system=system)
        rows = filled_steps([step_values(row) for row in plan.steps.all()])
        steps = new_steps(rows, Offered(bars=offered.bars, system=system))
        return cls.sent(texts_of(form, steps), system, like=plan)

    @classmethod
    def of(cls, plan: Plan, system: System) -> Self:
        """Return the form of a saved billet."""
        offered = offers(plan)
        form = PlanForm(
            instance=plan, initial=_bar_boxes(plan), offers=offered, system=system
        )
        boxes = Offered(bars=offered.bars, system=system)
        steps = saved_steps(list(plan.steps.all()), boxes)
        return cls(form=form, steps=steps, system=system)

    @classmethod
    def sent(
        cls,
        data: QueryDict,
        system: System,
        plan: Plan | None = None,
        *,
        like: Plan | None = None,
    ) -> Self:
        """Return the form as it was sent, after the button that was pressed."""
        data, offered = pressed(data, system), offers(plan or like)
        form = PlanForm(
            data,
            instance=plan,
            initial=_bar_boxes(plan) if plan else None,
            offers=offered,
            system=system,
        )
        boxes = Offered(bars=offered.bars, system=system)
        saved: Sequence[PlanStep] = list(plan.steps.all()) if plan else ()
        steps = sent_steps(data, len(rows_of(data)), boxes, saved)
        return cls(form=form, steps=steps, system=system)

    # --- read -----------------------------------------------------------------------

    def is_valid(self) -> bool:
        """Whether every box can be read."""
        return self.form.is_valid() and self.steps.is_valid()

    def can_be_computed(self) -> bool:
        """Whether every box can be read that a figure comes from."""
        read = set(self.form.errors) <= set(UNCOUNTED)
        return read and self.steps.is_valid()

    def forgive(self) -> None:
        """Forget what is wrong in boxes no figure comes from: a try saves nothing."""
        for name in set(UNCOUNTED) & set(self.form.errors):
            del self.form.errors[name]

    def aim(self, rows: Sequence[PlanTarget]) -> Aim:
        """Return what the billet must give, as the form says how surely."""
        clean = self.form.cleaned_data
        return Aim(rows=rows, chance=clean["chance"], seed=clean["seed"])

    def spec(self) -> PlanSpec:
        """Return the billet in plain values; PlanError if a step lacks something."""
        return make_spec(self.form.plan(), self.form.bars, self.steps.values())

    def write_fit(self, spec: PlanSpec, fit: Fit, *, by_pieces: bool) -> None:
        """Put a fitted stack into the boxes, and say what it is."""
        data = cast(QueryDict, self.form.data)
        if by_pieces:
            data["order"] = write_order(spec.order)
        else:
            millimetres = str(round(float(fit.stack.length) * 1000))
            data["length"] = (
                f"{millimetres} mm" if self.system == "inch" else millimetres
            )
        self.fitted = fit_text(fit, self.system, by_pieces=by_pieces)

    # --- refused --------------------------------------------------------------------

    def refuse(self, error: Said) -> None:
        """Say what the physics refuses beside its box, else above all of them."""
        form, box = self._place_of(error)
        form.add_error(box, sentence(error, self.system))

    def _place_of(self, error: Said) -> tuple[forms.BaseForm, str | None]:
        row = self._row_of(error.values.get("step"))
        if row is not None and error.field not in EQUIPMENT:
            return row, error.field if error.field in row.used else "kind"
        letter = error.values.get("letter")
        if error.field == "order" and letter in BAR_BOXES:
            return self.form, BAR_BOXES[str(letter)]
        box = PLACES.get(error.field or "", error.field)
        return self.form, box if box in self.form.fields else None

    def _row_of(self, number: object) -> StepForm | None:
        rows = self.steps.forms
        known = isinstance(number, int) and 0 < number <= len(rows)
        return rows[number - 1] if known and isinstance(number, int) else None


def _bar_boxes(plan: Plan) -> dict[str, Any]:
    rows = plan.bars.all()
    return {BAR_BOXES[row.letter]: row.bar for row in rows if row.letter in BAR_BOXES}
