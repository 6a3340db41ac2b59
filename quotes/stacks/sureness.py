"""How sure a billet is: stacks for several chances, what they cost, what drives it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from billets.figures import targets_of
from billets.models import Plan
from billets.physics.chances import CHANCES, formula_length, stack_for
from billets.physics.drivers import Drivers, drivers, drivers_of
from billets.physics.errors import PlanError
from billets.physics.plan import run_plan
from billets.physics.sure import Needs, SureStack, needs_of, weighed
from billets.physics.uncertainty import DRAWS
from billets.physics.verdict import Target
from billets.services import (
    Beliefs,
    PlanSpec,
    plan_input,
    plan_spec,
    shop_beliefs,
)


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
