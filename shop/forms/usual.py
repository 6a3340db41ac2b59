"""What is usual for a family, as text for the boxes of a knife."""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import ROUND_FLOOR, ROUND_HALF_UP

from django.http import QueryDict
from django.utils.translation import gettext as _

from billets.fields import SIField
from billets.forms.texts import size_text
from billets.grammar import UnitError
from billets.messages import spoken
from billets.physics.families import FAMILY_LABELS, family
from billets.physics.knife_spec import default_spec
from billets.units import System, show, to_si, unit_of
from shop.models import Knife

SIZES = {
    field.name: field.kind for field in Knife._meta.fields if isinstance(field, SIField)
}
"""The boxes for quantities of a knife, with their kinds."""

ROUNDED = {"height": ROUND_FLOOR}
"""Rounded up, the height of a short blade could be more than half its length."""

MAY_BE_EMPTY = frozenset({"tang_length"})
CHOICES = (
    "tang",
    "handle",
    "handle_material",
    "ferrule",
    "grind",
    "forging",
    "allowance",
)
HARDNESS = "60"
FIRST_FAMILY = "gyuto"


def usual_texts(key: str, length: float | None, system: System) -> dict[str, str]:
    """Return what the boxes of a knife hold where nothing was asked for.

    Sizes are rounded as a smith would say them.
    """
    spec = default_spec(key, length)
    texts = {
        name: size_text(value, kind, system, ROUNDED.get(name, ROUND_HALF_UP))
        for name, kind in SIZES.items()
        if (value := getattr(spec, name)) is not None
    }
    chosen = {name: getattr(spec, name) or "" for name in CHOICES}
    return texts | chosen | {"family": key, "hardness": HARDNESS}


def knife_name(key: str, length: float, system: System) -> str:
    """Return what a knife is called if nobody gives it a name."""
    kind = _(FAMILY_LABELS[key]).partition(",")[0]
    size = show(length, "length", system, language=spoken()).replace("\u00a0", " ")
    return f"{kind[:1].upper()}{kind[1:]} {size}"


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
