"""What the press can move, as the page of a billet says it."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from billets.figures import PlanFigures
from billets.messages import spoken
from billets.physics.constants import GRAVITY
from billets.physics.press_report import Grip, PressStep
from billets.physics.pressing import known_force
from billets.units import System, show
from billets.wording import neat, said, step_name, whole

TONNE = 1000.0 * GRAVITY
"""A tonne-force, by which presses are sold [N]."""

TITLES = {
    "press": gettext_lazy("What the press can move"),
    "hammer": gettext_lazy("What the power hammer can move"),
    "hand": gettext_lazy("What the hand hammer can move"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PressRow:
    """A step in the fire under the tool; empty where a thing does not apply."""

    number: int
    name: str
    section: str
    force: str
    cold_force: str
    largest: str
    cold_largest: str
    bite: str
    strain: str
    heats: str
    way: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressBlock:
    """What the page of a billet says of its tool."""

    title: str
    tool: str
    known: bool
    rows: tuple[PressRow, ...]
    note: str


def press_block(figures: PlanFigures, system: System) -> PressBlock:
    """Say what the tool of a computed plan does in every weld and draw."""
    tool, steps = figures.spec.tool, figures.pressing
    force = known_force(tool)
    return PressBlock(
        title=str(TITLES[tool.kind]),
        tool=_tool(figures, system),
        known=force is not None,
        rows=tuple(_row(step, system) for step in steps),
        note=_note(steps, system) if force is not None else "",
    )


def force_text(force: float, system: System) -> str:
    """Say a force, with the tonnes by which presses are sold beside it."""
    shown = said(force, "force", system)
    if system == "inch":
        return shown
    return _("{force}, about {tonnes} t").format(
        force=shown, tonnes=show(force / TONNE, "ratio", system, 0, spoken())
    )


def _tool(figures: PlanFigures, system: System) -> str:
    tool = figures.spec.tool
    force = known_force(tool)
    if force is not None:
        return _(
            "{force}, die {die} along the bar, {time} a bite. How far a heat draws "
            "follows from that."
        ).format(
            force=force_text(force, system),
            die=said(tool.die, "length", system),
            time=neat(tool.squeeze, "seconds", system),
        )
    if tool.kind == "press":
        return _(
            "The force of this press is not known, so a heat draws as far as it is "
            "told to. Enter the force with the equipment."
        )
    return _("No force to compare: a heat draws as far as it is told to.")


def _note(steps: tuple[PressStep, ...], system: System) -> str:
    cold = steps[0].cold_temperature
    band = said(steps[0].band, "percent", "metric")
    return _(
        "Force for a bite as long as the die, as the steel leaves the fire and at "
        "{cold}, where it goes back. Forces are good to {band} either way; "
        "uncalibrated until heats have been counted."
    ).format(cold=said(cold, "temperature", system), band=band)


def _row(step: PressStep, system: System) -> PressRow:
    grip = step.start
    return PressRow(
        number=step.number,
        name=step_name(step.kind),
        section=_section(grip, system) if grip else "",
        strain=show(step.strain, "ratio", system, 2, spoken()) if step.strain else "",
        heats=whole(step.heats),
        way=_way(step, system),
        **(_forces(step, grip, system) if grip else _no_forces()),
    )


def _section(grip: Grip, system: System) -> str:
    return _("{width} × {height}").format(
        width=said(grip.width, "thickness", system),
        height=said(grip.height, "thickness", system),
    )


def _forces(step: PressStep, grip: Grip, system: System) -> dict[str, str]:
    hardest = step.end or grip

    def bite(length: float) -> str:
        return said(length, "length", system) if length > 0.0 else _("none")

    return {
        "force": _span(grip.force, hardest.force, system),
        "cold_force": _span(grip.cold_force, hardest.cold_force, system),
        "largest": bite(grip.largest),
        "cold_largest": bite(grip.cold_largest),
        "bite": bite(grip.bite),
    }


def _span(start: float, end: float, system: System) -> str:
    """Say a force as a draw begins and, where it differs, as it ends."""
    first, last = (said(one, "force", system) for one in (start, end))
    if first == last:
        return first
    return _("{first}, then {last}").format(first=first, last=last)


def _no_forces() -> dict[str, str]:
    names = ("force", "cold_force", "largest", "cold_largest", "bite")
    return dict.fromkeys(names, "")


def _way(step: PressStep, system: System) -> str:
    if step.kind != "weld" or step.start is None:
        return ""
    face = said(step.face_force, "force", system)
    if not step.bites:
        return _("the face takes {face}: not with this press").format(face=face)
    if step.bites == 1:
        return _("the face takes {face}: set in one").format(face=face)
    return ngettext(
        "the face takes {face}: set in {count} bite",
        "the face takes {face}: set in {count} bites",
        step.bites,
    ).format(face=face, count=whole(step.bites))
