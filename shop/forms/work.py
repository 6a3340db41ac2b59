"""Hours of a knife: one tick a row, and a figure only where no tick says it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from types import MappingProxyType
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.functional import Promise
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from billets.fields import MeasuredFormMixin, QuantityField, form_system
from billets.messages import sentence
from billets.physics.errors import Flag
from billets.units import System
from shop import stages, work
from shop.models import Knife
from shop.work_again import done_before

HOUR = 3600.0
NONE, MORE = "0", "more"
TICKS: Mapping[str, str | Promise] = MappingProxyType(
    {
        NONE: _("none"),
        "0.25": "¼", "0.5": "½", "1": "1", "2": "2", "3": "3",
        MORE: "4+",
    }
)  # fmt: skip
"""What can be ticked, in hours; the last one asks for the figure."""

Place = tuple[str, str]
"""A stage, and a row of hours in it."""


class TicksWidget(forms.RadioSelect):
    """Ticks of which none need be sent: a row the page did not show has none."""

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        """Return what was ticked."""
        return super().value_from_datadict(data, files, name) or NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The boxes of one row in one stage."""

    ticks: BoundField
    exact: BoundField
    waiting: BoundField
    again: BoundField


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The lines of one stage."""

    label: str
    lines: tuple[Line, ...]


class HoursForm(MeasuredFormMixin, forms.Form):
    """Hours of every row a knife has come to."""

    keep = forms.BooleanField(
        label=_("I have looked again: keep it as it is"), required=False
    )
    asked = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, knife: Knife, system: System = "metric", **kwargs: Any
    ) -> None:
        super().__init__(*args, system=system, auto_id="id_hours_%s", **kwargs)
        self.knife, self.so_far = knife, work.stages_so_far(knife)
        self.asks = ""
        before = done_before(knife) if self.places else {}
        for place in self.places:
            self.fields |= _boxes(place, again=before.get(place, ""))
        form_system(self, system)

    @cached_property
    def places(self) -> list[Place]:
        """Every row of every stage the knife has come to; the billet's if it has one.

        Without a billet there is nothing its hours could be held against.
        """
        return [
            (stage, row)
            for stage in self.so_far
            for row in work.rows_of(stage)
            if row != work.BILLET or self.knife.target.plan_id
        ]

    @property
    def here(self) -> list[Group]:
        """The stage the knife stands at."""
        return [self._group(key) for key in self.so_far if key == self.knife.stage]

    @property
    def earlier(self) -> list[Group]:
        """The stages it has left, the last one first."""
        left = [key for key in self.so_far if key != self.knife.stage]
        return [self._group(key) for key in reversed(left)]

    @property
    def earlier_is_wrong(self) -> bool:
        """Whether a box of a stage it has left has to be mended."""
        return any(
            box.errors
            for group in self.earlier
            for line in group.lines
            for box in (line.ticks, line.exact, line.waiting)
        )

    def _group(self, stage: str) -> Group:
        lines = (
            Line(**{what: self[box_of(one, what)] for what in WHATS})
            for one in self.places
            if one[0] == stage
        )
        return Group(label=gettext(stages.label_of(stage)), lines=tuple(lines))

    def clean(self) -> dict[str, Any]:
        """Refuse a tick and a figure that do not go together, and a form of nothing."""
        clean: dict[str, Any] = super().clean() or {}
        for place in self.places:
            tick = clean.get(box_of(place, "ticks"), NONE)
            exact = box_of(place, "exact")
            typed = clean.get(exact)
            if tick == MORE and typed is None and exact not in self.errors:
                self.add_error(exact, _("You ticked 4+: type how many hours it was."))
            if tick not in (NONE, MORE) and typed is not None:
                self.add_error(exact, _("Tick hours or type them, not both."))
        if not self.errors and not self.spent:
            self.add_error(None, _("Tick or type some hours first."))
        return clean

    @property
    def spent(self) -> list[work.Spent]:
        """What is to be written down, still without its driver."""
        made = (self._spent(place) for place in self.places)
        return [one for one in made if one.hands_on or one.waiting]

    def ask(self, doubts: Sequence[Flag], system: System) -> bool:
        """Ask about what looks wrong; say whether it may be kept.

        A tick counts for the very hours it was asked about. A flag's field is a row.
        """
        boxes = {one.row: self._box(one) for one in self.spent if one.hands_on}
        told = {one.row: one.hands_on for one in self.spent if one.hands_on}
        asked = ";".join(f"{one.field}={told[str(one.field)]}" for one in doubts)
        clean = self.cleaned_data
        if not doubts or (clean.get("keep") and clean.get("asked") == asked):
            return True
        self.asks, self.data = asked, dict(self.data.items()) | {"keep": ""}
        for one in doubts:
            looks = gettext("Looks wrong. {why} Mend it, or tick below to keep it.")
            said = looks.format(why=sentence(one, system))
            self.add_error(boxes[str(one.field)], said)
        return False

    def _box(self, spent: work.Spent) -> str:
        """Return the box in which hours were told."""
        typed = self.cleaned_data.get(box_of((spent.stage, spent.row), "exact"))
        what = "ticks" if typed is None else "exact"
        return box_of((spent.stage, spent.row), what)

    def _spent(self, place: Place) -> work.Spent:
        stage, row = place
        tick, exact, waiting, again = (
            self.cleaned_data.get(box_of(place, what)) for what in WHATS
        )
        hands_on = _hours(exact) if tick in (None, NONE, MORE) else Decimal(str(tick))
        return work.Spent(
            stage=stage, row=row, hands_on=hands_on, waiting=_hours(waiting),
            again=bool(again),
        )  # fmt: skip


WHATS = ("ticks", "exact", "waiting", "again")


def box_of(place: Place, what: str) -> str:
    """Return the name of a box.

    >>> box_of(("finish", "grind"), "exact")
    'finish_grind_exact'
    """
    return "_".join((*place, what))


def _boxes(place: Place, *, again: str) -> dict[str, forms.Field]:
    """Return the boxes of a row; ``again`` says why it is ticked as done twice."""
    label = gettext(stages.HOURS_ROWS[place[1]])
    ticks = forms.ChoiceField(
        label=label, choices=list(TICKS.items()), initial=NONE, widget=TicksWidget
    )
    return {
        box_of(place, "ticks"): ticks,
        box_of(place, "exact"): _figure(label, gettext("exactly"), work.MOST_AT_ONCE),
        box_of(place, "waiting"): _figure(label, gettext("waiting"), work.MOST_WAITING),
        box_of(place, "again"): forms.BooleanField(
            label=_named(label, gettext("done again after something went wrong")),
            required=False, initial=bool(again), help_text=again,
        ),
    }  # fmt: skip


def _figure(row: str, what: str, most: Decimal) -> QuantityField:
    return QuantityField(
        kind="hours", required=False, min_value=0.0, max_value=float(most) * HOUR,
        template_name="shop/_work_box.html",
        label=_named(row, what),
    )  # fmt: skip


def _named(row: str, what: str) -> SafeString:
    return format_html('<span class="unseen">{}:</span> {}', row, what)


def _hours(seconds: float | None) -> Decimal:
    return Decimal(str(round((seconds or 0.0) / HOUR, 2)))
