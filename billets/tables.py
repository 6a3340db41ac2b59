"""The list of billets: what stands in a row."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from billets.figures import PlanFigures, figures_of
from billets.letters import write_order
from billets.messages import sentence
from billets.models import Plan
from billets.physics.errors import PlanError
from billets.services import Beliefs, shop_beliefs
from billets.units import System
from billets.verdicts import verdict_saying
from billets.wording import Saying, sides, size, whole


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """One billet of the list; one that cannot be computed says only why."""

    plan: Plan
    steels: str
    order: str
    verdict: Saying
    stack: str = ""
    layers: str = ""
    distinct: str = ""


def plan_rows(plans: Iterable[Plan], system: System) -> list[PlanRow]:
    """Return the rows of some billets with the shop's factors of today."""
    beliefs = shop_beliefs()
    return [_row(plan, beliefs, system) for plan in plans]


def _row(plan: Plan, beliefs: Beliefs, system: System) -> PlanRow:
    try:
        found = figures_of(plan, beliefs)
    except PlanError as error:
        refusal = Saying(level="stop", first=sentence(error, system))
        return PlanRow(
            plan=plan, steels=_steels(plan), order=plan.order, verdict=refusal
        )
    return _computed(plan, found, system)


def _computed(plan: Plan, found: PlanFigures, system: System) -> PlanRow:
    start = found.plain.steps[0]
    return PlanRow(
        plan=plan,
        steels=_steels(plan),
        order=write_order(plan.order),
        verdict=verdict_saying(found, system),
        stack=size(sides(start), system),
        layers=whole(found.plain.layers),
        distinct=whole(found.plain.distinct),
    )


def _steels(plan: Plan) -> str:
    """Return the steels in the order they are first laid, those of cores last."""
    names = {row.letter: row.bar.steel.name for row in plan.bars.all()}
    laid = [names[one] for one in plan.order if one in names]
    cores = [row.core.steel.name for row in plan.steps.all() if row.core]
    return ", ".join(dict.fromkeys([*laid, *cores]))
