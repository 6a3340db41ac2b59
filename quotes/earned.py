"""What an hour at the bench earns: one formula, before the work and after it.

The cost of a price holds every hour at the shop's hour, those of failures too. What a
price leaves over its cost is therefore shared by all these hours: a price at cost earns
the shop's hour, whatever fails.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from quotes import scrap
from quotes.money import HUNDRED, money
from shop import stages


def earned_per_hour(
    hour: Decimal, left: Decimal, hours: Decimal, currency: str = "EUR"
) -> Decimal | None:
    """Return what an hour earns; None where no hour is worked.

    Parameters
    ----------
    hour : Decimal
        The shop's hour that is in the cost [currency/h].
    left : Decimal
        The price before tax less its cost, failures in it; below zero it is a loss
        [currency].
    hours : Decimal
        Hours at the bench with those of failures: expected ones before the work, those
        really taken after it, scrapped knives in them [h].
    currency : str
        What the money is.

    Returns
    -------
    Decimal or None
        hour + left / hours, to the smallest coin; below zero whoever makes it pays
        [currency/h].

    Examples
    --------
    >>> earned_per_hour(Decimal(50), Decimal("220.00"), Decimal("22.0"))
    Decimal('60.00')
    """
    return money(hour + left / hours, currency) if hours > 0 else None


def hours_with_failures(
    rows: Mapping[str, Decimal], links: Sequence[scrap.Link]
) -> Decimal:
    """Return the hours expected for good knives, all that is done again in them [h].

    Parameters
    ----------
    rows : mapping of str to Decimal
        Attended hours by row if nothing fails [h].
    links : sequence of Link
        The chain of the bench.
    """
    by_stage = stages.hours_by_stage(rows)
    return scrap.expected(tuple(by_stage.values()), links)


def hours_with_share(hours: Decimal, percent: Decimal) -> Decimal:
    """Return hours with those of failures, where only their share of cost is known [h].

    Parameters
    ----------
    hours : Decimal
        Attended hours if nothing fails [h].
    percent : Decimal
        The share of failures in per cent of direct cost, as a quote keeps it [%].

    Notes
    -----
    Takes hours to fail as cost does. Cost lies earlier in the work than hours, since
    steel and gas do, so this is an estimate; `hours_with_failures` is exact.

    Examples
    --------
    >>> hours_with_share(Decimal(20), Decimal(10))
    Decimal('22')
    """
    return hours * (HUNDRED + percent) / HUNDRED
