"""What is kept, or asked, when a customer cancels or changes an order after the yes."""

from __future__ import annotations

from billets.physics.errors import _
from quotes.rate_kinds import RateItem, items

LADDER_ITEMS: tuple[RateItem, ...] = items(
    "ladder",
    "percent",
    (
        "cancel_before",
        _("Cancelled before the steel is cut: kept"),
        _("per cent of the agreed price"),
        "15",
    ),
    (
        "cancel_after",
        _("Cancelled after the steel is cut: kept"),
        _("per cent of the agreed price"),
        "50",
    ),
    (
        "change_before",
        _("Changed before the steel is cut: fee"),
        _("per cent of the agreed price of the part changed"),
        "0",
    ),
    (
        "change_after",
        _("Changed after the steel is cut: fee"),
        _("per cent of the agreed price of what of it is begun"),
        "50",
    ),
)
"""The ladder of stages; one maker's custom, common practice, no source."""
