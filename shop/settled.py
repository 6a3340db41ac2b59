"""Whether an order was cancelled with its money settled, and by what."""

from __future__ import annotations

from shop.models import AgreedChange, Order


def cancellation(order: Order) -> AgreedChange | None:
    """Return what was settled when an order was cancelled, if it was.

    Of the rows that are read already, where a page has read them.
    """
    rows = sorted(order.changes.all(), key=lambda one: one.pk)
    found = [one for one in rows if one.knife_id is None and one.state == "agreed"]
    return found[-1] if found else None
