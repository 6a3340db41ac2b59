"""The billet on a build sheet: every step with its band, and what it is for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from babel.lists import format_list
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from billets import choices
from billets.figures import PlanFigures
from billets.messages import sentence, spoken
from billets.physics import steps as words
from billets.physics.results import StepResult
from billets.physics.uncertainty import Band
from billets.units import System, locale_of, show
from quotes.sheet_words import (
    band_text,
    length_text,
    mass_text,
    size_text,
    thin_text,
    whole_text,
)

SURE = 0.99
"""A chance above this is only said to be above it [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """One step of the billet as planned; ``hot`` is empty for cold work."""

    number: str
    name: str
    detail: str
    mass: str
    band: str
    cold: str
    hot: str
    layers: str
    heats: str
    minutes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BilletPlan:
    """All steps, what they come to, and what to look at twice before lighting up."""

    rows: tuple[PlanRow, ...]
    total: str
    warnings: tuple[str, ...]


# --- the steps -------------------------------------------------------------------


def billet_plan(figures: PlanFigures, system: System) -> BilletPlan:
    """Return the steps of a plan with their bands."""
    results, bands = figures.plain.steps[1:], figures.sampled.steps[1:]
    steps = zip(figures.spec.steps, results, bands, strict=True)
    red = (flag for flag in figures.flags if flag.level == "red")
    return BilletPlan(
        rows=tuple(
            _plan_row(step, result, band.mass, system) for step, result, band in steps
        ),
        total=_total(figures, system),
        warnings=tuple(dict.fromkeys(sentence(flag, system) for flag in red)),
    )


def _plan_row(
    step: words.Step, result: StepResult, mass: Band, system: System
) -> PlanRow:
    hot = bool(result.expansion)
    seconds = float(result.heating_seconds) + float(result.working_seconds)
    return PlanRow(
        number=whole_text(result.number),
        name=capfirst(str(dict(choices.step())[step.kind])),
        detail=_detail(step, system),
        mass=mass_text(result.mass, system),
        band=band_text(mass, system),
        cold=size_text(_sides(result), system),
        hot=size_text(_sides(result, result.expansion), system) if hot else "",
        layers=whole_text(result.layers),
        heats=whole_text(math.ceil(float(result.heats) - 1e-6)) if hot else "",
        minutes=show(seconds, "duration", system, language=spoken()) if hot else "",
    )


def _sides(result: StepResult, expansion: float = 0.0) -> tuple[float, float, float]:
    longer = 1.0 + expansion
    return (
        longer * float(result.length),
        longer * float(result.width),
        longer * float(result.thickness),
    )


def _detail(step: words.Step, system: System) -> str:
    """Say what a step does beyond its size."""
    match step:
        case words.Weld() | words.Draw():
            return _("steel at {heat}").format(
                heat=show(step.temperature, "temperature", system, language=spoken())
            )
        case words.Trim():
            return _("{size} off each end").format(
                size=length_text(float(step.per_end), system)
            )
        case words.Grind():
            return _("{face} a face, {edge} an edge").format(
                face=thin_text(float(step.face), system),
                edge=thin_text(float(step.edge), system),
            )
        case words.Cut(turned=True):
            return _("{count} pieces, every second turned").format(
                count=whole_text(step.pieces)
            )
        case words.Cut():
            return _("{count} pieces").format(count=whole_text(step.pieces))
        case _:
            return ""


def _total(figures: PlanFigures, system: System) -> str:
    """Say what the whole billet takes at the forge."""
    totals = figures.sampled.totals
    said = []
    for seconds in (totals["attended_seconds"].low, totals["attended_seconds"].high):
        said.append(show(seconds, "hours", system, language=spoken()))
    return _(
        "All: {heats} heats, {hours} with setting up and cleaning ({low} to {high}), "
        "{gas} of gas; {layers} layers can be told apart."
    ).format(
        heats=whole_text(math.ceil(float(figures.plain.heats) - 1e-6)),
        hours=show(
            float(figures.plain.attended_seconds), "hours", system, language=spoken()
        ),
        low=said[0],
        high=said[1],
        gas=show(float(figures.plain.gas), "mass_kg", system, 1, spoken()),
        layers=whole_text(figures.plain.distinct),
    )


# --- what the knives need --------------------------------------------------------


def needed_sentences(
    figures: PlanFigures, own: float, others: list[str], system: System
) -> tuple[str, ...]:
    """Say what a knife needs of the bar, who else comes out of it, and if it does."""
    said = [
        _("This knife needs {mass} of the bar.").format(mass=mass_text(own, system)),
    ]
    if others:
        said.append(
            _("Also from this billet: {serials}.").format(
                serials=format_list(others, locale=locale_of(spoken()))
            )
        )
    verdict = figures.verdict
    if verdict is not None:
        said.append(
            _(
                "Bar expected: {mass} ({band}); {needed} needed in all; enough with a "
                "chance of {chance}."
            ).format(
                mass=mass_text(figures.plain.clean_mass, system),
                band=band_text(figures.sampled.totals["clean_mass"], system),
                needed=mass_text(verdict.needed, system),
                chance=_chance(verdict.chance, system),
            )
        )
    return tuple(said)


def _chance(chance: float, system: System) -> str:
    """Write a chance; draws of chance never make it certain."""
    text = show(min(chance, SURE), "percent", system, language=spoken())
    return _("over {share}").format(share=text) if chance > SURE else text
