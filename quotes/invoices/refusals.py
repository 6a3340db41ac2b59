"""What stands against an invoice: each case is refused with a sentence."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal

from django.utils import timezone

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.invoices.before import Before
from quotes.models import Invoice, Quote
from quotes.money import total
from shop import stages
from shop.models import Order, Payment


def paid_back(order: Order) -> Decimal:
    """Return what was paid back to the customer of an order."""
    rows = Payment.objects.filter(order=order, back=True, taken_back=None)
    return total(one.amount for one in rows)


def check_open(before: Before) -> None:
    """Refuse a second final invoice, and an advance after it."""
    if before.final:
        raise QuoteError(
            _("Invoice {number} stands already: cancel it before you write another."),
            field="order", number=before.final.number,
        )  # fmt: skip


def check_at_work(order: Order) -> None:
    """Refuse an advance of an order that is over, or was never accepted."""
    if order.state != "accepted":
        raise QuoteError(
            _("Order {number} is over, so nothing comes in advance of it: what was "
              "supplied is billed by the invoice; about money you keep of a cancelled "
              "order ask your adviser."), field="payment", number=order.number,
        )  # fmt: skip


def check_supply(order: Order, quote: Quote, day: dt.date, today: dt.date) -> None:
    """Refuse a final invoice before everything was supplied.

    It settles the whole order: no knife of it may still be at the bench.
    """
    if order.state == "cancelled":
        raise QuoteError(
            _("This order was cancelled and nothing of it supplied: cancel its advance "
              "invoices, and ask your adviser about what you keep."), field="order",
        )  # fmt: skip
    waiting = order.knives.exclude(stage__in=stages.closed()).first()
    if waiting:
        raise QuoteError(
            _("{name} is not handed over yet: the final invoice is written when every "
              "knife of the order is."), field="supplied_on", name=str(waiting),
        )  # fmt: skip
    _check_day(quote, day, today)


def _check_day(quote: Quote, day: dt.date, today: dt.date) -> None:
    if day > today:
        raise QuoteError(
            _("The supply is still to come on {day}: the final invoice is written when "
              "the knife has been handed over or sent."), field="supplied_on", day=day,
        )  # fmt: skip
    if day < timezone.localdate(quote.answer.at):
        raise QuoteError(
            _("The customer said yes on {day}: nothing was supplied before."),
            field="supplied_on", day=timezone.localdate(quote.answer.at),
        )  # fmt: skip


def check_paid(before: Before, back: Decimal) -> None:
    """Refuse a final invoice that counts advances which did not stay."""
    if before.unpaid:
        raise QuoteError(
            _("The payment of advance invoice {number} was taken back: cancel that "
              "invoice first."), field="order", number=before.unpaid[0].number,
        )  # fmt: skip
    if back > total(one.amount for one in before.unbilled):
        raise QuoteError(
            _("Money that an advance invoice counts was paid back: cancel that advance "
              "invoice first."), field="order",
        )  # fmt: skip


def check_cancellable(invoice: Invoice, before: Before, *, gone: bool) -> None:
    """Refuse to cancel an invoice that is ``gone``, or that another one needs."""
    if invoice.kind == "cancel":
        raise QuoteError(
            _("A cancelling document is not cancelled: write a new invoice instead."),
            field="invoice",
        )
    if gone:
        raise QuoteError(
            _("Invoice {number} is cancelled already."), field="invoice",
            number=invoice.number,
        )  # fmt: skip
    final = before.final
    if invoice.kind == "advance" and final:
        raise QuoteError(
            _("Invoice {final} takes this advance off: cancel that one first."),
            field="invoice", final=final.number,
        )  # fmt: skip


def check_offered(
    act: str, chosen: str, order: Order, invoices: Iterable[Invoice], before: Before
) -> None:
    """Refuse what the page does not offer any more, since it was done meanwhile.

    ``act`` is what was asked for, of the invoice ``chosen`` where it is cancelling.
    """
    rows = list(invoices)
    if act in ("advance", "final"):
        check_open(before)
    if act == "advance":
        check_at_work(order)
        if not before.unbilled:
            raise QuoteError(
                _("Every payment of this order has its advance invoice already."),
                field="payment",
            )
    for one in rows:
        if act == "cancel" and str(one.pk) == chosen:
            gone = any(other.cancels_id == one.pk for other in rows)
            check_cancellable(one, before, gone=gone)


def cancellable(invoices: Iterable[Invoice], before: Before) -> list[Invoice]:
    """Return those of all the invoices of an order that can be cancelled now."""
    rows, found = list(invoices), []
    gone = {one.cancels_id for one in rows}
    for one in rows:
        try:
            check_cancellable(one, before, gone=one.pk in gone)
        except QuoteError:
            continue
        found.append(one)
    return found
