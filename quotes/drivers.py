"""What a knife is against the usual one, as far as each row of hours feels it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from types import MappingProxyType

from quotes.job import KnifeJob
from quotes.money import ZERO
from quotes.rates import Rates

GRAMS = Decimal(1000)
ONE = Decimal(1)


def driver(row: str, rates: Rates, knife: KnifeJob) -> Decimal:
    """Return what the usual knife's hours are multiplied with for this one.

    The hours of a billet come from its plan, so no size goes into them here; what a
    job does not say of its knife counts as usual.
    """
    return DRIVERS[row](rates, knife)


def _none(_rates: Rates, _knife: KnifeJob) -> Decimal:
    return ONE


def _blank(rates: Rates, knife: KnifeJob) -> Decimal:
    if knife.blank is None:
        return ONE
    return knife.blank * GRAMS / rates.value("usual_blank")


def _area(rates: Rates, knife: KnifeJob) -> Decimal:
    return ONE if knife.area is None else knife.area / rates.value("usual_area")


def _grind(rates: Rates, knife: KnifeJob) -> Decimal:
    """Weigh the side that is ground against the steel that comes off."""
    if knife.area is None:
        return ONE
    share = rates.share("area_share")
    ground = knife.ground * GRAMS / rates.value("usual_ground")
    return share * _area(rates, knife) + (1 - share) * ground


def _handle(rates: Rates, knife: KnifeJob) -> Decimal:
    more = rates.value("handle_bolster") if knife.bolster else ZERO
    return rates.value(f"handle_{knife.handle}") + more


DRIVERS: Mapping[str, Callable[[Rates, KnifeJob], Decimal]] = MappingProxyType(
    {
        "billet": _none,
        "blade_forging": _blank,
        "grind": _grind,
        "harden": _none,
        "hand_finish": _area,
        "handle": _handle,
        "sharpen": _none,
    }
)
"""How each row of hours goes with the knife; common practice, no source."""
