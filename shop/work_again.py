"""Where hours are likely to be of work done a second time; only ever a suggestion."""

from __future__ import annotations

from django.utils.translation import gettext as _

from shop.models import Knife, StageEvent, WorkRecord
from shop.reach import BILLET, PLACE, SCRAPPED

FORGE = next(iter(PLACE))


def done_before(knife: Knife) -> dict[tuple[str, str], str]:
    """Return the rows, by stage, that were worked before, each with a sentence why.

    A move taken back is as often a slip as a failure, so that whoever writes decides.
    """
    found = dict.fromkeys(
        _moved_back(knife),
        _("This knife was moved back: untick if nothing had to be done twice."),
    )
    lost = _lost_before(knife)
    if lost:
        found[FORGE, BILLET] = _(
            "{serial} of the same billet was scrapped: untick if this is still the "
            "first bar."
        ).format(serial=lost)
    return found


def _moved_back(knife: Knife) -> set[tuple[str, str]]:
    """Return what had been written of stages before a correction led back to them."""
    back = list(
        knife.events.filter(correction=True, stage__in=PLACE).values_list("stage", "at")
    )
    if not back:
        return set()
    written = knife.work.filter(taken_back=None).values_list("stage", "row", "at")
    return {
        (stage, row)
        for stage, row, at in written
        for to, moved in back
        if PLACE[to] <= PLACE[stage] and at <= moved
    }


def _lost_before(knife: Knife) -> str | None:
    """Return the serial of a knife scrapped before this one, after its billet was made.

    It is one of the same plan, whose hours of the billet are written down.
    """
    if knife.target.plan_id is None:
        return None
    others = Knife.objects.filter(target__plan=knife.target.plan_id)
    lost = dict(others.filter(stage=SCRAPPED).values_list("pk", "serial"))
    begun = knife.events.order_by("pk").values_list("pk", flat=True).first()
    if not lost or begun is None:
        return None
    written = WorkRecord.objects.filter(
        row=BILLET, taken_back=None, knife__target__plan=knife.target.plan_id
    ).exclude(knife=knife)
    before = StageEvent.objects.filter(knife__in=lost, stage=SCRAPPED, pk__lt=begun)
    last = before.order_by("pk").values_list("knife_id", flat=True).last()
    return lost[last] if last is not None and written.exists() else None
