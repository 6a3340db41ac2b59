"""All that a page or paper says of a billet plan, computed once.

The plain run gives the numbers, the sampled one their bands and the chance; both go
through ``run_plan``. Nothing here is kept: the bench always computes afresh.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from billets.models import Plan
from billets.physics.energy import PlanEnergy, plan_energy
from billets.physics.errors import Flag
from billets.physics.figure_flags import pattern_flags_of
from billets.physics.fit import Fit, fit_length, fit_pieces
from billets.physics.gas_use import GasReport, gas_report
from billets.physics.plan import HOT_KINDS, PlanInput, PlanResult, run_plan
from billets.physics.press_report import PressStep, press_report
from billets.physics.steels_report import SteelsReport, serious, steels_report
from billets.physics.uncertainty import DRAWS, SampledPlan, sample_plan
from billets.physics.verdict import CHANCE, Target, Verdict, verdict
from billets.services import (
    Beliefs,
    CutItem,
    PlanSpec,
    core_cuts,
    core_targets,
    cut_list,
    plan_input,
    plan_spec,
    shop_beliefs,
)


@dataclass(frozen=True, kw_only=True)
class PlanFigures:
    """A plan with everything computed from it; reports only once they are asked for.

    Attributes
    ----------
    spec, targets, beliefs
        What it was computed from.
    plain : PlanResult
        Everything at the medians.
    sampled : SampledPlan
        The same for many shops that might be this one.
    verdict, median : Verdict or None
        Enough with the chance asked for, and if all goes as planned; None where no
        knife is to come out of the bar.
    cuts : list of CutItem
        How many pieces of which length from how many bars.
    energy : PlanEnergy
        Heat of the gas, and what of it the steel takes [J].
    """

    spec: PlanSpec
    targets: tuple[Target, ...]
    beliefs: Beliefs
    plain: PlanResult
    sampled: SampledPlan
    verdict: Verdict | None
    median: Verdict | None
    cuts: list[CutItem]
    energy: PlanEnergy

    @cached_property
    def input(self) -> PlanInput:
        """The plan as the physics ran it, with the shop's factors at their medians."""
        return plan_input(self.spec, self.beliefs.factors)

    @cached_property
    def pressing(self) -> tuple[PressStep, ...]:
        """What the tool can move, for every hot step."""
        return press_report(self.input, self.plain)

    @cached_property
    def fuel(self) -> GasReport:
        """What the plan burns, and whether the bottles can give it."""
        return gas_report(self.spec.forge, self.plain, self.energy)

    @cached_property
    def steels(self) -> SteelsReport:
        """Whether the steels belong together, and how the blade is hardened."""
        return steels_report(self.input, self.plain, self.targets, self.spec.bath)

    @property
    def flags(self) -> tuple[Flag, ...]:
        """What to look at twice: of the plan, what it shall give, and what it needs."""
        of_the_bar = self.verdict.flags if self.verdict else ()
        return (
            *self.plain.flags,
            *of_the_bar,
            *pattern_flags_of(self.plain, self.targets),
            *self.fuel.flags,
            *serious(self.steels),
        )

    @property
    def burning(self) -> tuple[Flag, ...]:
        """The heats so close to burning the steel that they need a tick."""
        return tuple(
            flag
            for flag in self.plain.flags
            if flag.level == "red" and flag.field == "temperature"
        )


def figures(
    spec: PlanSpec,
    targets: Sequence[Target],
    beliefs: Beliefs,
    *,
    seed: int,
    chance: float = CHANCE,
    draws: int = DRAWS,
) -> PlanFigures:
    """Compute a plan; PlanError names the field, and the step where there is one."""
    plan = plan_input(spec, beliefs.factors)
    plain = run_plan(plan)
    sampled = sample_plan(plan, beliefs.factors, seed=seed, draws=draws)
    return PlanFigures(
        spec=spec,
        targets=tuple(targets),
        beliefs=beliefs,
        plain=plain,
        sampled=sampled,
        verdict=verdict(sampled.result, targets, chance) if targets else None,
        median=verdict(plain, targets, chance) if targets else None,
        cuts=[*cut_list(spec), *core_cuts(spec, plain)],
        energy=plan_energy(spec.steps, plain),
    )


def ends_clean(spec: PlanSpec) -> bool:
    """Say whether a plan trims or grinds the bar after its last heat."""
    return bool(spec.steps) and spec.steps[-1].kind not in HOT_KINDS


def targets_of(plan: Plan, spec: PlanSpec) -> tuple[Target, ...]:
    """Return what must come out of a saved plan's bar."""
    return core_targets(plan.targets.all(), clean=ends_clean(spec))


def figures_of(plan: Plan, beliefs: Beliefs | None = None) -> PlanFigures:
    """Compute a saved plan with the shop's factors, those of today unless given."""
    spec = plan_spec(plan)
    return figures(
        spec,
        targets_of(plan, spec),
        beliefs or shop_beliefs(),
        seed=plan.seed,
        chance=plan.chance,
    )


def fit_stack(
    spec: PlanSpec,
    targets: Sequence[Target],
    beliefs: Beliefs,
    *,
    seed: int,
    chance: float,
    by_pieces: bool = False,
) -> tuple[PlanSpec, Fit]:
    """Return the plan with the smallest stack that suffices with a chance."""
    plan: PlanInput = plan_input(spec, beliefs.factors)
    fit = (fit_pieces if by_pieces else fit_length)(
        plan, targets, beliefs.factors, chance=chance, seed=seed
    )
    length = float(fit.stack.length)
    return replace(spec, length=length, order=_order(spec, fit, plan)), fit


def _order(spec: PlanSpec, fit: Fit, plan: PlanInput) -> str:
    """Return the letters of the fitted stack: the order at hand, gone on with."""
    count = len(fit.stack.layers)
    if count == len(spec.order):
        return spec.order
    letters = {
        layer: letter
        for letter, layer in zip(spec.order, plan.stack.layers, strict=True)
    }
    return "".join(letters[layer] for layer in fit.stack.layers)
