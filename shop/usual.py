"""What is usual for a family: sizes as a smith would say them, and a name."""

from __future__ import annotations

from decimal import ROUND_FLOOR, ROUND_HALF_UP

from django.utils.translation import gettext as _

from billets.box_texts import size_text
from billets.fields import SIField
from billets.messages import spoken
from billets.physics.families import FAMILY_LABELS
from billets.physics.knife_spec import default_spec
from billets.units import System, show
from shop.models import Knife

SIZES = {
    field.name: field.kind for field in Knife._meta.fields if isinstance(field, SIField)
}
"""The boxes for quantities of a knife, with their kinds."""

ROUNDED = {"height": ROUND_FLOOR}
"""Rounded up, the height of a short blade could be more than half its length."""

CHOICES = (
    "tang",
    "handle",
    "handle_material",
    "ferrule",
    "grind",
    "forging",
    "allowance",
)
"""What is chosen of a knife from lists."""

HARDNESS = "60"
"""What a knife is hardened to where nobody says; common practice, no source [HRC]."""

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
