"""The page of an order's payments in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from quotes.changes_after.agreed import answer_of
from quotes.errors import QuoteError
from quotes.invoices.billing import billing_of
from quotes.wording import money_text
from shop import payments
from shop.models import Order, Payment


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentRow:
    """One payment as the page lists it."""

    pk: int
    amount: str
    day: dt.date
    reference: str
    entered: dt.datetime
    by: str
    taken_back: dt.datetime | None
    taken_back_by: str
    back: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How an order stands: amounts, and a verdict of one sentence.

    Attributes
    ----------
    agreed, deposit, received, open : str
        Amounts with their currency.
    level : {"ok", "warn", "stop"}
        How pressing it is.
    first, rest : str
        The verdict, its first words apart.
    """

    agreed: str
    deposit: str
    received: str
    open: str
    level: str
    first: str
    rest: str


def standing(order: Order, currency: str) -> Standing:
    """Return how the payments of an order stand."""
    left = payments.balance(order)
    level, first, rest = _verdict(order, left, currency)
    return Standing(
        agreed=money_text(order.agreed or Decimal(0), currency),
        deposit=money_text(order.deposit_due or Decimal(0), currency),
        received=money_text(payments.received(order), currency),
        open=money_text(max(left, Decimal(0)), currency),
        level=level,
        first=first,
        rest=rest,
    )


def _verdict(order: Order, left: Decimal, currency: str) -> tuple[str, str, str]:
    if left < 0:
        said = _("{amount} goes back to the customer: send it, then enter it here as "
                 "paid back.")  # fmt: skip
        amount = money_text(payments.goes_back(order), currency)
        return "warn", _("More was paid than is agreed."), said.format(amount=amount)
    if not left:
        rest = _("The knife may be handed over.") if order.state == "accepted" else ""
        return "ok", _("Paid in full."), rest
    if order.state != "accepted":
        said = _("{amount} is open, and the order is over: ask the customer for it.")
        amount = money_text(left, currency)
        return "warn", _("Not paid in full."), said.format(amount=amount)
    missing = payments.deposit_missing(order)
    if missing:
        said = _("{amount} of it is open. The work at the forge waits for it.")
        amount = money_text(missing, currency)
        return "warn", _("The deposit is not here."), said.format(amount=amount)
    said = _("{amount} is open, due before the knife is handed over.")
    first = _("The deposit is here.") if order.deposit_due else _("No deposit is due.")
    return "ok", first, said.format(amount=money_text(left, currency))


def rate_note(order: Order, day: dt.date) -> str:
    """Say where the rate of tax of a day alters what is to be paid; else nothing.

    What counts is the rate on the day of delivery, so the invoice comes first.
    """
    over = order.agreed is None or order.state == "cancelled"
    if over or answer_of(order) is None or payments.has_final(order):
        return ""
    billing = billing_of(order)
    try:
        then = billing.bill_on(day).gross if billing.asked else billing.gross
    except QuoteError:  # the invoice's own page says what is the matter
        return ""
    if then == billing.gross:
        return ""
    said = _("The rate of tax is another one than in the quote: an invoice of today "
             "comes to {now} and not to {agreed}. Write it before you ask for the "
             "balance, and check with your adviser.")  # fmt: skip
    return said.format(
        now=money_text(then, billing.currency),
        agreed=money_text(billing.gross, billing.currency),
    )


def payment_rows(rows: Iterable[Payment], currency: str) -> list[PaymentRow]:
    """Return payments as the page lists them."""
    return [
        PaymentRow(
            pk=one.pk,
            amount=money_text(one.signed, currency),
            day=one.received_on,
            reference=one.reference,
            entered=one.at,
            by=str(one.by or ""),
            taken_back=one.taken_back,
            taken_back_by=str(one.taken_back_by or ""),
            back=one.back,
        )
        for one in rows
    ]
