"""From an order's rows to its cost and price: rates in force, job, lines."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from types import MappingProxyType
from typing import TypeAlias, TypeVar

from billets.figures import PlanFigures, ends_clean, figures_of
from billets.models import Plan
from billets.physics.blade import sum_blade
from billets.physics.errors import _
from billets.physics.knife import KnifeResult, weigh_knife
from billets.physics.knife_spec import KnifeSpec, spec_blade, spec_fittings
from billets.physics.plan import PlanResult
from billets.services import Beliefs
from quotes.costing import CostLines, cost
from quotes.errors import QuoteError
from quotes.gaps import Gap, NotReady, gap_of, tried
from quotes.job import BilletJob, Job, KnifeJob, SteelUse
from quotes.money import quantity
from quotes.rate_items import ITEM_OF
from quotes.rates import Rates, Tax, rates_from
from quotes.work.learned import learned_hours
from shop import stages
from shop.models import Knife, Order, Rate, Shop, TaxSetting
from shop.services import spec_of

Made = TypeVar("Made")

HOUR = 3600.0
CM2 = 1e-4
MASS_PLACES, HOUR_PLACES, AREA_PLACES = 4, 4, 2

Weighed: TypeAlias = tuple[tuple[Knife, KnifeResult], ...]
"""Knives with what they come to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedOrder:
    """An order with all that its price was made of.

    Attributes
    ----------
    order : Order
        The order.
    day : date
        The day whose rates count.
    knives : tuple of (Knife, KnifeResult)
        Its knives that are neither scrapped nor cancelled, weighed.
    plans : mapping of int to PlanFigures
        The billets they come from, by the plan's number.
    rates : Rates
        In force on the day, taxed as the order is.
    prices : Prices
        Of what is bought, on that day.
    job : Job
        What the lines were made of.
    lines : CostLines
        Cost and price.
    """

    order: Order
    day: dt.date
    knives: Weighed
    plans: Mapping[int, PlanFigures]
    rates: Rates
    prices: Prices
    job: Job
    lines: CostLines


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What bought things cost on a day, beside the rates every job needs.

    Attributes
    ----------
    steels, handles, ferrules : mapping of str to Decimal
        Price a kilogram by steel, and of a handle and a ferrule by material.
    """

    steels: Mapping[str, Decimal]
    handles: Mapping[str, Decimal]
    ferrules: Mapping[str, Decimal]

    def handle(self, spec: KnifeSpec) -> Decimal | None:
        """Return what handle and ferrule of a knife cost; None if that is not told."""
        wood = self.handles.get(spec.handle_material)
        if wood is None or spec.ferrule is None:
            return wood
        ferrule = self.ferrules.get(spec.ferrule)
        return None if ferrule is None else wood + ferrule


def rates_on(day: dt.date) -> tuple[Rates, Prices]:
    """Return the shop's rates in force on a day; QuoteError if it has none at all."""
    rows = Rate.objects.on(day)
    values = {key: row.value for key, row in rows.items() if key in ITEM_OF}
    if not values:
        raise _no_rates(day)
    tax = _tax_on(day)
    valid_from = max(rows[key].valid_from for key in values)
    shop = Shop.current()
    told = rates_from(values, currency=shop.currency, valid_from=valid_from, tax=tax)
    rates = replace(
        told,
        learned=MappingProxyType(learned_hours(told)),
        deposit_covers=shop.deposit_covers,
    )
    return rates, prices_in({key: row.value for key, row in rows.items()})


def _tax_on(day: dt.date) -> Tax | None:
    setting = TaxSetting.objects.on(day)
    if setting is None:
        return None
    return Tax(
        regime=setting.regime,
        percent=setting.rate,
        valid_from=setting.valid_from,
        note=setting.note,
    )


def prices_in(values: Mapping[str, Decimal]) -> Prices:
    """Pick the prices of steels and handle materials out of all rates by their key."""
    return Prices(
        steels=_after("steel.", values),
        handles=_after("handle.", values),
        ferrules=_after("ferrule.", values),
    )


def _after(prefix: str, values: Mapping[str, Decimal]) -> dict[str, Decimal]:
    return {
        key.removeprefix(prefix): value
        for key, value in values.items()
        if key.startswith(prefix)
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class BilletPlace:
    """Which billet of a job, and whether its bar is ground clean before forging."""

    place: int
    clean: bool


def billet_job(
    name: str, figures: PlanFigures, prices: Prices, needed_elsewhere: float = 0.0
) -> BilletJob:
    """Return a billet as its price sees it."""
    steels: dict[str, SteelUse] = {}
    for item in figures.cuts:
        steel = item.bar.steel
        before = steels[steel.key].mass if steel.key in steels else Decimal(0)
        steels[steel.key] = SteelUse(
            key=steel.key,
            name=steel.name,
            mass=before + quantity(item.mass, MASS_PLACES),
            price=prices.steels.get(steel.key),
        )
    plain = figures.plain
    return BilletJob(
        name=name,
        steels=tuple(steels.values()),
        gas=quantity(plain.gas, MASS_PLACES),
        gas_per_hour=quantity(float(figures.spec.forge.gas_rate) * HOUR, MASS_PLACES),
        hours=quantity(float(plain.attended_seconds) / HOUR, HOUR_PLACES),
        working_hours=quantity(float(plain.working_seconds) / HOUR, HOUR_PLACES),
        tool=figures.spec.tool.kind,
        needed_elsewhere=quantity(needed_elsewhere, MASS_PLACES),
        model_hours=quantity(model_hours(plain, figures.beliefs), HOUR_PLACES),
    )


def model_hours(plain: PlanResult, beliefs: Beliefs) -> float:
    """Return the attended hours of a billet without what was learned of them [h]."""
    return float(plain.attended_seconds) / beliefs.factors["hours"].median / HOUR


def knife_job(
    name: str,
    spec: KnifeSpec,
    result: KnifeResult,
    *,
    billet: BilletPlace,
    prices: Prices,
) -> KnifeJob:
    """Return a knife as its price sees it."""
    needed = result.blank.clean_needed if billet.clean else result.blank.needed
    blank = result.blank.clean_mass if billet.clean else result.blank.mass
    return KnifeJob(
        name=name,
        billet=billet.place,
        needed=quantity(needed, MASS_PLACES),
        ground=quantity(max(0.0, blank - result.steel_mass), MASS_PLACES),
        handle=spec.handle,
        bolster=spec.bolster_mass > 0,
        handle_price=prices.handle(spec),
        pins=spec_fittings(spec).handle.pins,
        area=quantity(sum_blade(spec_blade(spec)).outline_area / CM2, AREA_PLACES),
        blank=quantity(blank, MASS_PLACES),
    )


def price_order(order: Order, day: dt.date) -> PricedOrder:
    """Return what an order costs and what is asked for it on a day.

    NotReady holds everything that is missing: a knife, its billet, rates, the tax
    setting, and whatever is wrong with a knife, a billet or a rate.
    """
    knives = wanted(order)
    rows = {knife.target.plan.pk: knife.target.plan for knife in knives
            if knife.target.plan}  # fmt: skip
    results, bad_knives = tried("knife", knives, lambda one: weigh_knife(spec_of(one)))
    plans, bad_plans = tried("plan", rows.values(), figures_of)
    gaps = [*_missing(knives, day), *bad_knives, *bad_plans]
    if gaps:
        raise NotReady(gaps)
    weighed = tuple((knife, results[knife.pk]) for knife in knives)
    try:
        return _priced(order, weighed, plans, day)
    except QuoteError as error:
        raise NotReady([gap_of(error)]) from error


def _missing(knives: Sequence[Knife], day: dt.date) -> list[Gap]:
    """Return what has not been entered at all."""
    gaps = [
        Gap(error=_no_billet(knife), place="knife", row=knife)
        for knife in knives
        if knife.target.plan is None
    ]
    if not knives:
        nothing = QuoteError(_("There is no knife to price."), field="knives")
        gaps.append(Gap(error=nothing, place="order"))
    if _tax_on(day) is None:
        untold = QuoteError(
            _("Say how the shop is taxed before it makes a price."), field="tax_regime"
        )
        gaps.append(Gap(error=untold, place="tax"))
    if not Rate.objects.filter(valid_from__lte=day, key__in=list(ITEM_OF)).exists():
        gaps.append(Gap(error=_no_rates(day), place="rates"))
    return gaps


def _no_billet(knife: Knife) -> QuoteError:
    return QuoteError(
        _("{name} has no billet yet; plan one first."), field="plan", name=str(knife)
    )


def _no_rates(day: dt.date) -> QuoteError:
    return QuoteError(
        _("No rates are in force on {day}; enter the shop's rates first."),
        field="rates",
        day=day,
    )


def _priced(
    order: Order, knives: Weighed, plans: Mapping[int, PlanFigures], day: dt.date
) -> PricedOrder:
    """Return the price of an order that lacks nothing."""
    rates, prices = rates_on(day)
    rates = taxed_for(order, rates)
    titles = titles_of(knives)
    places = {
        pk: BilletPlace(place=place, clean=ends_clean(figures.spec))
        for place, (pk, figures) in enumerate(plans.items())
    }
    job = Job(
        knives=tuple(
            knife_job(
                str(knife), spec_of(knife), result,
                billet=places[plan_of(knife).pk], prices=prices,
            )
            for knife, result in knives
        ),
        billets=tuple(
            billet_job(
                titles[pk], figures, prices,
                needed_elsewhere=_needed_elsewhere(pk, figures, knives),
            )
            for pk, figures in plans.items()
        ),
        currency=rates.currency,
        blades_per_firing=max(1, len(knives)),
    )  # fmt: skip
    return PricedOrder(
        order=order, day=day, knives=knives, plans=plans, rates=rates, prices=prices,
        job=job, lines=cost(job, rates),
    )  # fmt: skip


def taxed_for(order: Order, rates: Rates) -> Rates:
    """Return rates with the tax of an order, where its draft says it has its own."""
    regime = getattr(getattr(order, "draft", None), "regime", "")
    if not regime or rates.tax is None:
        return rates
    own = Tax(regime=regime, percent=Decimal(0), valid_from=rates.tax.valid_from)
    return replace(rates, tax=own)


def with_spec(priced: PricedOrder, knife: Knife, spec: KnifeSpec) -> PricedOrder:
    """Return an order as it would be priced if one of its knives were another.

    The billet stays: only what does not change the blank can be priced so.
    """
    place = next(at for at, (one, _result) in enumerate(priced.knives) if one == knife)
    before, result = priced.job.knives[place], weigh_knife(spec)
    clean = ends_clean(priced.plans[plan_of(knife).pk].spec)
    other = knife_job(
        before.name, spec, result,
        billet=BilletPlace(place=before.billet, clean=clean), prices=priced.prices,
    )  # fmt: skip
    job = replace(priced.job, knives=_put(priced.job.knives, place, other))
    return replace(
        priced, job=job, lines=cost(job, priced.rates),
        knives=_put(priced.knives, place, (knife, result)),
    )  # fmt: skip


def _put(rows: tuple[Made, ...], place: int, row: Made) -> tuple[Made, ...]:
    return (*rows[:place], row, *rows[place + 1 :])


def wanted(order: Order) -> list[Knife]:
    """Return the knives of an order that are still to be paid for."""
    rows = order.knives.select_related("target__plan", "order")
    return [knife for knife in rows if knife.stage not in stages.EXITS]


def plan_of(knife: Knife) -> Plan:
    """Return the billet a knife comes from; QuoteError if it has none."""
    if knife.target.plan is None:
        raise _no_billet(knife)
    return knife.target.plan


def titles_of(knives: Weighed) -> dict[int, str]:
    """Return what the billets of some knives are called, by the plan's number."""
    return {plan_of(knife).pk: str(plan_of(knife)) for knife, _result in knives}


def _needed_elsewhere(pk: int, figures: PlanFigures, knives: Weighed) -> float:
    """Return what knives of other orders need from the same bar, and pay for [kg].

    One whose customer said no pays for nothing, though the bar may be planned for it.
    """
    here = {str(knife) for knife, _result in knives if plan_of(knife).pk == pk}
    declined = Knife.objects.filter(target__plan=pk, order__state="declined")
    free = here.union(map(str, declined))
    return sum(one.needed for one in figures.targets if one.label not in free)
