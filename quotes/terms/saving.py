"""Reading and saving the terms of an order's next quote: whole, or not at all."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import F, Model

from billets.text import NO_VERSION
from quotes.extra_items import EXTRAS
from quotes.models import Extra, QuoteDraft, Variant
from quotes.services import check_quotable
from quotes.terms.terms import Terms, draft_of, mode_of
from shop.models import Order, Rate, Shop
from shop.services import StaleError, hold_order

OF_DRAFT = (
    "kind", "regime", "valid_until", "discount_percent", "discount", "discount_reason",
    "asked", "step",
)  # fmt: skip
OF_EXTRA = ("key", "label", "amount", "percent")
OF_VARIANT = (
    "label", "knife", "handle", "handle_material", "ferrule", "bolster_mass", "more",
)  # fmt: skip


@transaction.atomic
def save_terms(order: Order, terms: Terms, *, version: int) -> QuoteDraft:
    """Put terms in the place of those of an order, all rows at once.

    StaleError, with the draft as it stands, if somebody else saved since ``version``;
    QuoteError if the order is past quoting.
    """
    hold_order(order)
    check_quotable(order)
    values = {name: getattr(terms.draft, name) for name in OF_DRAFT}
    values |= {"currency": Shop.current().currency, "mode": mode_of(order)}
    draft = _replaced(order, values, version)
    draft.extras.all().delete()
    draft.variants.all().delete()
    Extra.objects.bulk_create(
        Extra(draft=draft, position=place, **_values(row, OF_EXTRA))
        for place, row in enumerate(terms.extras, start=1)
    )
    Variant.objects.bulk_create(
        Variant(draft=draft, position=place, **_values(row, OF_VARIANT))
        for place, row in enumerate(terms.variants, start=1)
    )
    return draft


def _replaced(order: Order, values: dict[str, Any], version: int) -> QuoteDraft:
    """Return the order's draft with other values; the held order guards the first."""
    current = draft_of(order)
    if current is None:
        return QuoteDraft.objects.create(order=order, **values)
    seen = QuoteDraft.objects.filter(pk=current.pk, version=version)
    if not seen.update(**values, version=F("version") + 1):
        raise StaleError(current)
    return QuoteDraft.objects.get(pk=current.pk)


def _values(row: Model, names: tuple[str, ...]) -> dict[str, Any]:
    return {name: getattr(row, name) for name in names}


def version_of(draft: QuoteDraft | None) -> int:
    """Return the version a form of these terms is made from."""
    return draft.version if draft else NO_VERSION


def usual_amounts(day: dt.date) -> dict[str, Decimal]:
    """Return what the shop charges on a day for each extra it has a price for."""
    rows = Rate.objects.on(day)
    known = ((key, rows.get(f"extra_{key}")) for key in EXTRAS)
    return {key: row.value for key, row in known if row is not None and row.value}
