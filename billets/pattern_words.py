"""What makes the figure of a billet, and how its core shows, as its page says it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from billets.figures import PlanFigures
from billets.messages import spoken
from billets.physics import Number
from billets.physics.core_line import (
    CoreLayer,
    CoreLine,
    core_lines,
    core_of,
    is_thin,
)
from billets.physics.pattern_flags import USUAL_CORE
from billets.physics.results import PatternStep
from billets.physics.steps import Core
from billets.physics.twisting import GROUND_AFTER, fibre_angle
from billets.pictures.section_words import figures_name
from billets.units import System, local_number
from billets.wording import Figure, bare, said, share, whole

FROM = {
    "ladder": gettext_lazy("Ladder cuts, from {layers}"),
    "dimple": gettext_lazy("Dimples, from {layers}"),
    "twist": gettext_lazy("Twisted from {layers}"),
}
"""What was there before a step that winds or bends the layers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreRow:
    """How the core shows on one knife; thin where its edge may leave it."""

    label: str
    line: str
    margin: str
    uneven: str
    thin: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternBlock:
    """What the page of a billet says of its figure and its core."""

    figures: tuple[Figure, ...]
    rows: tuple[CoreRow, ...]
    core: bool


def pattern_block(figures: PlanFigures, system: System) -> PatternBlock | None:
    """Say what makes the figure; None for straight layers without a core."""
    plain = figures.plain
    core = core_of(plain)
    made = [_made(step, system) for step in plain.pattern if step.kind in FROM]
    laid = [_laid(figures, step) for step in plain.pattern if step.kind == "core"]
    if core is not None:
        laid = [_core(figures, core)]
    if not (made or laid):
        return None
    return PatternBlock(
        figures=(*made, *laid),
        rows=tuple(_row(line, system) for line in core_lines(plain, figures.targets)),
        core=core is not None,
    )


# --- twist, cuts, dimples ------------------------------------------------------------


def _made(step: PatternStep, system: System) -> Figure:
    if step.kind == "twist":
        return _twist(step, system)
    return Figure.of(
        _from_layers(step),
        said(step.depth_share, "percent", system),
        source=_(
            "Of the thickness, cut from each face and forged flat; {removed} of the "
            "bar is cut away for it. From here on the layers do not lie straight."
        ).format(removed=share(float(step.removed_share))),
    )


def _twist(step: PatternStep, system: System) -> Figure:
    corner, face = (
        said(fibre_angle(slope), "angle", system)
        for slope in (step.shear, step.face_shear)
    )
    return Figure.of(
        _from_layers(step),
        corner,
        source=_(
            "Fibres at the corner, a shear of {shear}; {face} in the middle of a face. "
            "This plan grinds {ground} of the thickness off after it, {usual} is "
            "usual; stars show from a quarter to a third, the knife's own grinding "
            "counted in."
        ).format(
            shear=_number(step.shear),
            face=face,
            ground=_ground(step),
            usual=said(GROUND_AFTER, "percent", "metric"),
        ),
    )


def _ground(step: PatternStep) -> str:
    ground = float(step.ground_share)
    return share(ground) if ground > 0.0 else said(0.0, "percent", "metric")


def _from_layers(step: PatternStep) -> str:
    layers = ngettext("{count} layer", "{count} layers", step.layers_before)
    return str(FROM[step.kind]).format(
        layers=layers.format(count=whole(step.layers_before))
    )


def _number(value: Number) -> str:
    return local_number(Decimal(f"{float(value):.1f}"), spoken())


# --- core ----------------------------------------------------------------------------


def _core(figures: PlanFigures, core: CoreLayer) -> Figure:
    low, high = (said(one, "percent", "metric") for one in USUAL_CORE)
    return Figure.of(
        _("Core of {steel}").format(steel=figures_name(figures, core.steel)),
        share(core.share),
        source=_("Of the thickness of the bar; {low} to {high} is usual.").format(
            low=bare(low), high=high
        ),
    )


def _laid(figures: PlanFigures, step: PatternStep) -> Figure:
    """Say of a core that was laid in, but has no line a knife could be judged by."""
    laid = figures.spec.steps[step.number - 1]
    name = laid.steel.name if isinstance(laid, Core) else ""
    return Figure.of(
        _("Core of {steel}").format(steel=name),
        share(float(step.core_share)),
        source=_(
            "Of the thickness as it is laid in. What is done after it leaves no even "
            "core in the middle, so that no line can be told."
        ),
    )


def _row(line: CoreLine, system: System) -> CoreRow:
    return CoreRow(
        label=line.label,
        line=_line(line, system),
        margin=(
            said(line.margin, "fine", system)
            if line.margin > 0.0
            else _("none: the edge lies in a jacket")
        ),
        uneven=said(line.uneven, "fine", system) if line.uneven > 0.0 else "",
        thin=is_thin(line),
    )


def _line(line: CoreLine, system: System) -> str:
    if line.margin < 0.0:
        return ""
    near, far = (said(one, "length", system) for one in (line.near, line.far))
    if near == far:
        return near
    return _("{near} on one side, {far} on the other").format(near=near, far=far)
