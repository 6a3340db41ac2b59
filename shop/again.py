"""Which knife was begun in the place of one that was scrapped."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from shop.models import Knife, Order, StageEvent


def begun_for(order: Order) -> Knife | None:
    """Return the scrapped knife the next one of an order is begun for, if any.

    Of several it is the one that was lost first.
    """
    rows = list(order.knives.order_by("pk"))
    taken = {one.replaces_id for one in rows}
    lost = [one for one in _lost(rows, order) if one.pk not in taken]
    return lost[0] if lost else None


def pairs(order: Order, quoted: Collection[str]) -> dict[str, str]:
    """Return by the number of each scrapped knife the one begun in its place.

    A knife keeps which one it replaces. Of those an earlier program began, which kept
    none, the quote does not know: each goes to the one that was lost first, of its own
    family if there is one, and not to one that was lost only after it.
    """
    rows = list(order.knives.order_by("pk"))
    lost = {one.pk: one for one in _lost(rows, order)}
    found: dict[str, str] = {}
    rest: list[Knife] = []
    for one in rows:
        before = lost.pop(one.replaces_id, None) if one.replaces_id else None
        if before is not None:
            found[before.serial] = one.serial
        elif quoted and one.serial not in quoted:
            rest.append(one)
    for one in rest if lost else ():
        before = _guessed(one, lost.values(), order)
        if before is not None:
            del lost[before.pk]
            found[before.serial] = one.serial
    return found


def _lost(rows: Iterable[Knife], order: Order) -> list[Knife]:
    """Return the scrapped ones of some knives in the order they were lost in."""
    gone = [one for one in rows if one.stage == "scrapped"]
    if len(gone) < 2:
        return gone
    days = dict(
        StageEvent.objects.filter(knife__order=order, stage="scrapped")
        .order_by("pk")
        .values_list("knife", "pk")
    )
    return sorted(gone, key=lambda one: days.get(one.pk, 0))


def _guessed(knife: Knife, lost: Iterable[Knife], order: Order) -> Knife | None:
    """Return which of some lost knives one was begun for, where nobody wrote it."""
    known = StageEvent.objects.filter(knife__order=order)
    begun = known.filter(knife=knife, came_from="").order_by("pk").first()
    after = known.filter(stage="scrapped", pk__gt=begun.pk) if begun else known.none()
    later = set(after.values_list("knife", flat=True))
    able = [one for one in lost if one.pk not in {knife.pk, *later}]
    alike = [one for one in able if one.family == knife.family]
    return next(iter(alike or able), None)
