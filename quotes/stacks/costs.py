"""What stacks cost, what a short billet costs, and which stack is then the cheapest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from billets.physics.chances import (
    cheapest_length,
    cheapest_made,
    formula_cheapest,
)
from billets.physics.errors import _
from billets.physics.lengths import with_length
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
from quotes.stacks.sureness import Sureness

HOUR = 3600.0
LONGER = 1.1
"""By how much the only stack there is, is shortened to see what more costs [1]."""


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
    """What stacks of a billet cost, against the one that all are compared with.

    Attributes
    ----------
    spec, beliefs, costs
        The billet and what its costs are made of; the length in it is that of the
        stack compared with.
    making : Making
        Of the stack as planned now, or the first that can be made [currency].
    steel_per_length, per_mass : float
        Steel for a metre more of stack, and all that a kilogram more costs on the way
        from the least to the most sure stack [currency/m, currency/kg].
    """

    spec: PlanSpec
    beliefs: Beliefs
    costs: UnitCosts
    making: Making
    steel_per_length: float
    per_mass: float

    def steel_more(self, length: float) -> float:
        """Return what a stack's steel costs more than that of the one compared with."""
        return self.steel_per_length * (length - self.spec.length)

    def wholes(self, lengths: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return what making stacks of some lengths [m] costs [currency]."""
        plan = plan_input(self.spec, self.beliefs.factors)
        made = run_plan(with_length(plan, lengths))
        steel = self.making.steel + self.steel_per_length * (lengths - self.spec.length)
        hours = made.attended_seconds / HOUR
        return np.asarray(steel + made.gas * self.costs.gas + hours * self.costs.hour)

    def with_risk(self, stack: SureStack, short: Decimal) -> float:
        """Return what a stack costs to make, with what is lost if it is short."""
        (whole,) = self.wholes(np.array([stack.length])).tolist()
        return float(whole) + float(short) * (1.0 - stack.chance)


def priced(found: Sureness, costs: UnitCosts) -> Priced:
    """Return what the stack as planned costs, and what more of it would.

    QuoteError if one of its steels has no price.
    """
    beliefs, first = found.beliefs, _compared(found)
    spec = replace(found.spec, length=first.length)
    short, long = _span(found)
    less, more = (_making(spec, beliefs, one, costs) for one in (short, long))
    per_length = first.start_mass / first.length
    return Priced(
        spec=spec,
        beliefs=beliefs,
        costs=costs,
        making=_making(spec, beliefs, spec.length, costs),
        steel_per_length=(more.steel - less.steel) / (long - short),
        per_mass=(more.whole - less.whole) / ((long - short) * per_length),
    )


def _compared(found: Sureness) -> SureStack:
    """Return the stack as planned, or the first that can be made."""
    stacks = (found.now, *(one.stack for one in found.chances))
    return next(one for one in stacks if isinstance(one, SureStack))


def _span(found: Sureness) -> tuple[float, float]:
    """Return the shortest and the longest stack for a chance; never the same [m].

    No longer than the bars: what does not fit on one has no list of cuts to price.
    """
    lengths = [
        one.stack.length for one in found.chances if isinstance(one.stack, SureStack)
    ]
    bars = [found.spec.bars[letter].length for letter in found.spec.order]
    short, long = min(lengths), min(max(lengths), *bars)
    return (short, long) if long > short else (short / LONGER, short)


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
    line, stack = cheapest_length(found.needs, **asked), None
    if line is not None:
        stack = cheapest_made(
            found.needs,
            short=float(short),
            making=money.wholes,
            least=min(line, _span(found)[0]),
        )
    return CheapestStack(
        short=short, stack=stack, formula=formula_cheapest(found.needs, **asked)
    )


def usual_short(money: Priced, costs: UnitCosts, places: int) -> Decimal:
    """Return what a short billet costs unless told otherwise: what is in it."""
    lost = money.making.whole if costs.short is None else costs.short
    return quantity(lost, places)
