"""What was paid and billed for an order before the invoice that is written now."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quotes.invoices.amounts import RateSum
from quotes.models import Invoice
from quotes.money import total
from shop.models import Order, Payment


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """Payments and invoices of an order that stand.

    Attributes
    ----------
    advances : tuple of Invoice
        Advance invoices that were not cancelled.
    final : Invoice or None
        The final invoice, if one stands.
    unbilled : tuple of Payment
        Payments without an advance invoice.
    unpaid : tuple of Invoice
        Advance invoices whose payment was taken back.
    """

    advances: tuple[Invoice, ...]
    final: Invoice | None
    unbilled: tuple[Payment, ...]
    unpaid: tuple[Invoice, ...]

    @property
    def rates(self) -> list[RateSum]:
        """Return the advances rate by rate."""
        return [part for one in self.advances for part in kept_rates(one)]


def before_of(order: Order) -> Before:
    """Return what was paid and billed for an order; money paid back is no payment.

    A payment and its advance invoice have the same amount and day; two such payments
    are alike in all an invoice says.
    """
    standing = Invoice.objects.filter(order=order, cancelled_by__isnull=True)
    advances = list(standing.filter(kind="advance").order_by("pk"))
    payments = Payment.objects.filter(order=order, taken_back=None, back=False)
    unbilled, unpaid = _unmatched(payments.order_by("received_on", "pk"), advances)
    return Before(
        advances=tuple(advances), final=standing.filter(kind="final").first(),
        unbilled=tuple(unbilled), unpaid=tuple(unpaid),
    )  # fmt: skip


def _unmatched(
    payments: Iterable[Payment], advances: Sequence[Invoice]
) -> tuple[list[Payment], list[Invoice]]:
    left, without = list(advances), []
    for payment in payments:
        own = (payment.amount, payment.received_on)
        found = next((x for x in left if (x.gross, x.supplied_on) == own), None)
        if found is None:
            without.append(payment)
        else:
            left.remove(found)
    return without, left


def kept_rates(invoice: Invoice) -> tuple[RateSum, ...]:
    """Return base and tax by rate of an issued invoice."""
    return tuple(
        RateSum(
            percent=Decimal(one["percent"]), category=one["category"],
            base=Decimal(one["base"]), tax=Decimal(one["tax"]),
        )
        for one in invoice.taxes["rates"]
    )  # fmt: skip


def received_before(before: Before) -> Decimal:
    """Return what was received without an advance invoice."""
    return total(one.amount for one in before.unbilled)
