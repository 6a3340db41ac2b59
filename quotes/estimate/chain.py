"""A job file, from its text to cost and price: the whole chain without a row of a shop.

Steels and rates come from the shop's database where there is one, else from the
shipped files; the estimate says which.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from typing import Any, TypeAlias

from billets.figures import PlanFigures, ends_clean, figures, fit_stack
from billets.physics.bottles import check_bottle
from billets.physics.equipment import FORGES, SAWS, TOOLS, Forge, Saw, Tool
from billets.physics.errors import PlanError, _
from billets.physics.fit import Fit
from billets.physics.gas_rate import metered
from billets.physics.knife import KnifeResult, weigh_knife
from billets.physics.knife_spec import KnifeSpec, default_spec
from billets.physics.verdict import Target
from billets.plan_steps import core_steps
from billets.services import PlanSpec, core_bars
from billets.stock import Bar
from billets.units import System
from quotes.costing import CostLines, cost
from quotes.errors import QuoteError
from quotes.estimate.keys import KeyedError, knife_key, money_key, plan_key
from quotes.estimate.stock import Stock
from quotes.job import Job, KnifeJob
from quotes.job_reader import join
from quotes.jobfile import BarEntry, JobSpec, KnifeEntry
from quotes.pricing import BilletPlace, Prices, billet_job, knife_job
from quotes.rates import Rates, overridden
from shop.services import target_values

SEED = 20260101
BAR_LENGTH = 1.0  # of a bar that the file says no length of [m]
NO_FERRULE = "none"
HARDNESS = 60.0  # aimed at where the file says none [HRC]

GOES_WITH: Mapping[str, Mapping[str, str | None]] = {
    "full": {"handle": "scales", "ferrule": None},
    "hidden": {"handle": "octagon", "ferrule": "horn"},
}
"""Handle and ferrule of a tang that is not the usual one of its family."""


Knife: TypeAlias = tuple[KnifeEntry, KnifeSpec, KnifeResult]
"""A knife as told, as filled in, and as weighed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A job with all that was computed of it.

    Attributes
    ----------
    job : JobSpec
        What was asked for.
    knives : tuple of Knife
        Each of its knives.
    plan : PlanFigures
        The billet.
    fit : Fit or None
        How the stack was fitted, where that was asked for.
    lines : CostLines
        Cost and price.
    rates : Rates
        What they were made with.
    seed : int
        Of the draws.
    system : str
        How the shop reads sizes.
    """

    job: JobSpec
    knives: tuple[Knife, ...]
    plan: PlanFigures
    fit: Fit | None
    lines: CostLines
    rates: Rates
    seed: int
    system: System


# --- the chain -------------------------------------------------------------------


def estimate(
    job: JobSpec, stock: Stock, *, chance: float, fit: bool, seed: int = SEED
) -> Estimate:
    """Return plan, cost and price of a job; KeyedError names the key to change."""
    knives = tuple(_knife(number, entry) for number, entry in enumerate(job.knives, 1))
    spec = _plan(job, stock)
    targets = [_target(*knife, clean=ends_clean(spec)) for knife in knives]
    fitted = None
    try:
        if fit:
            spec, fitted = fit_stack(
                spec, targets, stock.beliefs, seed=seed, chance=chance
            )
        plan = figures(spec, targets, stock.beliefs, seed=seed, chance=chance)
    except PlanError as error:
        raise KeyedError(plan_key(error, job), error) from error
    rates = overridden(stock.rates, job.rates) if job.rates else stock.rates
    return Estimate(
        job=job,
        knives=knives,
        plan=plan,
        fit=fitted,
        lines=_cost(job, knives, plan, stock.prices, rates),
        rates=rates,
        seed=seed,
        system=stock.system,
    )


def _knife(number: int, entry: KnifeEntry) -> Knife:
    named = replace(entry, name=entry.name or f"{entry.family} {number}")
    try:
        spec = _filled(entry)
        return named, spec, weigh_knife(spec)
    except PlanError as error:
        key = knife_key(number, error)
        raise KeyedError(key, error) from error


def _filled(entry: KnifeEntry) -> KnifeSpec:
    """Return a knife with what the file leaves out as usual for it."""
    usual, given = default_spec(entry.family, entry.given.get("length")), entry.given
    tang = given.get("tang", usual.tang)
    fitting = GOES_WITH.get(tang, {}) if tang != usual.tang else {}
    told = {**fitting, **given}
    if told.get("ferrule") == NO_FERRULE:
        told["ferrule"] = None
    return replace(usual, **told)


def _target(
    entry: KnifeEntry, spec: KnifeSpec, result: KnifeResult, *, clean: bool
) -> Target:
    hardness = float(entry.hardness or HARDNESS)
    values = target_values(entry.name, spec, result, hardness)
    forged, ground = values.pop("needed"), values.pop("clean_needed")
    return Target(needed=ground if clean else forged, **values)


def _plan(job: JobSpec, stock: Stock) -> PlanSpec:
    bars = {
        letter: _bar(letter, bar, job.width, stock) for letter, bar in job.bars.items()
    }
    told_steps = [
        {**step, "core": bars[step["core"]]} if "core" in step else step
        for step in job.steps
    ]
    try:
        steps = tuple(core_steps(told_steps))
    except PlanError as error:
        raise KeyedError(plan_key(error, job), error) from error
    told = job.equipment
    return PlanSpec(
        bars=bars, order=job.order, length=job.length, width=job.width, steps=steps,
        forge=_forge(told), tool=_tool(told), saw=_saw(told),
        cores=core_bars(told_steps),
    )  # fmt: skip


def _bar(letter: str, bar: BarEntry, width: float, stock: Stock) -> Bar:
    steel = stock.steels.get(bar.steel.lower())
    if steel is None:
        names = sorted({one.key for one in stock.steels.values()})
        raise KeyedError(
            f"billet.bars.{letter}.steel",
            PlanError(
                _("There is no steel {steel} here; choose one of {known}."),
                steel=bar.steel, known=", ".join(names),
            ),
        )  # fmt: skip
    return Bar(
        steel=steel,
        thickness=bar.thickness,
        width=bar.width or width,
        length=bar.length or BAR_LENGTH,
    )


def _forge(told: Mapping[str, Any]) -> Forge:
    own = {one.name: told[one.name] for one in fields(Forge) if one.name in told}
    weighed = own.pop("gas_rate", None)
    forge = replace(FORGES["two burners"], **own)
    try:
        check_bottle(forge)
        return metered(forge, weighed)
    except PlanError as error:
        raise KeyedError(join("equipment", error.field or ""), error) from error


def _tool(told: Mapping[str, Any]) -> Tool:
    kind = told.get("tool", "press")
    if kind not in TOOLS:
        raise KeyedError(
            "equipment.tool",
            PlanError(
                _("A tool is one of {known}, not {tool}."),
                known=", ".join(TOOLS), tool=kind,
            ),
        )  # fmt: skip
    if kind != "press" and "force" in told:
        raise KeyedError(
            "equipment.force",
            PlanError(_("Only a press has a force; leave it out for a {tool}."),
                      tool=kind),
        )  # fmt: skip
    own = {one.name: told[one.name] for one in fields(Tool) if one.name in told}
    return replace(TOOLS[kind], **own)


def _saw(told: Mapping[str, Any]) -> Saw:
    return Saw(kerf=told["kerf"]) if "kerf" in told else SAWS["thin disc"]


# --- money -----------------------------------------------------------------------


def _cost(
    job: JobSpec,
    knives: tuple[Knife, ...],
    plan: PlanFigures,
    prices: Prices,
    rates: Rates,
) -> CostLines:
    bars = plan.spec.bars
    own = {
        bars[letter].steel.key: bar.price
        for letter, bar in job.bars.items()
        if bar.price is not None
    }
    prices = replace(prices, steels={**prices.steels, **own})
    place = BilletPlace(place=0, clean=ends_clean(plan.spec))
    try:
        money_job = Job(
            knives=tuple(
                _priced(
                    knife_job(entry.name, spec, result, billet=place, prices=prices),
                    entry.handle_price,
                )
                for entry, spec, result in knives
            ),
            billets=(billet_job("billet", plan, prices),),
            currency=rates.currency,
            blades_per_firing=len(knives),
        )
        return cost(money_job, rates)
    except QuoteError as error:
        raise KeyedError(money_key(error, bars, job.rates), error) from error


def _priced(knife: KnifeJob, handle_price: Decimal | None) -> KnifeJob:
    return knife if handle_price is None else replace(knife, handle_price=handle_price)
