"""Which hours of billets were those of one whole billet, and so can teach."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from shop import stages
from shop.models import Knife, StageEvent
from shop.reach import BILLET, LAST, SCRAPPED, reached


def finished_billets(writers: Collection[int]) -> set[int]:
    """Return the knives whose hours of their billet teach, out of those with some.

    All knives of the billet have left the forge, and one to go on; knives that are
    not begun wait for a bar that is forged already. Where a knife was scrapped and a
    later one went on, the billet was made twice: hours written at the first are left
    out, unless it was past the forge and the later one has none that count.
    """
    if not writers:
        return set()
    plans = Knife.objects.filter(pk__in=writers).values("target__plan")
    knives = list(
        Knife.objects.filter(target__plan__in=plans).values_list(
            "target__plan_id", "pk", "stage"
        )
    )
    came = reached({(knife, stage) for _plan, knife, stage in knives})
    forge = stages.STAGES[LAST[BILLET]].key
    at_the_forge = {plan for plan, _knife, stage in knives if stage == forge}
    beyond = {plan for plan, knife, _stage in knives if came[knife] > LAST[BILLET]}
    good = {knife: plan for plan, knife, _stage in knives
            if plan in beyond - at_the_forge}  # fmt: skip
    later = _later(good, {knife for _plan, knife, stage in knives if stage == SCRAPPED})
    return {
        knife
        for knife in good
        if knife in writers
        and not any(
            came[other] > LAST[BILLET]
            and (other in writers or came[knife] <= LAST[BILLET])
            for other in later.get(knife, ())
        )
    }


def _later(plan_of: Mapping[int, int], lost: Collection[int]) -> dict[int, list[int]]:
    """Return, for each scrapped knife, those of its billet begun since then."""
    gone = [knife for knife in plan_of if knife in lost]
    if not gone:
        return {}
    begun: dict[int, int] = {}
    left: dict[int, int] = {}
    moves = StageEvent.objects.filter(knife__in=plan_of).order_by("pk")
    for place, knife, stage in moves.values_list("pk", "knife_id", "stage"):
        begun.setdefault(knife, place)
        if stage == SCRAPPED:
            left[knife] = place
    return {
        one: [knife for knife, since in begun.items()
              if plan_of[knife] == plan_of[one] and since > left[one]]
        for one in gone
        if one in left
    }  # fmt: skip
