"""Changes after the yes: what is wanted, what is said to it, what it alters.

A change waits for the customer's answer and alters nothing until it is a yes; then its
knife, the agreed total and the promised week change in one act. What was said stays
said: a change is answered once. A cancellation is kept beside the changes, as one
without a knife.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F

from billets.physics.errors import _
from shop import payments, services, stages
from shop.models import AgreedChange, Knife, Order
from shop.stages import StageError

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A change as it is asked for.

    Attributes
    ----------
    wish : str
        In the customer's words.
    values : mapping of str to Any
        Under ``columns`` the knife's as they would be, under ``typed`` how they were
        typed, under ``version`` the one of the knife that was looked at; whatever else
        is to be kept with it beside these.
    passed : list
        The gates the knife has passed.
    more, fee : Decimal
        What the work costs more, or less, and the fee; tax included.
    new_week : date or None
        The week promised instead; None leaves it.
    """

    wish: str
    values: Mapping[str, Any]
    passed: list[Any]
    more: Decimal
    fee: Decimal
    new_week: dt.date | None = None


def check_changeable(knife: Knife) -> None:
    """Refuse a change of a knife that is not at the bench, or has one unanswered."""
    check_order(knife.order)
    if knife.stage in stages.closed():
        raise StageError(
            _("This knife has left the bench; what was made stays as it is written.")
        )
    waiting = knife.changes.filter(state="open").first()
    if waiting:
        raise StageError(
            _("A change of {name} is not answered yet: write down the customer's yes "
              "or no to it first."),
            field="knife", name=str(knife),
        )  # fmt: skip


def check_order(order: Order) -> None:
    """Refuse a change of an order nobody said yes to, or that is over."""
    if order.state in ("enquiry", "quoted", "declined"):
        raise StageError(
            _("Order {number} is not accepted: change the knife itself, and issue a "
              "new revision of the quote."),
            number=order.number,
        )  # fmt: skip
    if order.state != "accepted":
        raise StageError(
            _("Order {number} is closed; open a new enquiry for another knife."),
            number=order.number,
        )
    payments.check_no_final(order)


@transaction.atomic
def open_change(
    knife: Knife, asked: Asked, *, by: User | None, at: dt.datetime
) -> AgreedChange:
    """Keep a change that waits for the customer's answer; StageError if it cannot be.

    StaleError if somebody else has saved the knife since it was looked at.
    """
    services.hold_order(knife.order)
    check_changeable(knife)
    now = Knife.objects.get(pk=knife.pk)
    if now.version != asked.values["version"]:
        raise services.StaleError(now)
    return AgreedChange.objects.create(
        order=knife.order, knife=knife, wish=asked.wish, values=dict(asked.values),
        passed=asked.passed, more=asked.more, fee=asked.fee, new_week=asked.new_week,
        made_at=at, by=by,
    )  # fmt: skip


@transaction.atomic
def answer_change(
    change: AgreedChange, *, accepted: bool, how: str, at: dt.datetime
) -> AgreedChange:
    """Write down what the customer said; a yes alters knife, total and week at once.

    StageError if the change is answered already, if the knife has been changed since
    it was agreed on, or if how it was said is missing.
    """
    services.hold_order(change.order)
    change = AgreedChange.objects.select_for_update().get(pk=change.pk)
    _check_answer(change, how)
    if accepted:
        _alter(change)
    change.state = "agreed" if accepted else "refused"
    change.how, change.answered_at = how, at
    change.save(update_fields=["state", "how", "answered_at"])
    return change


def _check_answer(change: AgreedChange, how: str) -> None:
    if change.state == "agreed":
        raise StageError(
            _("The yes to this change is written down already. If the customer wants "
              "it otherwise after all, agree on another change.")
        )  # fmt: skip
    if change.state == "refused":
        raise StageError(
            _("The no to this change is written down already. If the customer wants it "
              "after all, make the change anew: price and stage may be others now.")
        )  # fmt: skip
    if not how.strip():
        raise StageError(
            _("Say how it was said: by telephone, by mail, at the shop."), field="how"
        )


def _alter(change: AgreedChange) -> None:
    """Write an agreed change into its knife and its order."""
    order = Order.objects.get(pk=change.order_id)
    check_order(order)
    rows = Knife.objects.select_related("order", "target__plan")
    knife = rows.get(changes=change)
    columns: dict[str, Any] = dict(change.values["columns"])
    knife.version = change.values["version"]
    try:
        services.change_knife(knife, columns | {"typed": change.values["typed"]})
    except services.StaleError as error:
        raise StageError(
            _("{name} has been changed since this change was made. Write down a no, "
              "and make the change anew from the knife as it is."),
            field="answer", name=str(knife),
        ) from error  # fmt: skip
    _agree(order, (order.agreed or ZERO) + change.more + change.fee)
    if change.new_week:
        Order.objects.filter(pk=order.pk).update(
            promised_week=change.new_week, version=F("version") + 1
        )


def _agree(order: Order, total: Decimal) -> None:
    """Agree on another total; a deposit is never more than all there is to pay."""
    if total < 0:
        raise StageError(
            _("With this change less than nothing would be left to pay: make it anew "
              "with another total."),
        )  # fmt: skip
    deposit = min(order.deposit_due or ZERO, total)
    services.agree_on(order, total=total, deposit=deposit)


def square(order: Order, difference: Decimal) -> None:
    """Let the agreed total follow the bill by the coin a change cannot meet it by."""
    if difference:
        now = Order.objects.get(pk=order.pk)
        _agree(now, (now.agreed or ZERO) + difference)


# --- a cancellation ----------------------------------------------------------------


@transaction.atomic
def keep_cancellation(
    order: Order, reason: str, kept: Decimal, values: Mapping[str, Any], *,
    by: User | None, at: dt.datetime,
) -> AgreedChange:  # fmt: skip
    """Keep what a cancellation comes to: the agreed total becomes what is kept."""
    now = Order.objects.get(pk=order.pk)
    before = now.agreed or ZERO
    _agree(now, kept)
    order.agreed, order.deposit_due = now.agreed, now.deposit_due
    return AgreedChange.objects.create(
        order=order, wish=reason, values=dict(values),
        more=-before, fee=kept, state="agreed", made_at=at, answered_at=at, by=by,
    )  # fmt: skip
