"""A knife that was lost at the bench while no other was begun in its place."""

from __future__ import annotations

from django.utils.translation import gettext as _

from quotes.changes_after.agreed import begun_again, steel_is_cut
from quotes.private.case import Case
from quotes.private.knives import standing_in
from shop.models import Order


def is_lost(case: Case) -> bool:
    """Say whether the shop has still to say what becomes of a knife it lost."""
    if case.state != "accepted":
        return False
    rows = list(case.order.knives.all())
    if not any(one.stage == "scrapped" for one in rows):
        return False
    stands = standing_in(case, rows, begun_again(case.order))
    return any(one.stage == "scrapped" for one in stands)


def steel_was_cut(order: Order) -> bool:
    """Say whether steel was cut for any knife of an order, a lost one too."""
    rows = [one for one in order.knives.all() if one.stage != "cancelled"]
    return any(one.stage == "scrapped" or steel_is_cut(one) for one in rows)


def what_becomes() -> str:
    """Say who decides what becomes of it, in the language that is spoken."""
    return _("A knife did not pass the shop's own checks. The shop tells you whether "
             "another is made in its place, or money goes back to you.")  # fmt: skip
