"""How sure a billet is: stacks for several chances, what they cost, what drives it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from billets.figures import targets_of
from billets.models import Plan
from billets.physics.chances import (
    CHANCES,
    Needs,
    SureStack,
    cheapest_of,
    formula_cheapest,
    formula_length,
    needs_of,
    stack_for,
    weighed,
)
from billets.physics.drivers import Drivers, drivers, drivers_of
from billets.physics.errors import PlanError, _
from billets.physics.guards import LONGEST
from billets.physics.plan import run_plan
from billets.physics.uncertainty import DRAWS
from billets.physics.unit_costs import UnitCosts
from billets.physics.verdict import Target
from billets.services import (
    Beliefs,
    PlanSpec,
    cut_list,
    plan_input,
    plan_spec,
    shop_beliefs,
)
from quotes.errors import QuoteError
from quotes.money import quantity

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


@dataclass(frozen=True, slots=True, kw_only=True)
class ForChance:
    """A stack for a chance asked for, or why there is none.

    Attributes
    ----------
    asked : float
        The chance [1].
    stack : SureStack or PlanError
        What suffices.
    formula : float
        Its length as the closed form has it [m].
    """

    asked: float
    stack: SureStack | PlanError
    formula: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sureness:
    """All that is computed about how sure a billet is.

    Attributes
    ----------
    spec, beliefs
        What it was computed from.
    drivers : Drivers or PlanError
        What makes the bar uncertain, with the stack as planned now.
    needs : Needs or None
        What each draw needs; None where no knife is to come out of the billet.
    now : SureStack or PlanError or None
        The stack as planned now.
    chances : tuple of ForChance
        Stacks for the usual chances, from the least sure.
    seed, draws : int
        With them the same figures come again [1].
    """

    spec: PlanSpec
    beliefs: Beliefs
    drivers: Drivers | PlanError
    needs: Needs | None
    now: SureStack | PlanError | None
    chances: tuple[ForChance, ...]
    seed: int
    draws: int = DRAWS


def sureness_of(plan: Plan) -> Sureness:
    """Compute how sure a saved billet is; PlanError if it cannot be made at any length.

    With the draws of its own seed, the same as on its page.
    """
    spec, beliefs = plan_spec(plan), shop_beliefs()
    targets = targets_of(plan, spec)
    if not targets:
        found = drivers(plan_input(spec, beliefs.factors), beliefs.factors,
                        seed=plan.seed)  # fmt: skip
        return Sureness(
            spec=spec, beliefs=beliefs, drivers=found, needs=None, now=None,
            chances=(), seed=plan.seed,
        )  # fmt: skip
    return _sureness(spec, beliefs, targets, plan.seed)


def _sureness(
    spec: PlanSpec, beliefs: Beliefs, targets: tuple[Target, ...], seed: int
) -> Sureness:
    needs = needs_of(
        plan_input(spec, beliefs.factors), targets, beliefs.factors, seed=seed
    )
    chances = tuple(_for_chances(needs))
    if all(isinstance(one.stack, PlanError) for one in chances):
        raise _why(chances)
    now, found = _now(needs, beliefs, spec.length)
    return Sureness(
        spec=spec, beliefs=beliefs, drivers=found, needs=needs, now=now,
        chances=chances, seed=seed,
    )  # fmt: skip


def _why(chances: tuple[ForChance, ...]) -> PlanError:
    """Return the refusal of the smallest chance: it names the way out."""
    return next(one.stack for one in chances if isinstance(one.stack, PlanError))


def _for_chances(needs: Needs) -> Iterator[ForChance]:
    for asked in CHANCES:
        stack: SureStack | PlanError
        try:
            stack, formula = stack_for(needs, asked), formula_length(needs, asked)
        except PlanError as error:
            stack, formula = error, 0.0
        yield ForChance(asked=asked, stack=stack, formula=formula)


def _now(
    needs: Needs, beliefs: Beliefs, length: float
) -> tuple[SureStack | PlanError, Drivers | PlanError]:
    """Return how sure the stack is as planned, and what drives it; one run for both."""
    try:
        result = run_plan(needs.plan)
    except PlanError as error:
        return error, error
    found = drivers_of(needs.plan, result.clean_mass, beliefs.factors, seed=needs.seed)
    return weighed(needs, length, result), found


# --- what it costs -------------------------------------------------------------------


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
        steel=_steel(spec, costs),
        gas=gas * costs.gas,
        time=hours * costs.hour,
        mass=gas,
        hours=hours,
    )


def _steel(spec: PlanSpec, costs: UnitCosts) -> float:
    """Return what the bars cut for a stack cost [currency]."""
    total = 0.0
    for item in cut_list(spec):
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
