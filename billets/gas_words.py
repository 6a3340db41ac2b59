"""Heating and gas of a billet, as its page says them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from billets.figures import PlanFigures
from billets.messages import spoken
from billets.physics import Number
from billets.physics.bottle_use import BottleReport
from billets.physics.energy import LEAST_SHARE, MOST_SHARE
from billets.physics.equipment import Forge
from billets.physics.gas_rate import rate_source
from billets.physics.gas_use import GasReport
from billets.physics.heating import soak_time
from billets.physics.hot_rules import WELD_HOLD
from billets.physics.plan import HOT_KINDS
from billets.physics.results import StepResult
from billets.physics.steps import Step
from billets.units import System, show
from billets.wording import (
    Figure,
    bare,
    ends,
    gas,
    neat,
    said,
    share,
    step_name,
    whole,
)

SOURCES = {
    "weighed": gettext_lazy("As weighed."),
    "jets": gettext_lazy("From jet and pressure, either way by 25 %."),
    "usual": gettext_lazy("The usual figure, not measured: weigh a bottle."),
}
"""Where a gas rate comes from, by `gas_rate.rate_source`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatRow:
    """One hot step: its section, its heats, and the minutes of a heat."""

    number: int
    name: str
    section: str
    temperature: str
    heats: str
    fire: str
    soak: str
    hold: str
    working: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GasBlock:
    """What the page of a billet says of heats, gas and bottle."""

    figures: tuple[Figure, ...]
    rows: tuple[HeatRow, ...]
    wall: str
    bottle: bool


def gas_block(figures: PlanFigures, system: System) -> GasBlock:
    """Say the gas of a computed plan; what to look at twice stands at its head."""
    forge = figures.spec.forge
    report = figures.fuel
    return GasBlock(
        figures=(
            rate_figure(forge, report.rate, system),
            _plan_gas(figures, report, system),
            *(_bottle_figures(report.bottle, system) if report.bottle else ()),
            _steel_share(report),
        ),
        rows=heat_rows(figures, system),
        wall=said(forge.wall_temperature, "temperature", system),
        bottle=report.bottle is not None,
    )


# --- figures -------------------------------------------------------------------------


def rate_figure(forge: Forge, rate: Number, system: System) -> Figure:
    """Say what a forge burns in an hour, and how that is known."""
    from_jets = ""
    if forge.jet_bore is not None and forge.gas_pressure is not None:
        from_jets = ngettext(
            "{count} burner, jet {bore}, {pressure} at the gauge.",
            "{count} burners, jets {bore}, {pressure} at the gauge.",
            forge.jets,
        ).format(
            count=whole(forge.jets),
            bore=neat(forge.jet_bore, "fine", system),
            pressure=neat(forge.gas_pressure, "pressure", system),
        )
    source = str(SOURCES[rate_source(forge)])
    return Figure.of(
        _("Gas while lit"),
        said(rate, "mass_rate", system),
        source=" ".join(part for part in (source, from_jets) if part),
    )


def _plan_gas(figures: PlanFigures, report: GasReport, system: System) -> Figure:
    plain = figures.plain
    warming = plain.forge_seconds - plain.heating_seconds - plain.working_seconds
    minutes = [
        said(time, "duration", system)
        for time in (
            report.lit, warming, plain.heating_seconds, plain.working_seconds,
        )
    ]  # fmt: skip
    return Figure.of(
        _("Gas for this plan"),
        gas(report.gas, system),
        band=ends(figures.sampled.totals["gas"], "gas", system),
        source=_(
            "Lit for {lit}: {warming} warming up, {fire} in the fire, {working} under "
            "the tool. Leaves {dioxide} of carbon dioxide."
        ).format(
            lit=minutes[0],
            warming=minutes[1],
            fire=minutes[2],
            working=minutes[3],
            dioxide=gas(report.carbon_dioxide, system),
        ),
    )


def _bottle_figures(bottle: BottleReport, system: System) -> tuple[Figure, ...]:
    return (
        Figure.of(
            _("Full bottles last"),
            said(bottle.lasting, "hours", system),
            source=_("{bottles}; this plan takes {share} of that.").format(
                bottles=bottles_text(bottle.count, bottle.content, system),
                share=share(float(bottle.used))
                if bottle.used < 1.0
                else said(bottle.used, "percent", system),
            ),
        ),
        draw_figure(bottle, system),
    )


def bottles_text(count: int, content: float, system: System) -> str:
    """Say how many bottles of which size are coupled."""
    return ngettext(
        "{count} bottle of {content}", "{count} bottles of {content} coupled", count
    ).format(count=whole(count), content=neat(content, "gas", system))


def draw_figure(bottle: BottleReport, system: System) -> Figure:
    """Say what bottles can give for long, by physics and by the trade's rule."""

    def rate(value: Number) -> str:
        return bare(said(value, "mass_rate", system))

    limits = bottle.cautious
    return Figure.of(
        _("The bottles give for long"),
        said(bottle.half, "mass_rate", system),
        source=_(
            "Half full, in air of {air}, at {pressure}; full {full}. The trade's "
            "cautious rule: {uninterrupted} without a pause, {half_the_time} with "
            "pauses as long as the work, {bursts} for 20 minutes."
        ).format(
            air=said(bottle.air_temperature, "temperature", system),
            pressure=neat(bottle.pressure, "pressure", system),
            full=rate(bottle.full),
            uninterrupted=rate(limits.uninterrupted),
            half_the_time=rate(limits.half_the_time),
            bursts=rate(limits.bursts),
        ),
    )


def _steel_share(report: GasReport) -> Figure:
    shown = show(float(report.steel_share), "percent", "metric", 1, spoken())
    return Figure.of(
        _("Of the gas's heat in the steel"),
        shown,
        source=_("{least} to {most} is usual; the rest goes out of the door.").format(
            least=bare(said(LEAST_SHARE, "percent", "metric")),
            most=said(MOST_SHARE, "percent", "metric"),
        ),
    )


# --- heat by heat --------------------------------------------------------------------


def heat_rows(figures: PlanFigures, system: System) -> tuple[HeatRow, ...]:
    """Say the minutes a heat takes, for every step in the fire."""
    steps = figures.plain.steps
    slow = figures.beliefs.factors["heating_time"].median
    return tuple(
        _heat_row(step, before, after, slow, system)
        for step, before, after in zip(
            figures.spec.steps, steps, steps[1:], strict=False
        )
        if step.kind in HOT_KINDS and float(after.heats) > 0
    )


def _heat_row(
    step: Step, before: StepResult, after: StepResult, slow: float, system: System
) -> HeatRow:
    def minutes(seconds: Number) -> str:
        return show(float(seconds), "duration", system, 1, spoken())

    heats = math.ceil(float(after.heats) - 1e-6)
    hold = slow * WELD_HOLD if step.kind == "weld" else 0.0
    return HeatRow(
        number=after.number,
        name=step_name(step.kind),
        section=_section(before, system),
        temperature=said(getattr(step, "temperature", 0.0), "temperature", system),
        heats=whole(heats),
        fire=minutes(after.heating_seconds / heats),
        soak=minutes(slow * soak_time(before.width, before.thickness)),
        hold=minutes(hold) if hold else "",
        working=minutes(after.working_seconds / heats),
    )


def _section(result: StepResult, system: System) -> str:
    wide = bare(said(result.width, "length", system))
    return f"{wide} × {said(result.thickness, 'thickness', system)}"
