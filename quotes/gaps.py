"""What an order still lacks before it has a price: each a sentence and its place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

from billets.models import Plan
from billets.physics.errors import PlanError
from quotes.errors import QuoteError
from quotes.rate_items import ITEM_OF
from shop.models import Knife

Place = Literal["order", "knife", "plan", "rates", "tax", "shop"]
Row = TypeVar("Row", Knife, Plan)
Made = TypeVar("Made")

PLACES: dict[str, Place] = {
    "rates": "rates", "steel": "rates",
    "tax_regime": "tax", "tax_rate": "tax",
    "currency": "shop",
}  # fmt: skip
"""Where a field of the costing is entered; any rate is on the page of rates."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """One thing that is missing or wrong.

    Attributes
    ----------
    error : QuoteError or PlanError
        What it is, as a sentence.
    place : str
        The kind of page it is mended on.
    row : Knife or Plan or None
        Which knife or billet, where it is one.
    """

    error: QuoteError | PlanError
    place: Place
    row: Knife | Plan | None = None


class NotReady(QuoteError):
    """An order cannot be priced yet; ``gaps`` is everything it lacks."""

    def __init__(self, gaps: Sequence[Gap]) -> None:
        first = gaps[0].error
        super().__init__(first.message, field=first.field, **first.values)
        self.gaps = tuple(gaps)


def tried(
    place: Place, rows: Iterable[Row], compute: Callable[[Row], Made]
) -> tuple[dict[int, Made], list[Gap]]:
    """Compute something of each row; return what came out, by row, and what failed."""
    made: dict[int, Made] = {}
    gaps: list[Gap] = []
    for row in rows:
        try:
            made[row.pk] = compute(row)
        except (QuoteError, PlanError) as error:
            gaps.append(Gap(error=error, place=place, row=row))
    return made, gaps


def gap_of(error: QuoteError) -> Gap:
    """Return what the costing refused, with the page it is mended on."""
    field = error.field or ""
    known: Place = "rates" if field in ITEM_OF else PLACES.get(field, "order")
    return Gap(error=error, place=known)
