"""What is kept after a cancellation, and what a change costs beyond the work itself.

Both go by a ladder of stages: little before the steel is cut, more after it. The rungs
are rates of the shop (``quotes/ladder_items.py``); amounts are as the customer pays
them, tax included where there is one.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from quotes.money import HUNDRED, ZERO, money
from quotes.rates import Rates

Act = Literal["cancel", "change"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What becomes of the money when an order is cancelled.

    Attributes
    ----------
    handed_over : Decimal
        Agreed price of what the customer has already; owed in full.
    price, percent : Decimal
        Agreed price of what is cancelled, and what of it is kept [%].
    kept : Decimal
        What the shop keeps in all.
    paid, returned, owed : Decimal
        What was paid; what of it goes back; what is still to be paid.
    """

    handed_over: Decimal
    price: Decimal
    percent: Decimal
    kept: Decimal
    paid: Decimal
    returned: Decimal
    owed: Decimal


def rung(act: Act, rates: Rates, *, cut: bool) -> Decimal:
    """Return the per cent of a ladder, before or after the steel is cut [%].

    QuoteError naming the rate if the shop has none.
    """
    return rates.value(f"{act}_{'after' if cut else 'before'}")


def settled(
    price: Decimal, paid: Decimal, percent: Decimal, *, currency: str,
    handed_over: Decimal = ZERO,
) -> Settled:  # fmt: skip
    """Return what is kept of a cancelled price, what goes back, what is still owed.

    >>> one = settled(Decimal(800), Decimal(240), Decimal(15), currency="EUR")
    >>> one.kept, one.returned, one.owed
    (Decimal('120.00'), Decimal('120.00'), Decimal('0'))
    """
    kept = handed_over + money(price * percent / HUNDRED, currency)
    found = Settled(
        handed_over=handed_over, price=price, percent=percent, kept=kept, paid=paid,
        returned=ZERO, owed=ZERO,
    )  # fmt: skip
    return with_kept(found, kept)


def with_kept(found: Settled, kept: Decimal) -> Settled:
    """Return what becomes of the money if another sum is kept, as it can be billed."""
    return replace(
        found, kept=kept, returned=max(found.paid - kept, ZERO),
        owed=max(kept - found.paid, ZERO),
    )  # fmt: skip


def part_price(
    price: Decimal, hours: Mapping[str, Decimal], rows: Collection[str], currency: str
) -> Decimal:
    """Return the agreed price of a part of a knife: its share of the attended hours.

    >>> hours = {"grind": Decimal(6), "handle": Decimal(4)}
    >>> part_price(Decimal(900), hours, {"handle"}, "EUR")
    Decimal('360.00')
    """
    whole = sum(hours.values(), ZERO)
    if not whole:
        return money(price, currency)  # no hours to share by: all of it is at stake
    own = sum((hours.get(row, ZERO) for row in rows), ZERO)
    return money(price * own / whole, currency)


def change_fee(part: Decimal, percent: Decimal, currency: str) -> Decimal:
    """Return the fee for changing a part of a knife.

    >>> change_fee(Decimal("360.00"), Decimal(50), "EUR")
    Decimal('180.00')
    """
    return money(part * percent / HUNDRED, currency)
