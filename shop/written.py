"""What was written down at the bench can be taken back; it stays to be read."""

from __future__ import annotations

import datetime as dt

from django.contrib.auth.models import User

from billets.physics.errors import _
from shop.models.work import Written
from shop.stages import StageError


def take_back(written: Written, *, by: User | None, at: dt.datetime) -> None:
    """Take back hours or a weight: it stays written, and counts no more."""
    still = type(written)._default_manager.filter(pk=written.pk, taken_back=None)
    if not still.update(taken_back=at, taken_back_by=by):
        raise StageError(_("This entry has been taken back already."))
