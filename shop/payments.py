"""Money received for orders: entered, paid back, taken back, and what is open.

What an order owes was agreed with the yes to its quote; without one there is nothing
to pay. Sums are made of the rows here and never by the database, which may keep
decimals as floats. The sentences name no amount: the bench reads some of them, and
not everybody there may see prices.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from billets.physics.errors import _
from shop import stages
from shop.models import Knife, Order, Payment, Shop
from shop.stages import StageError

ZERO = Decimal(0)
FORGE, LAST_AT_THE_BENCH = stages.STAGES[0].key, stages.STAGES[-2].key
DELIVERED = stages.STAGES[-1].key
OVER = ("delivered", "cancelled")
"""States of an order whose work is over; what is open of it is still owed."""

What = Literal["deposit", "balance"]


class DoubtfulError(StageError):
    """What may be a slip: done only if somebody says that it is right.

    ``others`` are further doubts about the same, for the same tick.
    """

    others: tuple[DoubtfulError, ...] = ()


def ask_about(doubts: Sequence[DoubtfulError]) -> None:
    """Raise the first of some doubts with the others; nothing without one."""
    if doubts:
        doubts[0].others = tuple(doubts[1:])
        raise doubts[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """A payment as it is typed.

    Attributes
    ----------
    amount : Decimal
        What arrived.
    received_on : date
        The day it arrived.
    reference : str
        What the bank's paper calls it.
    back : bool
        Whether it went to the customer instead.
    """

    amount: Decimal
    received_on: dt.date
    reference: str = ""
    back: bool = False


# --- what is open -----------------------------------------------------------------


def received(order: Order) -> Decimal:
    """Return what was received for an order, without what was paid back."""
    return _sum(order.payments.all())


def _sum(payments: Iterable[Payment]) -> Decimal:
    return sum((one.signed for one in payments if one.taken_back is None), ZERO)


def balance(order: Order) -> Decimal:
    """Return what is still open of what was agreed; below zero is paid too much."""
    return (order.agreed or ZERO) - received(order)


def goes_back(order: Order) -> Decimal:
    """Return what was received above what is agreed: it is the customer's."""
    return max(-balance(order), ZERO)


def deposit_missing(order: Order) -> Decimal:
    """Return what is still open of the deposit; nothing where none was agreed."""
    return max((order.deposit_due or ZERO) - received(order), ZERO)


def currencies(orders: Iterable[Order]) -> dict[int, str]:
    """Return in what each order is paid, by its number in the database.

    It is the currency of the quote that was accepted, which the shop may have left
    since; the quotes belong to the app above this one.
    """
    keys = [order.pk for order in orders]
    usual = dict.fromkeys(keys, Shop.current().currency)
    agreed = Order.objects.filter(pk__in=keys, quotes__answer__accepted=True)
    return usual | dict(
        agreed.order_by("quotes__revision").values_list("pk", "quotes__currency")
    )


def currency_of(order: Order) -> str:
    """Return in what an order is paid."""
    return currencies([order])[order.pk]


# --- writing ----------------------------------------------------------------------


@transaction.atomic
def receive(
    order: Order,
    one: Received,
    *,
    by: User | None,
    at: dt.datetime,
    sure: bool = False,
) -> Payment:
    """Write a payment down.

    StageError where nothing is agreed, the amount is not above zero, the day is yet to
    come or more is paid back than was received; DoubtfulError, unless somebody is
    ``sure``, where the very same has been entered before, the day is before the order,
    or more arrives than is open.
    """
    _hold(order)
    _check(order, one, today=timezone.localdate(at))
    if not sure:
        ask_about(list(_doubts(order, one)))
    return Payment.objects.create(
        order=order, amount=one.amount, received_on=one.received_on,
        reference=one.reference, back=one.back, by=by, at=at,
    )  # fmt: skip


def _hold(order: Order) -> None:
    """Read again what an order owes, and make whoever else enters money for it wait."""
    now = Order.objects.select_for_update().get(pk=order.pk)
    order.agreed, order.deposit_due = now.agreed, now.deposit_due
    order.state = now.state


def _check(order: Order, one: Received, *, today: dt.date) -> None:
    if order.agreed is None:
        raise StageError(
            _("Nothing is agreed for order {number} yet: write down the customer's "
              "yes to a quote first, or agree on a sum on its page of payments."),
            number=order.number,
        )  # fmt: skip
    if not one.amount.is_finite() or one.amount <= 0:
        raise StageError(
            _("A payment is above zero. To undo one that was entered, take it back in "
              "the list."),
            field="amount",
        )  # fmt: skip
    if one.received_on > today:
        raise StageError(
            _("{day} is yet to come: enter the money on the day it arrives."),
            field="received_on",
            day=one.received_on,
        )
    if one.back and one.amount > received(order):
        raise StageError(
            _("No more can be paid back than was received: make the amount smaller."),
            field="amount",
        )


def _doubts(order: Order, one: Received) -> Iterator[DoubtfulError]:
    same = order.payments.filter(
        taken_back=None, amount=one.amount, received_on=one.received_on,
        reference=one.reference, back=one.back,
    )  # fmt: skip
    if same.exists():
        yield DoubtfulError(
            _("This amount of this day with this reference is entered already. Tick "
              "the box if it was paid a second time."),
            field="sure",
        )  # fmt: skip
    asked = timezone.localdate(order.created)
    if one.received_on < asked:
        yield DoubtfulError(
            _("{day} is before order {number} was asked for, on {asked}. Tick the box "
              "if the day is right."),
            field="sure", day=one.received_on, number=order.number, asked=asked,
        )  # fmt: skip
    if not one.back and one.amount > balance(order):
        yield DoubtfulError(
            _("This is more than is still open. Tick the box if so much arrived."),
            field="sure",
        )


@transaction.atomic
def take_back(payment: Payment, *, by: User | None, at: dt.datetime) -> None:
    """Take a payment back; it stays written, and no longer counts.

    StageError if it is taken back already, if an invoice that stands counts it, or if
    more would have been paid back than was received.
    """
    _hold(payment.order)
    _check_named(payment)
    still = Payment.objects.filter(pk=payment.pk, taken_back=None)
    if not still.update(taken_back=at, taken_back_by=by):
        raise StageError(_("This payment has been taken back already."))
    if received(payment.order) < 0:
        raise StageError(
            _("Money of this order was paid back: take that entry back first.")
        )


def _check_named(payment: Payment) -> None:
    """Refuse to take back what an invoice counts: a final one all that came before.

    An advance invoice has amount and day of its payment; of payments alike so many
    stay as there are advances.
    """
    standing = payment.order.invoices.filter(cancelled_by__isnull=True)
    named = standing.filter(kind="final", at__gte=payment.at).first()
    if named is None and not payment.back:
        amount, day = payment.amount, payment.received_on
        advances = standing.filter(kind="advance", gross=amount, supplied_on=day)
        alike = payment.order.payments.filter(
            amount=amount, received_on=day, taken_back=None, back=False
        )
        named = advances.last() if len(advances) >= len(alike) else None
    if named is not None:
        raise StageError(
            _("Invoice {number} counts this payment: cancel that invoice first."),
            number=named.number,
        )


def has_final(order: Order) -> bool:
    """Say whether a final invoice of an order stands; it settles what was agreed."""
    standing = order.invoices.filter(kind="final", cancelled_by__isnull=True)
    return standing.exists()


def check_no_final(order: Order) -> None:
    """Refuse to alter what was agreed while a final invoice over it stands."""
    if has_final(order):
        raise StageError(
            _("The final invoice of order {number} is written: cancel that invoice "
              "first."),
            number=order.number,
        )  # fmt: skip


@transaction.atomic
def change_deposit(order: Order, deposit: Decimal, *, seen: Decimal | None) -> None:
    """Agree on another deposit than the quote's.

    StageError if it is above the total, or the order is over. ``seen`` is the deposit
    whoever changes it was looking at.
    """
    _hold(order)
    if order.state in OVER:
        raise StageError(
            _("Order {number} is over: no deposit of it is waited for any more."),
            field="deposit",
            number=order.number,
        )
    if order.deposit_due != seen:
        raise StageError(
            _("Someone else has just changed this deposit; look at it again."),
            field="deposit",
        )
    check_deposit(order.agreed, deposit)
    Order.objects.filter(pk=order.pk).update(deposit_due=deposit)
    order.deposit_due = deposit


def check_deposit(total: Decimal | None, deposit: Decimal) -> None:
    """Refuse a deposit that is below nothing, or more than all there is to pay."""
    if deposit < 0 or deposit > (total or ZERO):
        raise StageError(
            _("A deposit lies between nothing and the agreed total."),
            field="deposit",
        )


# --- at the bench -----------------------------------------------------------------


def forge_waits(knife: Knife) -> bool:
    """Say whether a knife stands at the forge and its deposit is not here."""
    return knife.stage == FORGE and deposit_missing(knife.order) > 0


def delivery_waits(knife: Knife) -> bool:
    """Say whether a knife's next stage is its customer, and money is open."""
    return knife.stage == LAST_AT_THE_BENCH and balance(knife.order) > 0


def check_move(knife: Knife, to: str, *, reason: str) -> None:
    """Refuse a move that money stands against.

    A knife is handed over when its order is paid, or for a reason that is kept; where
    the shop wants it so, none leaves the forge before the deposit is here.
    """
    if to in stages.EXITS:
        return
    if forge_waits(knife) and Shop.current().deposit_locks:
        raise StageError(
            _("The deposit of order {number} is not here, and this shop does no work "
              "at the forge before it is. Write the payment down first."),
            number=knife.order.number,
        )  # fmt: skip
    if to == DELIVERED and not reason.strip() and delivery_waits(knife):
        raise StageError(
            _("Order {number} is not paid in full. Write the payment down, or say why "
              "the knife is handed over before."),
            field="reason",
            number=knife.order.number,
        )  # fmt: skip


def ready(order: Order) -> bool:
    """Say whether the knives of an order are made: at the last stage, or beyond it."""
    made = (LAST_AT_THE_BENCH, DELIVERED)
    left = [one for one in order.knives.all() if one.stage not in stages.EXITS]
    return bool(left) and all(one.stage in made for one in left)
