"""Hours at the bench: written down, taken back, and what of them can be learned from.

A knife's hours of a row are the sum of its records that were not taken back. They
teach once the knife has left the last stage that holds the row; one that was scrapped
or cancelled before teaches nothing, since its row was never finished. A billet is one
job however many knives come out of it: its hours are those written at any of them.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median
from types import MappingProxyType
from typing import TypeAlias

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import FloatField
from django.db.models.functions import Cast

from billets.physics.errors import _
from shop import stages
from shop.models import Knife, StageEvent, WorkRecord
from shop.stages import StageError

MOST_AT_ONCE = Decimal(24)
"""Hours on the feet that one entry may hold [h]."""

MOST_WAITING = Decimal(240)
"""Hours of waiting that one entry may hold [h]."""

BILLET = "billet"
"""The row that is one job for all knives of a billet."""

Reach: TypeAlias = int
"""Place of the furthest stage a knife has stood at; before the first it is -1."""

PLACE: Mapping[str, int] = MappingProxyType(
    {one.key: place for place, one in enumerate(stages.STAGES)}
)
LAST: Mapping[str, int] = MappingProxyType(
    {row: PLACE[one.key] for one in stages.STAGES for row, _share in one.hours}
)
"""Place of the last stage that holds a row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """Hours of one row in one stage, as they are written down.

    Attributes
    ----------
    stage, row : str
        Where, and what.
    hands_on, waiting : Decimal
        Attended, and gone by itself [h].
    driver : float
        What the row's hours are in proportion to [1, of the billet h].
    """

    stage: str
    row: str
    hands_on: Decimal
    waiting: Decimal = Decimal(0)
    driver: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A finished job of one row: what it took, and its driver."""

    hours: float
    driver: float


# --- writing -----------------------------------------------------------------------


@transaction.atomic
def write_hours(
    knife: Knife, spent: Iterable[Spent], *, by: User | None, at: dt.datetime
) -> list[WorkRecord]:
    """Write hours of a knife down, all or none; StageError names the wrong one."""
    reached = stages_so_far(knife)
    return [_write(knife, one, reached, by, at) for one in spent]


def _write(
    knife: Knife, spent: Spent, reached: Sequence[str], by: User | None, at: dt.datetime
) -> WorkRecord:
    _check(spent, reached)
    return WorkRecord.objects.create(
        knife=knife, stage=spent.stage, row=spent.row, hands_on=spent.hands_on,
        waiting=spent.waiting, driver=spent.driver, by=by, at=at,
    )  # fmt: skip


def _check(spent: Spent, reached: Sequence[str]) -> None:
    if spent.stage not in reached:
        raise StageError(
            _("The knife has not come to {stage} yet."),
            field="stage",
            stage=stages.label_of(spent.stage),
        )
    if spent.row not in rows_of(spent.stage):
        raise StageError(
            _("There are no hours of {row} in {stage}."),
            field="row",
            row=stages.HOURS_ROWS.get(spent.row, spent.row),
            stage=stages.label_of(spent.stage),
        )
    for field, most in (("hands_on", MOST_AT_ONCE), ("waiting", MOST_WAITING)):
        value: Decimal = getattr(spent, field)
        if not (value.is_finite() and 0 <= value <= most):
            raise StageError(
                _("Write from 0 to {count} h at once, not {told} h."),
                field=field,
                count=int(most),
                told=value,
            )
    if not (spent.hands_on or spent.waiting):
        raise StageError(_("Write some hours first."), field="hands_on")


def take_back(record: WorkRecord, *, by: User | None, at: dt.datetime) -> None:
    """Take a record back; it stays written, and no longer counts."""
    still = WorkRecord.objects.filter(pk=record.pk, taken_back=None)
    if not still.update(taken_back=at, taken_back_by=by):
        raise StageError(_("These hours have been taken back already."))


# --- reading one knife -------------------------------------------------------------


def rows_of(stage: str) -> tuple[str, ...]:
    """Return the rows of hours that fall into a stage."""
    return tuple(row for row, _share in stages.stage_of(stage).hours)


def stages_so_far(knife: Knife) -> tuple[str, ...]:
    """Return the stages of the bench a knife has stood at, in order."""
    reach = _reached([(knife.pk, knife.stage)])[knife.pk]
    return tuple(key for key in stages.bench() if PLACE[key] <= reach)


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """What a row of hours has come to: attended, and waiting [h]."""

    hands_on: Decimal = Decimal(0)
    waiting: Decimal = Decimal(0)

    def __add__(self, other: Worked) -> Worked:
        """Return both together."""
        return Worked(
            hands_on=self.hands_on + other.hands_on,
            waiting=self.waiting + other.waiting,
        )


def hours_by_row(records: Iterable[WorkRecord]) -> dict[str, Worked]:
    """Return what records come to by row, in the order of the bench."""
    sums: dict[str, Worked] = {}
    for one in records:
        if one.taken_back is None:
            own = Worked(hands_on=one.hands_on, waiting=one.waiting)
            sums[one.row] = sums.get(one.row, Worked()) + own
    return {row: sums[row] for row in stages.HOURS_ROWS if row in sums}


# --- reading what they teach -------------------------------------------------------


def finished() -> dict[str, list[Done]]:
    """Return the finished jobs of every row of hours, in the order they were written.

    The size of a job is that of its last record, which knew most of it.
    """
    rows = list(
        WorkRecord.objects.filter(taken_back=None)
        .order_by("pk")
        .annotate(hours=Cast("hands_on", FloatField()))
        .values_list("row", "knife_id", "knife__target__plan_id", "knife__stage",
                     "hours", "driver")
    )  # fmt: skip
    billets = _finished_billets() if any(one[0] == BILLET for one in rows) else set()
    reach = _reached({(knife, stage) for _row, knife, _plan, stage, *_rest in rows})
    jobs: dict[tuple[str, int], Done] = {}
    for row, knife, plan, _stage, hours, driver in rows:
        if plan in billets if row == BILLET else reach[knife] > LAST[row]:
            job = (row, plan if row == BILLET else knife)
            before = jobs[job].hours if job in jobs else 0.0
            jobs[job] = Done(hours=before + hours, driver=driver)
    by_row: dict[str, list[Done]] = defaultdict(list)
    for (row, _which), one in jobs.items():
        if one.hours > 0.0 and one.driver > 0.0:
            by_row[row].append(one)
    return dict(by_row)


def _finished_billets() -> set[int]:
    """Return the billets whose knives have all left the forge, and one to go on.

    Knives that are not begun wait for a bar that is forged already.
    """
    written = WorkRecord.objects.filter(row=BILLET, taken_back=None)
    knives = Knife.objects.filter(
        target__plan__in=written.values("knife__target__plan")
    ).values_list("target__plan_id", "pk", "stage")
    reach = _reached({(knife, stage) for _plan, knife, stage in knives})
    forge = stages.STAGES[LAST[BILLET]].key
    at_the_forge = {plan for plan, _knife, stage in knives if stage == forge}
    beyond = {plan for plan, knife, _stage in knives if reach[knife] > LAST[BILLET]}
    return beyond - at_the_forge


def _reached(knives: Iterable[tuple[int, str]]) -> dict[int, Reach]:
    """Return how far knives came; one that left the bench came as far as it stood."""
    reach = {knife: PLACE.get(stage, -1) for knife, stage in knives}
    left = [knife for knife, stage in knives if stage in stages.EXITS]
    if left:
        moves = StageEvent.objects.filter(knife__in=left, stage__in=stages.EXITS)
        for knife, came_from in moves.order_by("pk").values_list(
            "knife_id", "came_from"
        ):
            reach[knife] = PLACE.get(came_from, -1)
    return reach


def waited() -> dict[str, tuple[float, int]]:
    """Return the median waiting of each stage [h], and of how many knives."""
    rows = WorkRecord.objects.filter(taken_back=None, waiting__gt=0).values_list(
        "stage", "knife_id", "waiting"
    )
    sums: dict[str, dict[int, float]] = defaultdict(lambda: defaultdict(float))
    for stage, knife, waiting in rows:
        sums[stage][knife] += float(waiting)
    return {stage: (median(one.values()), len(one)) for stage, one in sums.items()}
