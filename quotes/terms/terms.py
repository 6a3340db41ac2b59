"""The terms of an order's next quote, whole: as they are kept, or as somebody types."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import Any

from billets.physics.knife_spec import KnifeSpec
from quotes.models import Extra, QuoteDraft, Variant
from quotes.sums import Mode
from shop.models import Order
from shop.services import spec_of

NO_FERRULE = "none"

OTHER = ("handle", "handle_material", "ferrule", "bolster_mass")
"""The columns of a knife that an option may change."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """A draft with its rows; they need not be saved.

    Attributes
    ----------
    draft : QuoteDraft
        What holds for the whole quote.
    extras : tuple of Extra
        What is charged beside the knives.
    variants : tuple of Variant
        Other ways to have one of the knives.
    """

    draft: QuoteDraft
    extras: tuple[Extra, ...] = ()
    variants: tuple[Variant, ...] = ()


def draft_of(order: Order) -> QuoteDraft | None:
    """Return the terms of an order's next quote, if they have been written."""
    return QuoteDraft.objects.filter(order=order).first()


def terms_of(order: Order, draft: QuoteDraft | None) -> Terms:
    """Return the terms as they are kept; those of a plain quote if there are none."""
    if draft is None or draft.pk is None:
        return Terms(draft=draft or QuoteDraft(order=order))
    return Terms(
        draft=draft,
        extras=tuple(draft.extras.all()),
        variants=tuple(draft.variants.select_related("knife__order")),
    )


def mode_of(order: Order) -> Mode:
    """Return how the customer of an order reads amounts."""
    return "net" if order.customer.business else "gross"


def until(draft: QuoteDraft | None, usual: dt.date) -> dt.date:
    """Return the last day the next quote holds."""
    return draft.valid_until if draft and draft.valid_until else usual


def values_of(variant: Variant) -> dict[str, Any]:
    """Return the columns of a knife that an option changes."""
    told = {name: getattr(variant, name) for name in OTHER}
    values = {name: value for name, value in told.items() if value not in ("", None)}
    if values.get("ferrule") == NO_FERRULE:
        values["ferrule"] = ""
    return {
        name: value
        for name, value in values.items()
        if value != getattr(variant.knife, name)
    }


def spec_with(variant: Variant) -> KnifeSpec:
    """Return the specification of a knife as an option would have it."""
    own: dict[str, Any] = {
        name: value or None if name == "ferrule" else value
        for name, value in values_of(variant).items()
    }
    return replace(spec_of(variant.knife), **own)
