"""From a wish for a stack to proposals, and from one of them to a billet plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.core import signing
from django.db import transaction

from billets.letters import write_order
from billets.models import BarSize, Equipment, Plan
from billets.physics.chains import Means, ProposalWish
from billets.physics.equipment import Saw
from billets.physics.errors import Flag, _
from billets.physics.first_stacks import BarOffer
from billets.physics.plan import run_plan
from billets.physics.proposal import Proposals, propose
from billets.physics.proposal_rows import ProposalRow
from billets.physics.steels_report import serious, steels_report
from billets.physics.steps import Step
from billets.physics.unit_costs import UnitCosts
from billets.physics.verdict import CHANCE
from billets.plan_steps import STEP_FIELDS
from billets.services import (
    Beliefs,
    core_forge,
    core_targets,
    core_tool,
    save_plan,
)
from billets.stock import core_steel
from quotes.errors import QuoteError
from shop import services
from shop.models import Knife

SALT = "stacks"
LONGEST_TITLE = 80
EQUIPMENT = ("forge", "tool", "saw")


@dataclass(frozen=True, slots=True, kw_only=True)
class StacksAsked:
    """What was asked for.

    Attributes
    ----------
    knives : list of Knife
        Of one order, each with its target.
    bars : list of BarSize
        On offer, of the steels that were ticked.
    equipment : mapping of str to Equipment
        Forge, tool and saw.
    wish : ProposalWish
        Layers and chance.
    seed : int
        Of the draws.
    """

    knives: list[Knife]
    bars: list[BarSize]
    equipment: Mapping[str, Equipment]
    wish: ProposalWish
    seed: int


def proposals_for(asked: StacksAsked, costs: UnitCosts, beliefs: Beliefs) -> Proposals:
    """Return the stacks proposed; PlanError if it cannot be meant so."""
    kit = asked.equipment
    means = Means(
        bars=tuple(map(_offered, asked.bars)),
        forge=core_forge(kit["forge"]),
        tool=core_tool(kit["tool"]),
        saw=Saw(kerf=kit["saw"].kerf),
    )
    targets = core_targets((one.target for one in asked.knives), clean=False)
    return propose(asked.wish, means, targets, beliefs.factors, costs, seed=asked.seed)


def against(found: Proposals, asked: StacksAsked) -> tuple[Flag, ...]:
    """Return what stands against the steels asked for, by the first stack."""
    if not found.rows:
        return ()
    plan = found.rows[0].plan
    targets = core_targets((one.target for one in asked.knives), clean=False)
    return serious(steels_report(plan, run_plan(plan), targets))


def _offered(bar: BarSize) -> BarOffer:
    return BarOffer(
        key=str(bar.pk),
        steel=core_steel(bar.steel),
        thickness=bar.thickness,
        width=bar.width,
        length=bar.length,
    )


# --- a row as a plan ------------------------------------------------------------------


def sealed(row: ProposalRow, asked: StacksAsked) -> str:
    """Return a proposal so that a form can bring it back as it was."""
    letters = sorted(set(row.order))
    return signing.dumps(
        {
            "knives": [one.serial for one in asked.knives],
            "bars": {
                letter: int(bar.key)
                for letter, bar in zip(letters, row.bars, strict=True)
            },
            "order": row.order,
            "length": float(row.plan.stack.length),
            "width": float(row.plan.stack.width),
            "steps": [_values(step) for step in row.plan.steps],
            "layers": row.distinct,
            "seed": asked.seed,
            "chance": asked.wish.chance or CHANCE,
            **{name: asked.equipment[name].pk for name in EQUIPMENT},
        },
        salt=SALT,
        compress=True,
    )


def _values(step: Step) -> dict[str, Any]:
    names = STEP_FIELDS[step.kind][1]
    return {"kind": step.kind, **{name: getattr(step, name) for name in names}}


@transaction.atomic
def open_plan(seal: str, order_pk: int, title: str) -> Plan:
    """Make a plan of a proposal and let its knives come out of it.

    ``title`` takes {layers} and {knives}. QuoteError if the proposal, a bar or the
    equipment is gone; StageError if a knife is past the forge.
    """
    told = _told(seal)
    knives = Knife.objects.for_list().filter(order=order_pk, serial__in=told["knives"])
    plan = Plan(
        title=_title(title, told["layers"], list(knives)),
        order=told["order"],
        length=told["length"],
        width=told["width"],
        seed=told["seed"],
        chance=told["chance"],
        typed={"order": write_order(told["order"])},
        **{name: _there(Equipment, told[name]) for name in EQUIPMENT},
    )
    bars = {letter: _there(BarSize, pk) for letter, pk in told["bars"].items()}
    save_plan(plan, bars, told["steps"])
    for knife in knives:
        services.assign_plan(knife, plan)
    return plan


def _told(seal: str) -> dict[str, Any]:
    try:
        told: dict[str, Any] = signing.loads(seal, salt=SALT)
    except signing.BadSignature as error:
        raise _gone() from error
    return told


def _there(model: Any, pk: int) -> Any:
    """Return a row; QuoteError if it has been deleted meanwhile."""
    row = model.objects.filter(pk=pk).first()
    if row is None:
        raise _gone()
    return row


def _gone() -> QuoteError:
    return QuoteError(
        _(
            "This stack cannot be opened any more: what it is made of has changed. Ask "
            "again and take one of the new list."
        ),
        field=None,
    )


def _title(template: str, layers: int, knives: Sequence[Knife]) -> str:
    """Return a name for a billet, of as many knives as have room in it."""
    names = ", ".join(one.name for one in knives)
    return template.format(layers=layers, knives=names)[:LONGEST_TITLE]
