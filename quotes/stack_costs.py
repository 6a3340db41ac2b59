"""What stacks cost, what a short billet costs, and which stack is then the cheapest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from billets.physics.chances import cheapest_of, formula_cheapest
from billets.physics.errors import _
from billets.physics.guards import LONGEST
from billets.physics.plan import run_plan
from billets.physics.sure import SureStack
from billets.physics.unit_costs import UnitCosts
from billets.services import (
    Beliefs,
    CutItem,
    PlanSpec,
    core_cuts,
    cut_list,
    plan_input,
)
from quotes.errors import QuoteError
from quotes.money import quantity
from quotes.sureness import Sureness

HOUR = 3600.0
LONGER = 1.1
"""By how much a stack is lengthened to see what a kilogram more costs [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """What making a billet costs, and what a kilogram more of it does.

    Attributes
    ----------
    steel, gas, time : float
        Whole bar widths counted, gas burnt, attended hours [currency].
    mass, hours : float
        Of gas, and attended [kg, h].
    """

    steel: float
    gas: float
    time: float
    mass: float
    hours: float

    @property
    def whole(self) -> float:
        """All of it together [currency]."""
        return self.steel + self.gas + self.time


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """What the stack costs that everything is compared with.

    Attributes
    ----------
    making : Making
        Of the stack as planned now, or the first that can be made [currency].
    length, start_mass : float
        Of that stack [m, kg].
    steel_per_length, per_mass : float
        Steel for a metre more of stack, and all that a kilogram more costs
        [currency/m, currency/kg].
    """

    making: Making
    length: float
    start_mass: float
    steel_per_length: float
    per_mass: float

    def steel_more(self, stack: SureStack) -> float:
        """Return what a stack's steel costs more than that of the one compared with."""
        return self.steel_per_length * (stack.length - self.length)

    def with_risk(self, stack: SureStack, short: Decimal) -> float:
        """Return what a stack costs to make, with what is lost if it is short."""
        more = self.per_mass * (stack.start_mass - self.start_mass)
        return self.making.whole + more + float(short) * (1.0 - stack.chance)


def priced(found: Sureness, costs: UnitCosts) -> Priced:
    """Return what the stack as planned costs, and what more of it would.

    QuoteError if one of its steels has no price.
    """
    spec, beliefs = found.spec, found.beliefs
    stack = _compared(found)
    longer = min(LONGER * stack.length, LONGEST)
    shorter = stack.length if longer > stack.length else stack.length / LONGER
    less, more = (_making(spec, beliefs, one, costs) for one in (shorter, longer))
    gained = longer - shorter
    per_length = stack.start_mass / stack.length
    return Priced(
        making=less if shorter == stack.length else more,
        length=stack.length,
        start_mass=stack.start_mass,
        steel_per_length=(more.steel - less.steel) / gained,
        per_mass=(more.whole - less.whole) / (gained * per_length),
    )


def _compared(found: Sureness) -> SureStack:
    """Return the stack as planned, or the first that can be made."""
    stacks = (found.now, *(one.stack for one in found.chances))
    return next(one for one in stacks if isinstance(one, SureStack))


def _making(
    spec: PlanSpec, beliefs: Beliefs, length: float, costs: UnitCosts
) -> Making:
    spec = replace(spec, length=length)
    plain = run_plan(plan_input(spec, beliefs.factors))
    gas, hours = float(plain.gas), float(plain.attended_seconds) / HOUR
    return Making(
        steel=_steel((*cut_list(spec), *core_cuts(spec, plain)), costs),
        gas=gas * costs.gas,
        time=hours * costs.hour,
        mass=gas,
        hours=hours,
    )


def _steel(cuts: Iterable[CutItem], costs: UnitCosts) -> float:
    """Return what the bars cut for a stack and its cores cost [currency]."""
    total = 0.0
    for item in cuts:
        steel = item.bar.steel
        if steel.key not in costs.steel:
            raise QuoteError(
                _("{steel} has no price a kilogram; enter one with the steel."),
                field="steel",
                steel=steel.name,
            )
        total += item.mass * costs.steel[steel.key]
    return total


# --- the cheapest --------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class CheapestStack:
    """The stack that is cheapest when a short billet costs a known sum.

    Attributes
    ----------
    short : Decimal
        That sum [currency].
    stack : SureStack or None
        None where no stack pays.
    formula : float or None
        Its length as the closed form has it; None where it finds none [m].
    """

    short: Decimal
    stack: SureStack | None
    formula: float | None


def cheapest_stack(found: Sureness, money: Priced, short: Decimal) -> CheapestStack:
    """Return the cheapest stack for a sum; needs a billet that knives come out of.

    QuoteError if more steel costs nothing.
    """
    assert found.needs is not None  # noqa: S101  whoever asks has knives
    if money.per_mass <= 0.0:
        raise QuoteError(
            _(
                "By these rates more steel costs nothing, so the longest stack would "
                "be the cheapest; enter what steel costs."
            ),
            field="steel",
        )
    if not short:
        return CheapestStack(short=short, stack=None, formula=None)
    asked = {"short": float(short), "per_mass": money.per_mass}
    return CheapestStack(
        short=short,
        stack=cheapest_of(found.needs, **asked),
        formula=formula_cheapest(found.needs, **asked),
    )


def usual_short(money: Priced, costs: UnitCosts, places: int) -> Decimal:
    """Return what a short billet costs unless told otherwise: what is in it."""
    lost = money.making.whole if costs.short is None else costs.short
    return quantity(lost, places)
