"""The billet on a build sheet: every step with its band, and what it is for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from babel.lists import format_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.figures import PlanFigures
from billets.messages import sentence, spoken
from billets.physics import Number
from billets.physics import steps as words
from billets.physics.results import StepResult
from billets.physics.uncertainty import Band
from billets.units import System, locale_of
from billets.wording import gas, said, share, sides, size, step_detail, step_name, whole
from quotes.sheets.pattern import pattern_lines
from quotes.sheets.words import band_text, mass_text


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
    """All steps, what they come to, the figure, and what to look at twice before."""

    rows: tuple[PlanRow, ...]
    total: str
    figure: tuple[str, ...]
    warnings: tuple[str, ...]


# --- the steps -------------------------------------------------------------------


def billet_plan(
    figures: PlanFigures, system: System, label: str | None = None
) -> BilletPlan:
    """Return the steps of a plan with their bands.

    With the label of one knife, nothing is said of the others that share its billet.
    """
    results, bands = figures.plain.steps[1:], figures.sampled.steps[1:]
    steps = zip(figures.spec.steps, results, bands, strict=True)
    red = (
        flag
        for flag in figures.flags
        if flag.level == "red" and label in (None, flag.values.get("label", label))
    )
    return BilletPlan(
        rows=tuple(
            _plan_row(step, result, band.mass, system) for step, result, band in steps
        ),
        total=_total(figures, system),
        figure=pattern_lines(figures, system, label),
        warnings=tuple(dict.fromkeys(sentence(flag, system) for flag in red)),
    )


def _plan_row(
    step: words.Step, result: StepResult, mass: Band, system: System
) -> PlanRow:
    hot = bool(result.expansion)
    seconds = float(result.heating_seconds) + float(result.working_seconds)
    return PlanRow(
        number=whole(result.number),
        name=step_name(step.kind),
        detail=step_detail(step, system),
        mass=mass_text(result.mass, system),
        band=band_text(mass, system),
        cold=size(sides(result), system),
        hot=size(sides(result, result.expansion), system) if hot else "",
        layers=whole(result.layers),
        heats=_heats(result.heats) if hot else "",
        minutes=said(seconds, "duration", system) if hot else "",
    )


def _heats(heats: Number) -> str:
    """Write how many heats; parts of one are one."""
    count = math.ceil(float(heats) - 1e-6)
    return ngettext("{count} heat", "{count} heats", count).format(count=whole(count))


def _total(figures: PlanFigures, system: System) -> str:
    """Say what the whole billet takes at the forge."""
    plain, hours = figures.plain, figures.sampled.totals["attended_seconds"]
    return _(
        "All: {heats}, {hours} with setting up and cleaning ({low} to {high}), "
        "{gas} of gas; {layers} layers can be told apart."
    ).format(
        heats=_heats(plain.heats),
        hours=said(plain.attended_seconds, "hours", system),
        low=said(hours.low, "hours", system),
        high=said(hours.high, "hours", system),
        gas=gas(plain.gas, system),
        layers=whole(plain.distinct),
    )


# --- what the knives need --------------------------------------------------------


def needed_sentences(
    figures: PlanFigures, own: float, others: list[str], system: System
) -> tuple[str, ...]:
    """Say what a knife needs of the bar, who else comes out of it, and if it does."""
    sentences = [
        _("This knife needs {mass} of the bar.").format(mass=mass_text(own, system)),
    ]
    if others:
        sentences.append(
            _("Also from this billet: {serials}.").format(
                serials=format_list(others, locale=locale_of(spoken()))
            )
        )
    verdict = figures.verdict
    if verdict is not None:
        sentences.append(
            _(
                "Bar expected: {mass} ({band}); {needed} needed in all; enough with a "
                "chance of {chance}."
            ).format(
                mass=mass_text(figures.plain.clean_mass, system),
                band=band_text(figures.sampled.totals["clean_mass"], system),
                needed=mass_text(verdict.needed, system),
                chance=share(verdict.chance),
            )
        )
    return tuple(sentences)
