"""How far knives have come at the bench, also those that left it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import TypeAlias

from shop import stages
from shop.models import StageEvent

BILLET = "billet"
"""The row that is one job for all knives of a billet."""

SCRAPPED = "scrapped"

Reach: TypeAlias = int
"""Place of the furthest stage a knife has stood at; before the first it is -1."""

PLACE: Mapping[str, int] = MappingProxyType(
    {one.key: place for place, one in enumerate(stages.STAGES)}
)
LAST: Mapping[str, int] = MappingProxyType(
    {row: PLACE[one.key] for one in stages.STAGES for row, _share in one.hours}
)
"""Place of the last stage that holds a row."""


def reached(knives: Iterable[tuple[int, str]]) -> dict[int, Reach]:
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
