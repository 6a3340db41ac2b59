"""Two versions of a billet beside each other, where two people saved different ones."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from billets.fields import SIField
from billets.letters import write_order
from billets.models import BarSize, Plan
from billets.physics import steps as words
from billets.units import System
from billets.wording import bar_text, neat, share, step_text

NAMES = ("title", "order", "length", "width", "forge", "tool", "saw", "bath",
         "chance", "seed", "note", "template")  # fmt: skip
"""What a billet says of itself, beside its bars and steps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing that two versions say differently."""

    label: str
    mine: str
    theirs: str


def plan_lines(
    plan: Plan,
    bars: Mapping[str, BarSize],
    steps: Iterable[words.Step],
    system: System,
) -> dict[str, str]:
    """Return all that a billet says, as text by label."""
    lines = {_label(name): _text(plan, name, system) for name in NAMES}
    for letter, bar in bars.items():
        lines[_("Bar {letter}").format(letter=letter)] = bar_text(bar, system)
    for number, step in enumerate(steps, start=1):
        lines[_("Step {number}").format(number=number)] = step_text(step, system)
    return lines


def differences(mine: Mapping[str, str], theirs: Mapping[str, str]) -> list[Difference]:
    """Return what two versions say differently; a dash where one says nothing."""
    return [
        Difference(label=one, mine=mine.get(one) or "–", theirs=theirs.get(one) or "–")
        for one in {**mine, **theirs}
        if (mine.get(one) or "–") != (theirs.get(one) or "–")
    ]


def _label(name: str) -> str:
    return capfirst(str(getattr(Plan._meta.get_field(name), "verbose_name", name)))


def _text(plan: Plan, name: str, system: System) -> str:
    value, field = getattr(plan, name), Plan._meta.get_field(name)
    if isinstance(field, SIField):
        return neat(value, field.kind, system)
    if value is None:
        return "–"
    if name == "chance":
        return share(value)
    if name == "template":
        return str(plan.get_template_display())
    return write_order(value) if name == "order" else str(value)
