"""What the press can move, as the page of a billet says it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from billets.figures import PlanFigures
from billets.messages import spoken
from billets.physics.constants import GRAVITY
from billets.physics.force import FORCE_BAND
from billets.physics.press_report import Grip, PressStep
from billets.physics.pressing import LOWER_LIMIT, known_force
from billets.units import System, show
from billets.wording import bare, neat, said, step_name, whole

TONNE = 1000.0 * GRAVITY
"""A tonne-force, by which presses are sold [N]."""

SHORT_TON = 2000.0 * 0.45359237 * GRAVITY
"""What a ton is where presses are sold by the inch [N]."""

SMALL = 10.0 * TONNE
"""Up to here the hours are held against those told of a press of about 7 t [N]."""

TITLES = {
    "press": gettext_lazy("What the press can move"),
    "hammer": gettext_lazy("What the power hammer can move"),
    "hand": gettext_lazy("What the hand hammer can move"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PressEnd:
    """The press on one section: as a draw begins, or as it ends."""

    section: str
    force: str = ""
    cold_force: str = ""
    largest: str = ""
    cold_largest: str = ""
    bite: str = ""
    strain: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressRow:
    """A step in the fire under the tool; empty where a thing does not apply."""

    number: int
    name: str
    ends: tuple[PressEnd, ...]
    strain: str
    heats: str
    way: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressBlock:
    """What the page of a billet says of its tool."""

    title: str
    tool: str
    known: bool
    cold: str
    rows: tuple[PressRow, ...]
    notes: tuple[str, ...]


def press_block(figures: PlanFigures, system: System) -> PressBlock:
    """Say what the tool of a computed plan does in every step in the fire."""
    tool, steps = figures.spec.tool, figures.pressing
    force = known_force(tool)
    return PressBlock(
        title=str(TITLES[tool.kind]),
        tool=_tool(figures, system),
        known=force is not None,
        cold=said(LOWER_LIMIT, "temperature", system),
        rows=tuple(_row(step, system) for step in steps),
        notes=tuple(_notes(figures, force, system)) if force is not None else (),
    )


def force_text(force: float, system: System) -> str:
    """Say a force, with the tons by which presses are sold beside it."""
    pattern, ton = _("{force}, about {tonnes} t"), TONNE
    if system == "inch":
        pattern, ton = _("{force}, about {tonnes} US tons"), SHORT_TON
    return pattern.format(
        force=said(force, "force", system),
        tonnes=show(force / ton, "ratio", system, 0, spoken()),
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


def _notes(figures: PlanFigures, force: float, system: System) -> Iterator[str]:
    """Yield how good the forces are, and what is told of so small a press."""
    yield _(
        "The force is that for a bite as long as the die. Forces are good to {band} "
        "either way; uncalibrated until heats have been counted."
    ).format(band=said(FORCE_BAND, "percent", system))
    if force > SMALL:
        return
    yield _(
        "Told of a press of about 7 t: about two days, alone, for a billet of three "
        "welds and the blade forged from it. The {hours} reckoned here for the billet "
        "may well be short of that."
    ).format(hours=said(figures.plain.attended_seconds, "hours", system))


def _row(step: PressStep, system: System) -> PressRow:
    grips = [grip for grip in (step.start, step.end) if grip]
    _length, width, height = step.size
    return PressRow(
        number=step.number,
        name=step_name(step.kind),
        ends=tuple(_end(grip, system) for grip in grips)
        or (PressEnd(section=_section(width, height, system)),),
        strain=_strain(step.strain, system),
        heats=whole(step.heats),
        way=_way(step, system),
    )


def _end(grip: Grip, system: System) -> PressEnd:
    return PressEnd(
        section=_section(grip.width, grip.height, system),
        force=said(grip.force, "force", system),
        cold_force=said(grip.cold_force, "force", system),
        largest=_bite(grip.largest, system),
        cold_largest=_bite(grip.cold_largest, system),
        bite=_bite(grip.bite, system),
        strain=_strain(grip.strain, system),
    )


def _section(width: float, height: float, system: System) -> str:
    return _("{width} × {height}").format(
        width=bare(said(width, "thickness", system)),
        height=said(height, "thickness", system),
    )


def _bite(length: float, system: System) -> str:
    return said(length, "length", system) if length > 0.0 else _("none")


def _strain(strain: float, system: System) -> str:
    return show(strain, "ratio", system, 2, spoken()) if strain else ""


def _way(step: PressStep, system: System) -> str:
    """Say how a weld is set, or that a draw leaves the middle unworked."""
    if step.start is not None and step.start.shallow:
        return _("bites less than a third of the height: the middle is hardly worked")
    if not step.face_force:
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
