"""An invoice before it has a number: built from what stands, refused by sentences."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from babel.dates import format_date
from django.utils import translation
from django.utils.translation import gettext as translate

from billets.messages import spoken
from billets.physics.errors import _
from billets.units import locale_of
from quotes.errors import QuoteError
from quotes.invoices.amounts import (
    Bill,
    BillLine,
    advance_bill,
    opposite,
    rest_of,
)
from quotes.invoices.before import before_of, kept_rates, received_before
from quotes.invoices.billing import billing_of
from quotes.invoices.particulars import buyer_of, check_whole, seller_of
from quotes.invoices.refusals import (
    check_at_work,
    check_cancellable,
    check_open,
    check_paid,
    check_supply,
    paid_back,
)
from quotes.models import Invoice, Quote
from quotes.money import Taxed, total
from shop.models import Order, Payment, Shop

Kind = Literal["advance", "final", "cancel"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """An advance that a final invoice takes off, with its tax."""

    advance: Invoice
    sum: Taxed
    received_on: dt.date


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """Everything an invoice says but its number; terms of EN 16931 in brackets.

    Attributes
    ----------
    kind : {"advance", "final", "cancel"}
        Which kind of invoice (BT-3).
    order, quote
        What it is about.
    issued_on : date
        BT-2.
    supplied_on : date
        Of a final invoice the supply (BT-72), of an advance its receipt (BT-7).
    due_on : date or None
        BT-9; none where it is due at once or nothing is.
    currency, regime : str
        BT-5, and how it is taxed.
    seller, buyer : dict
        BG-4 and BG-7, as printed.
    bill : Bill
        BG-22, BG-23 and the lines.
    reason : str
        Why there is no tax (BT-120).
    note : str
        BT-22: the month of delivery, or why it is cancelled.
    taken : tuple of Taken
        Advances a final invoice takes off (BG-3).
    cancels : Invoice or None
        What a cancelling document takes back (BG-3).
    """

    kind: Kind
    order: Order
    quote: Quote
    issued_on: dt.date
    supplied_on: dt.date
    currency: str
    regime: str
    seller: dict[str, Any]
    buyer: dict[str, Any]
    bill: Bill
    reason: str
    note: str = ""
    due_on: dt.date | None = None
    taken: tuple[Taken, ...] = ()
    cancels: Invoice | None = None

    @property
    def rest(self) -> Taxed:
        """What is left when the advances and their tax are taken off."""
        return rest_of(self.bill, (one.sum for one in self.taken))

    @property
    def other(self) -> Decimal:
        """What was received without an advance invoice."""
        return self.bill.paid - total(one.sum.gross for one in self.taken)


# --- what -------------------------------------------------------------------------


def advance_draft(
    order: Order, shop: Shop, payment: Payment, expected: dt.date, *, today: dt.date
) -> Draft:
    """Return the invoice over a payment that came before the knife.

    QuoteError before a yes, after the final invoice, once the order is over, for a
    payment that has its invoice already, or for one that is more than is left to bill.
    """
    check_whole(order, shop)
    billing, before = billing_of(order), before_of(order)
    check_open(before)
    check_at_work(order)
    if payment not in before.unbilled:
        raise QuoteError(
            _("This payment has its advance invoice already, or was taken back."),
            field="payment",
        )
    if payment.received_on > today:
        raise QuoteError(
            _("This payment counts from {day}, which is still to come."),
            field="payment", day=payment.received_on,
        )  # fmt: skip
    if expected < today.replace(day=1):
        raise QuoteError(
            _("Delivery is expected in a month that is past: choose another."),
            field="expected",
        )
    with translation.override(order.customer.language):
        whole = billing.bill_on(payment.received_on)
        bill = advance_bill(
            whole, before.rates, payment.amount,
            label=translate(_("Advance on order {number}")).format(
                number=order.number
            ),
            currency=billing.currency,
        )  # fmt: skip
        return Draft(
            kind="advance", order=order, quote=billing.quote, issued_on=today,
            supplied_on=payment.received_on, currency=billing.currency,
            regime=billing.regime, seller=seller_of(shop),
            buyer=buyer_of(order.customer), bill=bill,
            reason=billing.reason_on(payment.received_on),
            note=_expected(expected),
        )  # fmt: skip


def _expected(month: dt.date) -> str:
    said = format_date(month, "MMMM yyyy", locale=locale_of(spoken()))
    return translate(_("Delivery is expected in {month}.")).format(month=said)


def final_draft(
    order: Order, shop: Shop, supplied_on: dt.date, due_on: dt.date | None, *,
    today: dt.date,
) -> Draft:  # fmt: skip
    """Return the invoice over everything, with advances and their tax taken off.

    QuoteError before a yes, for a cancelled order, where one stands already, where
    a knife is still at the bench or an advance's payment was taken or paid back.
    """
    check_whole(order, shop)
    billing, before = billing_of(order), before_of(order)
    check_open(before)
    check_supply(order, billing.quote, supplied_on, today)
    back = paid_back(order)
    check_paid(before, back)
    if due_on and due_on < today:
        raise QuoteError(
            _("The invoice would be due before it is issued: choose a later day."),
            field="due_on",
        )
    with translation.override(order.customer.language):
        bill = billing.bill_on(supplied_on)
        taken = tuple(_taken(one) for one in before.advances)
        paid = total(one.sum.gross for one in taken) + received_before(before) - back
        bill = Bill(lines=bill.lines, taxes=bill.taxes, paid=paid)
        return Draft(
            kind="final", order=order, quote=billing.quote, issued_on=today,
            supplied_on=supplied_on, due_on=due_on if bill.due > 0 else None,
            currency=billing.currency, regime=billing.regime, seller=seller_of(shop),
            buyer=buyer_of(order.customer), bill=bill,
            reason=billing.reason_on(supplied_on), taken=taken,
        )  # fmt: skip


def _taken(advance: Invoice) -> Taken:
    return Taken(
        advance=advance, received_on=advance.supplied_on or advance.issued_on,
        sum=Taxed(net=advance.net, tax=advance.tax, gross=advance.gross),
    )  # fmt: skip


def cancel_draft(invoice: Invoice, shop: Shop, reason: str, *, today: dt.date) -> Draft:
    """Return the document that takes an invoice back, line by line.

    QuoteError for one that is cancelled already or cancels another, and for an
    advance that a standing final invoice takes off.
    """
    order = invoice.order
    check_whole(order, shop)
    gone = Invoice.objects.filter(cancels=invoice).exists()
    check_cancellable(invoice, before_of(order), gone=gone)
    kept = kept_bill(invoice)
    with translation.override(invoice.buyer["language"]):
        said = translate(_("Reason: {reason}")).format(reason=reason)
    return Draft(
        kind="cancel", order=order, quote=invoice.quote, issued_on=today,
        supplied_on=invoice.supplied_on or invoice.issued_on,
        currency=invoice.currency, regime=invoice.regime, seller=seller_of(shop),
        buyer=invoice.buyer, bill=opposite(kept), reason=invoice.taxes["reason"],
        note=said, cancels=invoice,
    )  # fmt: skip


# --- kept -------------------------------------------------------------------------


def kept_bill(invoice: Invoice) -> Bill:
    """Return the bill of an issued invoice, from its rows alone."""
    names = ("kind", "label", "detail", "net", "percent", "category", "quantity")
    rows = invoice.lines.all()
    return Bill(
        lines=tuple(
            BillLine(**{name: getattr(row, name) for name in names}) for row in rows
        ),
        taxes=kept_rates(invoice),
        paid=invoice.paid,
    )
