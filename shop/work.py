"""Hours at the bench: written down, taken back, and what of them can be learned from.

A knife's hours of a row are the sum of its records that were not taken back. They
teach once the knife has left the last stage that holds the row; one that was scrapped
or cancelled before teaches nothing, since its row was never finished. Hours of work
done again after a failure count as taken and teach nothing. A billet is one job
however many knives come out of it: its hours are those written at any of them.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import FloatField, Q
from django.db.models.functions import Cast

from billets.physics.errors import _
from shop import reach, stages
from shop.models import Knife, WorkRecord
from shop.reach import LAST, PLACE, SCRAPPED, reached
from shop.stages import StageError
from shop.work_billets import finished_billets

MOST_AT_ONCE = Decimal(24)
"""Hours on the feet that one entry may hold [h]."""

MOST_WAITING = Decimal(240)
"""Hours of waiting that one entry may hold [h]."""

BILLET = reach.BILLET
"""The row that is one job for all knives of a billet."""

LEAST_DRIVER, LEAST_BILLET = 0.02, 0.1
"""From jobs below these nothing is learned [1 of the usual knife, h of the plan]."""


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
    again : bool
        Whether it was done again after something went wrong.
    """

    stage: str
    row: str
    hands_on: Decimal
    waiting: Decimal = Decimal(0)
    driver: float = 1.0
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A finished job of one row: what it took, its driver, and where that is written.

    Of a billet it is the last knife it is written at.
    """

    hours: float
    driver: float
    serial: str = dataclasses.field(default="", compare=False)


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
        waiting=spent.waiting, driver=spent.driver, again=spent.again,
        by=by, at=at,
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


# --- reading one knife -------------------------------------------------------------


def rows_of(stage: str) -> tuple[str, ...]:
    """Return the rows of hours that fall into a stage."""
    return tuple(row for row, _share in stages.stage_of(stage).hours)


def written_so_far(knife: Knife) -> dict[str, Decimal]:
    """Return the attended hours of a knife's rows that may teach, by row [h].

    Those of its billet are written at any of its knives but the scrapped ones.
    """
    own = Q(knife=knife)
    if knife.target.plan_id:
        shared = Q(knife__target__plan=knife.target.plan_id, row=BILLET)
        own = own | (shared & ~Q(knife__stage=SCRAPPED))
    rows = WorkRecord.objects.filter(own, taken_back=None, again=False)
    sums: dict[str, Decimal] = defaultdict(Decimal)
    for row, hours in rows.values_list("row", "hands_on"):
        sums[row] += hours
    return dict(sums)


def is_past(knife: Knife, row: str) -> bool:
    """Tell whether a knife has left the last stage that holds a row."""
    return reached([(knife.pk, knife.stage)])[knife.pk] > LAST[row]


def stages_so_far(knife: Knife) -> tuple[str, ...]:
    """Return the stages of the bench a knife has stood at, in order."""
    came = reached([(knife.pk, knife.stage)])[knife.pk]
    return tuple(key for key in stages.bench() if PLACE[key] <= came)


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

    The size of a job is that of its last record, which knew most of it. What was done
    again is not in it: a price carries failures in a line of its own.
    """
    rows = list(
        WorkRecord.objects.filter(taken_back=None, again=False)
        .order_by("pk")
        .annotate(hours=Cast("hands_on", FloatField()))
        .values_list("row", "knife_id", "knife__target__plan_id", "knife__stage",
                     "knife__serial", "hours", "driver")
    )  # fmt: skip
    billets = finished_billets({one[1] for one in rows if one[0] == BILLET})
    came = reached({(knife, stage) for _row, knife, _plan, stage, *_rest in rows})
    jobs: dict[tuple[str, int], Done] = {}
    for row, knife, plan, _stage, serial, hours, driver in rows:
        if knife in billets if row == BILLET else came[knife] > LAST[row]:
            job = (row, plan if row == BILLET else knife)
            before = jobs[job].hours if job in jobs else 0.0
            jobs[job] = Done(hours=before + hours, driver=driver, serial=serial)
    by_row: dict[str, list[Done]] = defaultdict(list)
    for (row, _which), one in jobs.items():
        if one.hours > 0.0 and teaches(row, one.driver):
            by_row[row].append(one)
    return dict(by_row)


def teaches(row: str, driver: float) -> bool:
    """Tell whether a job is large enough to be held against others.

    Below that a slip in what the knife or its plan says is likelier than such a job.
    """
    return driver >= (LEAST_BILLET if row == BILLET else LEAST_DRIVER)


def waited() -> dict[str, tuple[float, int]]:
    """Return the median waiting of each stage [h], and of how many knives."""
    once = WorkRecord.objects.filter(taken_back=None, again=False, waiting__gt=0)
    rows = once.values_list("stage", "knife_id", "waiting")
    sums: dict[str, dict[int, float]] = defaultdict(lambda: defaultdict(float))
    for stage, knife, waiting in rows:
        sums[stage][knife] += float(waiting)
    return {stage: (median(one.values()), len(one)) for stage, one in sums.items()}
