"""What was written down of an order's knives and their billets, read once, shared out.

Scrapped knives are kept apart: what they took is set against the share of failures.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from billets.figures import ends_clean
from billets.models import Plan
from billets.physics.errors import PlanError
from billets.services import plan_spec
from quotes.after.taken import Lost, Taken, Written
from quotes.money import ZERO, quantity, total
from quotes.pricing import MASS_PLACES
from shop import stages
from shop.entries import BILLET_KINDS, KNIFE_KIND
from shop.models import Entry, Knife, Order, WorkRecord
from shop.reach import BILLET, LAST, PLACE
from shop.stages import HOURS_ROWS

SCRAPPED = "scrapped"
ONE = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """An order's knives with all that was written down of them.

    Attributes
    ----------
    knives : tuple of Knife
        All of them, with those that were scrapped or cancelled.
    plans : tuple of Plan
        The billets they come from.
    needs : mapping of int to mapping of int to Decimal
        By billet what each knife needs of its bar, those of other orders too [kg].
    records : tuple of WorkRecord
        Hours of the knives, and of their billets on whichever knife's page.
    entries : mapping of int to mapping of str to Entry
        By billet what was weighed of it.
    weighed : mapping of int to Entry
        By knife its finished mass.
    """

    knives: tuple[Knife, ...]
    plans: tuple[Plan, ...]
    needs: Mapping[int, Mapping[int, Decimal]]
    records: tuple[WorkRecord, ...]
    entries: Mapping[int, Mapping[str, Entry]]
    weighed: Mapping[int, Entry]

    @property
    def kept(self) -> tuple[Knife, ...]:
        """The knives that were neither scrapped nor cancelled."""
        return tuple(one for one in self.knives if one.stage not in stages.EXITS)

    def numbers(self, *, lost: bool) -> frozenset[int]:
        """Return the knives that were scrapped, or all others."""
        return frozenset(
            one.pk for one in self.knives if (one.stage == SCRAPPED) is lost
        )

    def share(self, plan: int, knives: Collection[int]) -> Decimal:
        """Return the part of a billet that some knives pay, by mass needed [1]."""
        needs = self.needs.get(plan, {})
        own = total(mass for knife, mass in needs.items() if knife in knives)
        return own / total(needs.values()) if own else ZERO

    def parts(self, row: str, *, lost: bool) -> list[tuple[WorkRecord, Decimal]]:
        """Return the records of a row, each with the part these knives pay [1]."""
        knives = self.numbers(lost=lost)
        own = (one for one in self.records if one.row == row)
        pairs = ((one, self._part(one, knives)) for one in own)
        return [(one, part) for one, part in pairs if part]

    def _part(self, record: WorkRecord, knives: Collection[int]) -> Decimal:
        plan = record.knife.target.plan_id
        if record.row == BILLET and plan is not None:
            return self.share(plan, knives)
        return ONE if record.knife_id in knives else ZERO

    def asked_of(self, row: str) -> set[int]:
        """Return what hours of a row are asked of: knives, or their billets."""
        return {_source(one, row) for one in self.kept}

    def told_of(self, row: str) -> set[int]:
        """Return of which of them some are written down."""
        told = {
            _source(one.knife, row)
            for one in self.records
            if one.row == row and one.hands_on
        }
        return told & self.asked_of(row)


def _source(knife: Knife, row: str) -> int:
    """Return whose hours these are; a knife without a billet stands for its own."""
    if row != BILLET:
        return knife.pk
    return knife.target.plan_id or -knife.pk


def bench_of(order: Order) -> Bench:
    """Read all that was written down of an order, in a fixed number of queries."""
    knives = tuple(order.knives.select_related("target__plan"))
    plans = {one.target.plan.pk: one.target.plan for one in knives if one.target.plan}
    records = WorkRecord.objects.filter(taken_back=None).select_related("knife__target")
    own = records.filter(knife__order=order)
    shared = records.filter(row=BILLET, knife__target__plan__in=list(plans))
    entries = Entry.objects.filter(taken_back=None).order_by("pk")
    weighed = entries.filter(kind=KNIFE_KIND, knife__order=order)
    return Bench(
        knives=knives,
        plans=tuple(plans.values()),
        needs={pk: _needs(plan) for pk, plan in plans.items()},
        records=tuple({one.pk: one for one in [*own, *shared]}.values()),
        entries=_by_plan(entries, plans),
        weighed={one.knife_id: one for one in weighed},
    )


def _by_plan(
    entries: QuerySet[Entry], plans: Collection[int]
) -> dict[int, dict[str, Entry]]:
    """Return the last entry of each kind by billet."""
    rows = entries.filter(
        kind__in=BILLET_KINDS, knife__target__plan__in=list(plans)
    ).select_related("knife__target")
    found: dict[int, dict[str, Entry]] = {pk: {} for pk in plans}
    for row in rows:
        if row.knife.target.plan_id is not None:
            found[row.knife.target.plan_id][row.kind] = row
    return found


def _needs(plan: Plan) -> dict[int, Decimal]:
    """Return what every knife of a billet needs of its bar, as a price sees it [kg].

    One whose customer said no pays for nothing.
    """
    try:
        clean = ends_clean(plan_spec(plan))
    except PlanError:
        clean = False
    rows = Knife.objects.filter(target__plan=plan).exclude(order__state="declined")
    return {
        knife.pk: quantity(
            knife.target.clean_needed if clean else knife.target.needed, MASS_PLACES
        )
        for knife in rows.select_related("target")
    }


# --- what it took ------------------------------------------------------------------


def taken_of(bench: Bench, order: Order, bought: Mapping[int, Decimal]) -> Taken:
    """Return what an order took, scrapped knives apart.

    Parameters
    ----------
    bench : Bench
        What was written down.
    order : Order
        Whose it is; once it is closed nothing more can fail.
    bought : mapping of int to Decimal
        By billet what is bought for a kilogram that is stacked [1].
    """
    return Taken(
        rows=hours_spent(bench),
        steel=_weighed(bench, "stack", bought),
        gas=_weighed(bench, "gas", {}),
        lost=_lost(bench, order, bought),
    )


def hours_spent(bench: Bench) -> dict[str, Written]:
    """Return the hours of an order by row, scrapped knives left out.

    A record of a billet's hours counts for all knives of the billet, by their share.
    """
    return {
        row: Written(
            amount=total(mine.hands_on * part for mine, part in own),
            waiting=total(mine.waiting * part for mine, part in own),
            recorded=len(bench.told_of(row)),
            of=len(bench.asked_of(row)),
            over=all(_is_past(one, row) for one in bench.kept),
        )
        for row, own in ((row, bench.parts(row, lost=False)) for row in HOURS_ROWS)
    }


def _is_past(knife: Knife, row: str) -> bool:
    """Say whether a knife has left the last stage of a row of hours behind."""
    return PLACE.get(knife.stage, -1) > LAST[row]


def _weighed(bench: Bench, kind: str, more: Mapping[int, Decimal]) -> Written:
    """Return what was weighed of the billets: the part this order's knives pay."""
    asked = bench.asked_of(BILLET)
    told = [pk for pk in asked if kind in bench.entries.get(pk, {})]
    return Written(
        amount=_masses(bench, kind, more, lost=False),
        recorded=len(told),
        of=len(asked),
    )


def _masses(
    bench: Bench, kind: str, more: Mapping[int, Decimal], *, lost: bool
) -> Decimal:
    return total(
        quantity(entries[kind].value, MASS_PLACES)
        * more.get(pk, ONE)
        * bench.share(pk, bench.numbers(lost=lost))
        for pk, entries in bench.entries.items()
        if kind in entries
    )


def _lost(bench: Bench, order: Order, bought: Mapping[int, Decimal]) -> Lost:
    hours = {
        row: total(mine.hands_on * part for mine, part in bench.parts(row, lost=True))
        for row in HOURS_ROWS
    }
    numbers = bench.numbers(lost=True)
    told = {one.knife_id for one in bench.records if one.knife_id in numbers}
    return Lost(
        knives=len(numbers),
        hours=hours,
        steel=_masses(bench, "stack", bought, lost=True),
        gas=_masses(bench, "gas", {}, lost=True),
        final=order.state in stages.closed_states() and told == numbers,
    )
