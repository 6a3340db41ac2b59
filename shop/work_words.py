"""Hours of a knife in words, for its page."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.units import local_number
from shop import stages, work
from shop.models import Knife, WorkRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedRow:
    """One row of hours as the page shows it."""

    label: str
    hands_on: str
    waiting: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordRow:
    """One record as the page shows it; ``pk`` is empty where it is taken back."""

    pk: int | None
    label: str
    text: str
    at: dt.datetime
    by: str


def work_context(knife: Knife) -> dict[str, Any]:
    """Return the hours of a knife so far, and its records, latest first."""
    records = list(knife.work.select_related("by"))
    rows = [
        WorkedRow(
            label=_(stages.HOURS_ROWS[row]),
            hands_on=hours_text(one.hands_on),
            waiting=hours_text(one.waiting),
        )
        for row, one in work.hours_by_row(records).items()
    ]
    return {"worked": rows, "records": [_record(one) for one in reversed(records)]}


def _record(record: WorkRecord) -> RecordRow:
    return RecordRow(
        pk=record.pk if record.taken_back is None else None,
        label=_("{row}, in {stage}").format(
            row=_(stages.HOURS_ROWS[record.row]), stage=record.get_stage_display()
        ),
        text="; ".join(_said(record)),
        at=record.at,
        by=record.by.get_username() if record.by else "",
    )


def _said(record: WorkRecord) -> Iterator[str]:
    yield _spent(record)
    if record.again:
        yield _("done again")
    if record.taken_back is not None:
        yield _("taken back")


def _spent(record: WorkRecord) -> str:
    said = []
    if record.hands_on:
        said.append(_("{hours} hands on").format(hours=hours_text(record.hands_on)))
    if record.waiting:
        said.append(_("{hours} waiting").format(hours=hours_text(record.waiting)))
    return ", ".join(said)


def hours_text(hours: Decimal) -> str:
    """Write hours as they were written down."""
    places = max(0, -int(hours.normalize().as_tuple().exponent))
    return f"{local_number(hours, spoken(), places=places)}\u00a0h"
