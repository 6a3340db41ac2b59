"""From the rows of a plan to the physics and back.

``plan_spec`` reads rows, ``plan_input`` is the one way into the core (a job file makes
its own ``PlanSpec``), ``save_plan`` writes a plan whole.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F

from billets.knives import knife_of, with_knives
from billets.models import (
    BarSize,
    Equipment,
    Plan,
    PlanBar,
    PlanStep,
    PlanTarget,
    ShopFactor,
)
from billets.physics import steps as words
from billets.physics.bar import Layer, Stack
from billets.physics.bottles import check_bottle
from billets.physics.cutting import CutLine, cut_line
from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.errors import PlanError, _
from billets.physics.factors import PRIORS, FactorBelief, medians
from billets.physics.gas_rate import metered
from billets.physics.ideal_diameter import INCH
from billets.physics.plan import PlanInput, PlanResult, StepResult
from billets.physics.quenching import Bath
from billets.physics.verdict import Target
from billets.plan_steps import core_steps, filled_steps, step_values
from billets.stock import Bar, core_bar

CALIBRATED_FROM = 3  # billets weighed before a number loses its "uncalibrated"


class StalePlan(ValueError):
    """Somebody else saved this plan in the meantime."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSpec:
    """A billet as planned, in plain values; lengths in [m]."""

    bars: Mapping[str, Bar]
    order: str
    length: float
    width: float
    steps: tuple[words.Step, ...]
    forge: Forge
    tool: Tool
    saw: Saw
    cores: tuple[Bar, ...] = ()
    bath: Bath | None = None

    @property
    def core_names(self) -> list[str]:
        """The steels of the cores, each once."""
        return list(dict.fromkeys(bar.steel.name for bar in self.cores))

    @property
    def stack_names(self) -> list[str]:
        """The steels of the stack in the order they are laid, each once."""
        laid = (self.bars[letter].steel.name for letter in self.order)
        return list(dict.fromkeys(laid))

    @property
    def steel_names(self) -> list[str]:
        """The steels of the stack, then those of cores, each once."""
        return list(dict.fromkeys([*self.stack_names, *self.core_names]))


@dataclass(frozen=True, slots=True, kw_only=True)
class CutItem:
    """One bar of the cut list: all the steel cut [kg], and how wide a piece is [m].

    Without a letter it is for a core.
    """

    letter: str
    bar: Bar
    line: CutLine
    mass: float
    width: float


# --- into the core ---------------------------------------------------------------


def core_forge(row: Equipment) -> Forge:
    """Return a forge as the physics sees it; PlanError if its gas is nonsense.

    It burns what was weighed, else what its jets let through, else the usual.
    """
    forge = Forge(
        atmosphere=row.atmosphere,
        wall_temperature=row.wall_temperature,
        door_width=row.door_width,
        door_height=row.door_height,
        preheat=row.preheat,
        jets=row.jets,
        jet_bore=row.jet_bore,
        gas_pressure=row.gas_pressure,
        jet_discharge=row.jet_discharge,
        bottle=row.bottle,
        bottles=row.bottles,
        air_temperature=row.air_temperature,
    )
    check_bottle(forge)
    return metered(forge, row.gas_rate or None)


def core_tool(row: Equipment) -> Tool:
    """Return a press, hammer or hand as the physics sees it."""
    told = {"strain": row.strain} if row.strain else {}
    return Tool(
        kind=row.kind, force=row.force, die=row.die, squeeze=row.squeeze, **told
    )


def core_bath(row: Equipment | None) -> Bath | None:
    """Return a quench bath as the physics sees it; None where none was chosen."""
    if row is None:
        return None
    severity = row.severity / INCH if row.severity else None
    return Bath(severity=severity, mass=row.bath_mass or None, name=row.name)


def plan_spec(plan: Plan) -> PlanSpec:
    """Read a plan's rows; ``Plan.objects.whole()`` has them at hand."""
    bars = {row.letter: row.bar for row in plan.bars.all()}
    return make_spec(plan, bars, [step_values(row) for row in plan.steps.all()])


def make_spec(
    plan: Plan, bars: Mapping[str, BarSize], steps: Sequence[Mapping[str, Any]]
) -> PlanSpec:
    """Return a plan, saved or not, with its bars and steps in plain values."""
    return PlanSpec(
        bars={letter: core_bar(bar) for letter, bar in bars.items()},
        order=plan.order,
        length=plan.length,
        width=plan.width,
        steps=tuple(core_steps(steps)),
        forge=core_forge(plan.forge),
        tool=core_tool(plan.tool),
        saw=Saw(kerf=plan.saw.kerf),
        cores=core_bars(steps),
        bath=core_bath(plan.bath),
    )


def core_bars(steps: Sequence[Mapping[str, Any]]) -> tuple[Bar, ...]:
    """Return the bars that cores are cut from, one for each such step, in order."""
    chosen = (one.get("core") for one in steps if one["kind"] == "core")
    return tuple(
        core_bar(bar) if isinstance(bar, BarSize) else bar for bar in chosen if bar
    )


def plan_input(
    spec: PlanSpec, beliefs: Mapping[str, FactorBelief] = PRIORS
) -> PlanInput:
    """Return what the physics runs, with the shop's factors at their medians.

    PlanError names the letter that stands for no bar, or the bar that is too narrow.
    """
    return PlanInput(
        stack=Stack(_layers(spec), spec.length, spec.width),
        steps=spec.steps,
        forge=spec.forge,
        tool=spec.tool,
        saw=spec.saw,
        factors=medians(beliefs),
    )


def _layers(spec: PlanSpec) -> tuple[Layer, ...]:
    if not spec.order:
        raise PlanError(
            _("The stack has no pieces; write one letter a piece."), field="order"
        )
    for letter in spec.order:
        if letter not in spec.bars:
            raise PlanError(
                _(
                    "The letter {letter} stands for no bar; "
                    "choose a bar for it or leave it out."
                ),
                field="order",
                letter=letter,
            )
        bar = spec.bars[letter]
        if bar.width < spec.width - 1e-6:
            raise PlanError(
                _("Bar {letter} is {bar_width} wide, narrower than the stack "
                  "of {width}; "
                  "make the stack narrower or take a wider bar."),
                field="width", letter=letter, bar_width=bar.width, width=spec.width,
            )  # fmt: skip
    return tuple(
        Layer(spec.bars[one].steel, spec.bars[one].thickness) for one in spec.order
    )


def cut_list(spec: PlanSpec) -> list[CutItem]:
    """Return how many pieces of which length come from how many bars.

    The mass is that of whole bar widths: what is cut off beside a narrower stack has
    been bought all the same.
    """
    items = []
    for letter, pieces in sorted(Counter(spec.order).items()):
        bar = spec.bars[letter]
        kerf = float(spec.saw.kerf)
        section = bar.thickness * bar.width * bar.steel.density
        items.append(
            CutItem(
                letter=letter, bar=bar,
                line=cut_line(pieces, spec.length, bar.length, kerf),
                mass=pieces * spec.length * section,
                width=spec.width,
            )
        )  # fmt: skip
    return items


def core_cuts(spec: PlanSpec, result: PlanResult) -> list[CutItem]:
    """Return what is cut for the cores, as long as the halves will be at the median.

    PlanError if a bar is shorter than its core.
    """
    laid = [step for step in result.steps if step.kind == "core"]
    return [
        _core_cut(bar, step, float(spec.saw.kerf))
        for bar, step in zip(spec.cores, laid, strict=True)
    ]


def _core_cut(bar: Bar, step: StepResult, kerf: float) -> CutItem:
    length = float(step.length)
    if length > bar.length:
        raise PlanError(
            _(
                "Step {step}: the core is {length} long and its bar {bar_length}; take "
                "a longer bar, or start with a shorter stack."
            ),
            field="core",
            step=step.number,
            length=length,
            bar_length=bar.length,
        )
    return CutItem(
        letter="",
        bar=bar,
        line=cut_line(1, length, bar.length, kerf),
        mass=length * bar.width * bar.thickness * bar.steel.density,
        width=float(step.width),
    )


# --- the shop's factors ----------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Beliefs:
    """What is believed of the model's factors, and from how many billets."""

    factors: Mapping[str, FactorBelief]
    billets: int

    @property
    def calibrated(self) -> bool:
        """Whether enough billets have been weighed to trust the numbers."""
        return self.billets >= CALIBRATED_FROM


def shop_beliefs() -> Beliefs:
    """Return the trade's priors with this shop's own factors in their place."""
    rows = list(ShopFactor.objects.all())
    own = {
        row.name: FactorBelief(row.median, row.ln_sd, PRIORS[row.name].billet_ln_sd)
        for row in rows
        if row.name in PRIORS
    }
    return Beliefs(
        factors={**PRIORS, **own}, billets=min((r.billets for r in rows), default=0)
    )


# --- targets ---------------------------------------------------------------------


def core_targets(rows: Iterable[PlanTarget], *, clean: bool) -> tuple[Target, ...]:
    """Return what must come out of the bar, forged or ground clean, one a knife."""
    return tuple(
        Target(
            label=row.label,
            needed=row.clean_needed if clean else row.needed,
            thickness=row.thickness,
            width_low=row.width_low,
            width_high=row.width_high,
            length=row.length,
            blade_height=row.blade_height,
            spine=row.spine,
            behind_edge=row.behind_edge,
            hardness=row.hardness,
            knife=knife_of(row),
        )
        for row in with_knives(rows)
    )


# --- saving ----------------------------------------------------------------------


@transaction.atomic
def save_plan(
    plan: Plan, bars: Mapping[str, BarSize], steps: Sequence[Mapping[str, Any]]
) -> Plan:
    """Write a plan with its bars and steps; StalePlan if somebody else just did.

    Every step keeps the numbers it was reckoned with, the usual ones too.
    """
    if plan.pk is None:
        plan.save()
    else:
        kept = Plan.objects.filter(pk=plan.pk, version=plan.version)
        if not kept.update(version=F("version") + 1):
            raise StalePlan
        plan.version += 1
        plan.save()
        plan.bars.all().delete()
        plan.steps.all().delete()
    _only_template(plan)
    PlanBar.objects.bulk_create(
        PlanBar(plan=plan, letter=letter, bar=bar) for letter, bar in bars.items()
    )
    PlanStep.objects.bulk_create(
        PlanStep(plan=plan, position=place, **values)
        for place, values in enumerate(filled_steps(steps), start=1)
    )
    return plan


def _only_template(plan: Plan) -> None:
    """Take the mark off any other plan that was the template of this one's class."""
    if plan.template:
        others = Plan.objects.filter(template=plan.template).exclude(pk=plan.pk)
        others.update(template="", version=F("version") + 1)
