"""What a knife would have to cost, worked out while the caller waits.

The real chain with the shop's template for the class of pattern: the usual knife of
the family, the template's stack fitted to it, its hours and gas, and the same lines of
cost as for any order. Nothing is kept; ``quotes.floor.orders`` makes an order of it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeAlias

from babel.lists import format_list

from billets.choices import pattern_class
from billets.figures import PlanFigures, ends_clean, figures
from billets.messages import sentence, spoken
from billets.models import Plan
from billets.physics.errors import PlanError, _
from billets.physics.knife import KnifeResult, weigh_knife
from billets.physics.knife_spec import KnifeSpec
from billets.physics.verdict import Target
from billets.services import Beliefs, plan_spec, shop_beliefs
from billets.template_fit import fitted_to, template_for
from billets.units import System, locale_of
from quotes.costing import CostLines, cost
from quotes.earned import earned_per_hour, hours_with_failures
from quotes.errors import QuoteError
from quotes.floor.knife import usual_knife
from quotes.job import Job
from quotes.money import Taxed, from_gross, from_net
from quotes.pricing import BilletPlace, billet_job, knife_job, rates_on
from quotes.rates import Rates
from shop.services import target_values
from shop.usual import HARDNESS, knife_name

Made: TypeAlias = tuple[str, KnifeSpec, KnifeResult]
"""A knife by its name, what it is to be, and what it comes to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """What a caller asks for.

    Attributes
    ----------
    family : str
        Key of the family.
    length : float or None
        Edge; None for the usual one [m].
    pattern, handle : str
        Class of pattern, and of handle; an empty handle is the family's usual one.
    named : Decimal or None
        Price the caller named, tax included [currency].
    wanted : date or None
        Monday of the week it is wanted in.
    """

    family: str
    length: float | None = None
    pattern: str
    handle: str = ""
    named: Decimal | None = None
    wanted: dt.date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Earned:
    """What a price would leave for an hour, after tax and all that is not labour.

    Attributes
    ----------
    named : Taxed
        The price.
    hour : Decimal
        Earned by an hour, failures counted in; below zero whoever makes it pays
        [currency per hour].
    missing : Decimal
        By how much it is below the floor, tax included; zero or less above it.
    """

    named: Taxed
    hour: Decimal
    missing: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorPrice:
    """A price for the telephone, and all it was made of.

    Attributes
    ----------
    asked : Call
        What for.
    name : str
        What the knife is called.
    spec, result
        The knife, and what it comes to.
    template : Plan
        The shop's plan for the class of pattern, as it is kept.
    figures : PlanFigures
        The same fitted to the knife.
    rates : Rates
        In force on the day.
    lines : CostLines
        Cost and price, line by line.
    floor : Taxed
        At cost, failures included and no margin.
    hours : Decimal
        Attended hours with those of failures [h].
    earned : Earned or None
        What the price the caller named would earn.
    """

    asked: Call
    name: str
    spec: KnifeSpec
    result: KnifeResult
    template: Plan
    figures: PlanFigures
    rates: Rates
    lines: CostLines
    floor: Taxed
    hours: Decimal
    earned: Earned | None

    @property
    def price(self) -> Taxed:
        """What would be asked, with margin and tax."""
        return self.lines.price.whole

    @property
    def deposit(self) -> Taxed:
        """The part paid before the work begins."""
        return self.lines.price.deposit

    @property
    def labour(self) -> Decimal:
        """What an hour at the bench has to bring in [currency per hour]."""
        return self.rates.value("labour")


class NoTemplate(QuoteError):
    """The shop has no plan for a class of pattern."""


class Unsuited(QuoteError):
    """The shop's plan for a class of pattern cannot be made to suit a knife."""

    def __init__(self, template: Plan, reason: str, others: tuple[str, ...]) -> None:
        way_out = _(
            "“{title}” does not suit this knife. {reason} Change that billet, or "
            "choose another length."
        )
        if others:
            way_out = _(
                "“{title}” does not suit this knife. {reason} It can be made in "
                "{others}; or change that billet."
            )
        super().__init__(
            way_out,
            field="pattern",
            title=template.title,
            reason=reason,
            others=format_list(others, "or", locale=locale_of(spoken())),
        )
        self.template = template


def floor_price(asked: Call, day: dt.date, system: System) -> FloorPrice:
    """Return what a knife would have to cost on a day.

    PlanError if the knife cannot be made, with the box that is wrong as its field;
    QuoteError if there is no plan for its pattern, or no price for what goes into it.
    """
    spec = usual_knife(asked.family, asked.length, asked.handle, system)
    result = weigh_knife(spec)
    template = template_for(asked.pattern)
    if template is None:
        raise _no_template(asked.pattern)
    knife = (knife_name(asked.family, spec.length, system), spec, result)
    try:
        fitted = _fitted(template, knife, shop_beliefs())
    except PlanError as error:
        reason, others = sentence(error, system), _suiting(knife, asked.pattern)
        raise Unsuited(template, reason, others) from error
    return _priced(asked, knife, (template, fitted), day)


def _no_template(pattern: str) -> NoTemplate:
    return NoTemplate(
        _(
            "No billet is the template for {pattern} yet: open one like it, say there "
            "that it is the template, and save it."
        ),
        field="pattern",
        pattern=str(dict(pattern_class())[pattern]),
    )


def _suiting(knife: Made, but: str) -> tuple[str, ...]:
    """Return the other patterns whose templates can be made to suit a knife."""
    beliefs, found = shop_beliefs(), []
    for key, label in pattern_class():
        template = None if key == but else template_for(key)
        if template is None:
            continue
        try:
            _fitted(template, knife, beliefs)
        except PlanError:
            continue
        found.append(str(label))
    return tuple(found)


def _fitted(template: Plan, knife: Made, beliefs: Beliefs) -> PlanFigures:
    """Return the template as it would be forged for a knife, with all its figures."""
    spec = plan_spec(template)
    target = _target(knife, clean=ends_clean(spec))
    seed, chance = template.seed, template.chance
    suited = fitted_to(spec, target, beliefs, seed=seed, chance=chance)
    return figures(suited, [target], beliefs, seed=seed, chance=chance)


def _target(knife: Made, *, clean: bool) -> Target:
    """Return what the bar must hold and offer, forged or ground clean."""
    name, spec, result = knife
    values = target_values(name, spec, result, float(HARDNESS))
    forged, cleaned = values.pop("needed"), values.pop("clean_needed")
    return Target(**values, needed=cleaned if clean else forged, knife=spec)


def _priced(
    asked: Call, knife: Made, billet: tuple[Plan, PlanFigures], day: dt.date
) -> FloorPrice:
    (name, spec, result), (template, fitted) = knife, billet
    rates, prices = rates_on(day)
    place = BilletPlace(place=0, clean=ends_clean(fitted.spec))
    job = Job(
        knives=(knife_job(name, spec, result, billet=place, prices=prices),),
        billets=(billet_job(template.title, fitted, prices),),
        currency=rates.currency,
    )
    lines = cost(job, rates)
    hours = _hours(lines, rates)
    floor = from_net(lines.price.cost, percent_of(lines), lines.currency)
    return FloorPrice(
        asked=asked, name=name, spec=spec, result=result, template=template,
        figures=fitted, rates=rates, lines=lines, floor=floor, hours=hours,
        earned=_earned(asked.named, floor, lines, (rates.value("labour"), hours)),
    )  # fmt: skip


def percent_of(lines: CostLines) -> Decimal:
    """Return the per cent of tax a price carries."""
    return lines.price.taxes[0].percent


def _hours(lines: CostLines, rates: Rates) -> Decimal:
    """Return attended hours with those of attempts that fail [h]."""
    rows = {one.row: one.expected for one in lines.hours if one.row != "all"}
    return hours_with_failures(rows, rates.chain())


def _earned(
    named: Decimal | None,
    floor: Taxed,
    lines: CostLines,
    work: tuple[Decimal, Decimal],
) -> Earned | None:
    """Return what a named price leaves for an hour."""
    if named is None:
        return None
    labour, hours = work
    price = from_gross(named, percent_of(lines), lines.currency)
    left = price.net - lines.price.cost
    hour = earned_per_hour(labour, left, hours, lines.currency)
    if hour is None:
        return None
    return Earned(named=price, hour=hour, missing=floor.gross - price.gross)
