"""What the page of a billet shows beside and below its form."""

from __future__ import annotations

from dataclasses import dataclass, fields

from django.utils.safestring import SafeString
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.figures import PlanFigures
from billets.gas_words import GasBlock, gas_block
from billets.pattern_words import PatternBlock, pattern_block
from billets.physics.errors import PlanError
from billets.physics.fit import Fit
from billets.physics.results import StepResult
from billets.physics.treatment import HeatSegment
from billets.pictures.all import Pictures, pictures_of
from billets.pictures.mass import mass_chart
from billets.pictures.stack import stack_drawing
from billets.press_words import PressBlock, press_block
from billets.steel_words import SteelsBlock, steels_block
from billets.units import System
from billets.verdicts import verdict_saying
from billets.wording import (
    CAUSES,
    Figure,
    Saying,
    cut_sentence,
    ends,
    flag_sayings,
    gas,
    mass,
    origin,
    said,
    share,
    sides,
    size,
    step_detail,
    step_name,
    whole,
    whole_ends,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """The billet after one step, as the table says it; empty where nothing is."""

    number: int
    name: str
    detail: str
    mass: str
    band: str
    cold: str
    hot: str
    layers: str
    distinct: str
    lost: str
    cause: str
    heats: str
    minutes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LossRow:
    """What one cause takes from the stack to the end of the plan."""

    cause: str
    lost: str
    share: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """All that is said of a computed plan."""

    verdict: Saying
    origin: str
    order: str
    figures: tuple[Figure, ...]
    sayings: tuple[Saying, ...]
    cuts: tuple[str, ...]
    rows: tuple[StepRow, ...]
    total: StepRow
    losses: tuple[LossRow, ...]
    stack: SafeString
    chart: SafeString
    pictures: Pictures
    pattern: PatternBlock | None
    press: PressBlock
    gas: GasBlock
    steels: SteelsBlock


def summary(
    figures: PlanFigures, system: System, way_out: Fit | PlanError | None = None
) -> Summary:
    """Say a computed plan in the shop's units and the language of the page."""
    rows = _step_rows(figures, system)
    return Summary(
        verdict=verdict_saying(figures, system, way_out),
        origin=origin(figures.beliefs),
        order=_order(figures.spec.order),
        figures=_figures(figures, system),
        sayings=tuple(flag_sayings(figures.flags, system)),
        cuts=tuple(cut_sentence(item, system) for item in figures.cuts),
        rows=rows,
        total=_total(figures, rows[-1], system),
        losses=_losses(figures, system),
        stack=stack_drawing(figures.spec, system),
        chart=mass_chart(figures, system),
        pictures=pictures_of(figures, system, _segments(figures)),
        pattern=pattern_block(figures, system),
        press=press_block(figures, system),
        gas=gas_block(figures, system),
        steels=steels_block(figures.steels, system),
    )


def _segments(figures: PlanFigures) -> tuple[HeatSegment, ...]:
    treatment = figures.steels.treatment
    return treatment.segments if treatment else ()


def _order(order: str) -> str:
    """Say an order in full, with how many pieces it has."""
    return ngettext(
        "{count} piece from the bottom up: {order}",
        "{count} pieces from the bottom up: {order}",
        len(order),
    ).format(count=whole(len(order)), order=order)


# --- the big figures ---------------------------------------------------------------


def _figures(figures: PlanFigures, system: System) -> tuple[Figure, ...]:
    return (
        _bar(figures, system),
        _start(figures, system),
        _layers(figures),
        _heats(figures),
        _minutes(figures, system),
        _hours(figures, system),
        _gas(figures, system),
    )


def _bar(figures: PlanFigures, system: System) -> Figure:
    plain = figures.plain
    size_now = (plain.clean_length, plain.clean_width, plain.clean_thickness)
    source = _("{size} cold; {kept} of the stack is kept.")
    if float(plain.added) > 0.0:
        source = _("{size} cold; {kept} of stack and core is kept.")
    return Figure.of(
        _("Bar, ground clean") if plain.clean else _("Bar as forged"),
        mass(plain.clean_mass, system),
        band=ends(figures.sampled.totals["clean_mass"], "mass", system),
        source=source.format(
            size=size(size_now, system), kept=share(float(plain.retained))
        ),
    )


def _start(figures: PlanFigures, system: System) -> Figure:
    start, count = figures.plain.steps[0], len(figures.spec.order)
    return Figure.of(
        _("Stack to weld"),
        mass(figures.plain.start_mass, system),
        source=ngettext(
            "{count} piece, {size}.", "{count} pieces, {size}.", count
        ).format(count=whole(count), size=size(sides(start), system)),
    )


def _layers(figures: PlanFigures) -> Figure:
    """Say the layers three ways, and why they differ."""
    plain = figures.plain
    why = []
    if plain.distinct < plain.layers:
        why.append(_("Where equal steels meet, two layers become one."))
    if plain.left < plain.distinct:
        why.append(
            _("Scale and grinding take outer layers: {left} are left.").format(
                left=whole(plain.left)
            )
        )
    return Figure(
        label=_("Layers"),
        value=whole(plain.layers),
        unit=_("by count"),
        band=_("{distinct} can be told apart").format(distinct=whole(plain.distinct)),
        source=" ".join(why),
    )


def _heats(figures: PlanFigures) -> Figure:
    return Figure(
        label=_("Heats"),
        value=whole(figures.plain.heats),
        unit=_("in all"),
        band=whole_ends(figures.sampled.totals["heats"]),
    )


def _minutes(figures: PlanFigures, system: System) -> Figure:
    return Figure.of(
        _("Forge lit"),
        said(figures.plain.forge_seconds, "duration", system),
        band=ends(figures.sampled.totals["forge_seconds"], "duration", system),
        source=_("Warming up, heating and working."),
    )


def _hours(figures: PlanFigures, system: System) -> Figure:
    return Figure.of(
        _("Attended"),
        said(figures.plain.attended_seconds, "hours", system),
        band=ends(figures.sampled.totals["attended_seconds"], "hours", system),
        source=_("With cutting, cleaning, stacking and setting up."),
    )


def _gas(figures: PlanFigures, system: System) -> Figure:
    return Figure.of(
        _("Gas"),
        gas(figures.plain.gas, system),
        band=ends(figures.sampled.totals["gas"], "mass_kg", system, 1),
    )


# --- step by step --------------------------------------------------------------------


def _step_rows(figures: PlanFigures, system: System) -> tuple[StepRow, ...]:
    details = ["", *(step_detail(step, system) for step in figures.spec.steps)]
    bands = [ends(step.mass, "mass", system) for step in figures.sampled.steps]
    bands[0] = ""  # the stack is weighed, not foretold
    return tuple(
        _step_row(result, detail, band, system)
        for result, detail, band in zip(
            figures.plain.steps, details, bands, strict=True
        )
    )


def _step_row(result: StepResult, detail: str, band: str, system: System) -> StepRow:
    hot = bool(result.expansion)
    seconds = result.heating_seconds + result.working_seconds
    return StepRow(
        number=result.number,
        name=step_name(result.kind),
        detail=", ".join(one for one in (detail, _laid_in(result, system)) if one),
        mass=mass(result.mass, system),
        band=band,
        cold=size(sides(result), system),
        hot=size(sides(result, result.expansion), system) if hot else "",
        layers=whole(result.layers),
        distinct=whole(result.distinct),
        lost=mass(result.lost, system) if result.lost_by else "",
        cause=_causes(result, system),
        heats=whole(result.heats) if hot else "",
        minutes=said(seconds, "duration", system) if hot else "",
    )


def _laid_in(result: StepResult, system: System) -> str:
    """Say what a core adds to the steel of the billet."""
    if float(result.added) <= 0.0:
        return ""
    return _("{mass} laid in").format(mass=mass(result.added, system))


def _causes(result: StepResult, system: System) -> str:
    """Say what steel was lost to, each with its share where there are several."""
    lost = [(str(CAUSES[cause]), float(one)) for cause, one in result.lost_by]
    if len(lost) < 2:
        return "".join(name for name, _one in lost)
    return ", ".join(f"{name} {mass(one, system)}" for name, one in lost)


def _total(figures: PlanFigures, last: StepRow, system: System) -> StepRow:
    plain = figures.plain
    return StepRow(
        number=last.number + 1,
        name=_("All steps"),
        detail=_("without warming up the forge"),
        mass=last.mass,
        band=last.band,
        cold="",
        hot="",
        layers=last.layers,
        distinct=last.distinct,
        lost=mass(plain.start_mass + plain.added - plain.clean_mass, system),
        cause="",
        heats=whole(plain.heats),
        minutes=said(plain.heating_seconds + plain.working_seconds, "duration", system),
    )


def _losses(figures: PlanFigures, system: System) -> tuple[LossRow, ...]:
    loss, put_in = figures.plain.loss, figures.plain.start_mass + figures.plain.added
    taken = {one.name: float(getattr(loss, one.name)) for one in fields(loss)}
    return tuple(
        LossRow(
            cause=capfirst(str(CAUSES[name])),
            lost=mass(taken[name], system),
            share=share(taken[name] / float(put_in)),
        )
        for name in CAUSES
        if taken[name] > 0
    )
