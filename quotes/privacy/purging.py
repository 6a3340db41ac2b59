"""Papers past their time: counted, and destroyed for customers who are erased.

What was issued is frozen by triggers (``quotes.triggers``). They come off inside this
one transaction and are on again before it ends, so nobody else ever finds them off: a
fault undoes all of it, the taking off too. An order's papers go together, once the last
of them may: an invoice without its quote would be half a record.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db import connection, models, transaction
from django.db.models import Max, QuerySet

from billets.physics.errors import _
from quotes import store
from quotes.models import (
    DeductedAdvance,
    Invoice,
    InvoiceLine,
    Mail,
    Paper,
    Quote,
    QuoteAnswer,
    QuoteLine,
    QuoteOption,
)
from quotes.privacy.keeping import kept_until
from quotes.triggers import taken_off
from shop import services
from shop.models import Order
from shop.stages import StageError


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """What may be destroyed: whose orders, and how much it is.

    Attributes
    ----------
    orders : tuple of Order
        Those whose last paper is past its time.
    papers, quotes, invoices : int
        How many there are of them.
    until : date or None
        The day to whose end the youngest of it had to be kept.
    """

    orders: tuple[Order, ...]
    papers: int
    quotes: int
    invoices: int
    until: dt.date | None

    @property
    def mark(self) -> str:
        """What was counted, in one word: an act on it is refused if it has changed."""
        keys = "-".join(str(one.pk) for one in self.orders)
        return f"{keys}:{self.papers}:{self.quotes}:{self.invoices}"


def past_on(day: dt.date) -> Past:
    """Return what is past its time on a day, of customers who are erased."""
    orders = tuple(one for one in _erased_with_papers() if _until(one) < day)
    return Past(
        orders=orders,
        papers=Paper.objects.filter(order__in=orders).count(),
        quotes=Quote.objects.filter(order__in=orders).count(),
        invoices=Invoice.objects.filter(order__in=orders).count(),
        until=max(map(_until, orders), default=None),
    )


def _erased_with_papers() -> QuerySet[Order]:
    known = Order.objects.filter(customer__erased__isnull=False)
    dated = known.annotate(
        last_made=Max("papers__made_at"), last_issued=Max("invoices__issued_on")
    )
    return dated.exclude(last_made=None).order_by("pk")


def _until(order: Order) -> dt.date:
    """Return the last day the papers of an order have to be kept."""
    made: dt.datetime = order.last_made  # type: ignore[attr-defined]  # annotated
    issued: dt.date | None = order.last_issued  # type: ignore[attr-defined]
    until = kept_until(made)
    return until if issued is None else max(until, kept_until(issued))


# --- destroying -------------------------------------------------------------------


@transaction.atomic
def purge(day: dt.date, *, mark: str) -> Past:
    """Destroy what is past its time; StageError if it is not what ``mark`` counted.

    Rows first, and their files once that is certain, unless another row names them.
    """
    services.hold_shop()
    past = past_on(day)
    if past.mark != mark:
        raise StageError(
            _("What is past its time has changed since: look at it again."),
            field="agree",
        )
    keys = [one.pk for one in past.orders]
    names = set(Paper.objects.filter(order__in=keys).values_list("sha256", flat=True))
    Mail.objects.filter(paper__order__in=keys).update(paper=None)
    with taken_off(connection):
        _delete(keys)
    transaction.on_commit(lambda: sweep(names))
    return past


def _delete(orders: Collection[int]) -> None:
    """Delete the frozen rows of orders, parts before what they are part of."""
    of_quote = {"quote__order__in": orders}
    parts: tuple[QuerySet[models.Model], ...] = (
        DeductedAdvance.objects.filter(final__order__in=orders),
        InvoiceLine.objects.filter(invoice__order__in=orders),
        Invoice.objects.filter(order__in=orders, cancels__isnull=False),
        Invoice.objects.filter(order__in=orders),
        QuoteAnswer.objects.filter(**of_quote),
        QuoteOption.objects.filter(**of_quote),
        QuoteLine.objects.filter(**of_quote),
        Quote.objects.filter(order__in=orders),
        Paper.objects.filter(order__in=orders),
    )
    for rows in parts:
        rows.delete()


@transaction.atomic
def sweep(names: Iterable[str]) -> None:
    """Delete those of some files that no paper names any more."""
    services.hold_shop()
    asked = set(names)
    still = set(Paper.objects.filter(sha256__in=asked).values_list("sha256", flat=True))
    for name in asked - still:
        store.drop(name)
