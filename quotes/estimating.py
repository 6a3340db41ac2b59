"""A job file, from its text to cost and price: the whole chain without a row of a shop.

Steels and rates come from the shop's database where there is one, else from the
shipped files; the estimate says which.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from billets.figures import PlanFigures, ends_clean, figures, fit_stack
from billets.loading import read_steels
from billets.models import Steel as SteelRow
from billets.physics.bar import Steel
from billets.physics.equipment import FORGES, SAWS, TOOLS, Forge, Saw, Tool
from billets.physics.errors import PlanError, _
from billets.physics.factors import PRIORS
from billets.physics.fit import Fit
from billets.physics.knife import KnifeResult, weigh_knife
from billets.physics.knife_spec import KnifeSpec, default_spec
from billets.physics.verdict import Target
from billets.services import (
    Bar,
    Beliefs,
    PlanSpec,
    core_steel,
    core_steps,
    shop_beliefs,
)
from quotes.costing import CostLines, cost
from quotes.errors import QuoteError
from quotes.job import Job
from quotes.jobfile import BarEntry, JobSpec, KnifeEntry
from quotes.pricing import BilletPlace, Prices, billet_job, knife_job, rates_on
from quotes.rates import Rates, overridden, shipped_rates
from shop.services import target_values

SEED = 20260101
BAR_LENGTH = 1.0  # of a bar that the file says no length of [m]
FORGE_FIELDS = (
    "atmosphere", "wall_temperature", "door_width", "door_height", "gas_rate", "preheat",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What a job may be made of, and what it is charged with.

    Attributes
    ----------
    steels : mapping of str to Steel
        By short name and by name, in lower case.
    beliefs : Beliefs
        The shop's factors, else the trade's priors.
    rates, prices : Rates, Prices
        Of the shop, else as shipped.
    """

    steels: Mapping[str, Steel]
    beliefs: Beliefs
    rates: Rates
    prices: Prices


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A job with all that was computed of it.

    Attributes
    ----------
    knives : tuple of (KnifeEntry, KnifeSpec, KnifeResult)
        Each knife as told, as filled in, and as weighed.
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
    """

    knives: tuple[tuple[KnifeEntry, KnifeSpec, KnifeResult], ...]
    plan: PlanFigures
    fit: Fit | None
    lines: CostLines
    rates: Rates
    seed: int


class KeyedError(ValueError):
    """What the physics or the costing refused, with the key of the file to change."""

    def __init__(self, key: str, error: PlanError | QuoteError) -> None:
        super().__init__(key)
        self.key, self.error = key, error


# --- stock -----------------------------------------------------------------------


def shop_stock(day: Any) -> Stock:
    """Return the steels, factors and rates of the shop's database."""
    rates, prices = rates_on(day)
    rows = SteelRow.objects.all()
    return Stock(
        steels=_by_name(core_steel(row) for row in rows),
        beliefs=shop_beliefs(),
        rates=rates,
        prices=prices,
    )


def shipped_stock(prices: Prices) -> Stock:
    """Return the shipped steels, priors and rates."""
    steels = (
        Steel(
            entry.key, entry.values["name"], entry.values["carbon"],
            entry.values["density"], entry.values["etch"],
        )
        for entry in read_steels()
    )  # fmt: skip
    return Stock(
        steels=_by_name(steels),
        beliefs=Beliefs(factors=PRIORS, billets=0),
        rates=shipped_rates(),
        prices=prices,
    )


def _by_name(steels: Any) -> dict[str, Steel]:
    known: dict[str, Steel] = {}
    for steel in steels:
        known |= {steel.key.lower(): steel, steel.name.lower(): steel}
    return known


# --- the chain -------------------------------------------------------------------


def estimate(
    job: JobSpec, stock: Stock, *, chance: float, fit: bool, seed: int = SEED
) -> Estimate:
    """Return plan, cost and price of a job; KeyedError names the key to change."""
    knives = tuple(_knife(number, entry) for number, entry in enumerate(job.knives, 1))
    spec = _plan(job, stock)
    clean = ends_clean(spec)
    targets = [_target(*knife, clean=clean) for knife in knives]
    fitted = None
    try:
        if fit:
            spec, fitted = fit_stack(
                spec, targets, stock.beliefs, seed=seed, chance=chance
            )
        plan = figures(spec, targets, stock.beliefs, seed=seed, chance=chance)
    except PlanError as error:
        raise KeyedError(_key_of(error), error) from error
    rates = overridden(stock.rates, job.rates) if job.rates else stock.rates
    return Estimate(
        knives=knives,
        plan=plan,
        fit=fitted,
        lines=_cost(job, knives, plan, stock, rates),
        rates=rates,
        seed=seed,
    )


def _knife(number: int, entry: KnifeEntry) -> tuple[KnifeEntry, KnifeSpec, KnifeResult]:
    try:
        spec = replace(
            default_spec(entry.family, entry.given.get("length")), **entry.given
        )
        return entry, spec, weigh_knife(spec)
    except PlanError as error:
        raise KeyedError(
            f"knives[{number}].{error.field or 'family'}", error
        ) from error


def _target(
    entry: KnifeEntry, spec: KnifeSpec, result: KnifeResult, *, clean: bool
) -> Target:
    values = target_values(entry.name, spec, result)
    forged, ground = values.pop("needed"), values.pop("clean_needed")
    return Target(needed=ground if clean else forged, **values)


def _plan(job: JobSpec, stock: Stock) -> PlanSpec:
    try:
        return PlanSpec(
            bars={
                letter: _bar(letter, bar, job.width, stock)
                for letter, bar in job.bars.items()
            },
            order=job.order,
            length=job.length,
            width=job.width,
            steps=tuple(core_steps(job.steps)),
            **_equipment(job.equipment),
        )
    except PlanError as error:
        raise KeyedError(_key_of(error), error) from error


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


def _equipment(told: Mapping[str, Any]) -> dict[str, Any]:
    forge = replace(
        FORGES["two burners"],
        **{name: told[name] for name in FORGE_FIELDS if name in told},
    )
    kind = told.get("tool", "press")
    if kind not in TOOLS:
        raise PlanError(
            _("A tool is one of {known}, not {tool}."),
            field="tool", known=", ".join(TOOLS), tool=kind,
        )  # fmt: skip
    tool = TOOLS[kind]
    if "strain" in told:
        tool = Tool(kind=kind, strain=told["strain"])
    saw = Saw(kerf=told["kerf"]) if "kerf" in told else SAWS["thin disc"]
    parts: dict[str, Forge | Tool | Saw] = {"forge": forge, "tool": tool, "saw": saw}
    return dict(parts)


def _cost(
    job: JobSpec,
    knives: tuple[tuple[KnifeEntry, KnifeSpec, KnifeResult], ...],
    plan: PlanFigures,
    stock: Stock,
    rates: Rates,
) -> CostLines:
    place = BilletPlace(place=0, clean=ends_clean(plan.spec))
    steels = dict(stock.prices.steels)
    for letter, bar in job.bars.items():
        if bar.price is not None:
            steels[plan.spec.bars[letter].steel.key] = bar.price
    prices = replace(stock.prices, steels=steels)
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
        raise KeyedError(f"rates.{error.field}", error) from error


def _priced(knife: Any, handle_price: Decimal | None) -> Any:
    return knife if handle_price is None else replace(knife, handle_price=handle_price)


BILLET_KEYS = {"length", "width", "order", "layers", "pieces"}
EQUIPMENT_KEYS = {*FORGE_FIELDS, "tool", "strain", "kerf"}


def _key_of(error: PlanError) -> str:
    """Return the path of the key a plan's error speaks of."""
    step, field = error.values.get("step"), error.field or ""
    if field == "forge":
        return "equipment.door_width"
    if field in EQUIPMENT_KEYS:
        return f"equipment.{field}"
    if step:
        return f"steps[{step}].{field}" if field else f"steps[{step}]"
    return f"billet.{field}" if field in BILLET_KEYS else field or "billet"
