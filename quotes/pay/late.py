"""The sum of an order whose yes is older than the payments kept here."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from quotes.changes_after.agreed import answer_of
from quotes.errors import QuoteError
from quotes.invoices.billing import billing_of
from quotes.money import ZERO
from shop.models import Order

STATES = ("accepted", "delivered")
"""States of an order of which there is something to pay."""


def usual_sum(order: Order) -> Decimal:
    """Return what its quote comes to without the knives that were cancelled."""
    try:
        return billing_of(order).gross
    except QuoteError:
        return ZERO


def is_late(order: Order) -> bool:
    """Say whether a yes was said to an order, and no sum kept with it."""
    return order.agreed is None and answer_of(order) is not None


def may_agree(order: Order) -> bool:
    """Say whether the sum of an order is still to be agreed on."""
    return is_late(order) and order.state in STATES


def why_nothing(order: Order) -> str:
    """Say why nothing is agreed for an order, and what to do."""
    if not is_late(order):
        return _("What is to be paid comes with the customer's yes to a quote.")
    if order.state == "delivered":
        return _("This order was handed over before payments were kept here; agree on "
                 "a sum if some of it is still to be paid.")  # fmt: skip
    if order.state == "cancelled":
        return _("This order was cancelled before payments were kept here.")
    return _("The yes to this order is older than the payments kept here; agree on a "
             "sum.")  # fmt: skip
