"""What is usual for a family, filled into the boxes of a knife."""

from __future__ import annotations

import math
from collections.abc import Mapping

from django.http import QueryDict

from billets.grammar import UnitError
from billets.physics.families import FAMILY_LABELS, family
from billets.units import System, to_si, unit_of
from shop.usual import CHOICES, usual_texts

MAY_BE_EMPTY = frozenset({"tang_length"})


def filled(data: QueryDict, system: System, *, all_boxes: bool) -> QueryDict:
    """Return what was sent with usual values in the empty boxes, or in all of them.

    A length that is still the usual one of the family the boxes were last filled in
    for gives way to that of the new family; one that was asked for stays.
    """
    key = data.get("family", "")
    if key not in FAMILY_LABELS:
        return data
    length = _length(data, system)
    if length is None and data.get("length", "").strip() and not all_boxes:
        return data
    if all_boxes and _untouched(data.get("filled", ""), length):
        length = None
    texts = usual_texts(key, length, system)
    stays = {"family"} if length is None else {"family", "length"}
    new = data.copy()
    for name, text in texts.items():
        empty = name not in CHOICES and not data.get(name, "").strip()
        if name not in stays and (all_boxes or name not in data or empty):
            new[name] = text
    if all_boxes:
        new["filled"] = key
        new["tang_length"] = ""
    return new


def _length(data: Mapping[str, str], system: System) -> float | None:
    try:
        length = to_si(data.get("length", ""), "length", unit_of("length", system))
    except UnitError:
        return None
    return length or None


def _untouched(key: str, length: float | None) -> bool:
    if length is None or key not in FAMILY_LABELS:
        return False
    return math.isclose(length, family(key).length.typical, rel_tol=1e-6)
