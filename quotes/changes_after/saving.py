"""Keeping a change with its note, writing the answer down, settling a cancellation."""

from __future__ import annotations

import datetime as dt
from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from billets.physics.errors import _
from quotes import store
from quotes.changes_after.agreed import (
    agreed_total,
    begun_again,
    knife_prices,
    last_begun,
)
from quotes.changes_after.billed import billed_kept, billing_if_quoted
from quotes.changes_after.figured import (
    COLUMNS,
    Figured,
    as_it_is,
    changed_knife,
    gates_passed,
)
from quotes.changes_after.ladder import Settled, rung, settled, with_kept
from quotes.changes_after.possible import refusals
from quotes.errors import QuoteError
from quotes.models import Paper
from quotes.money import total
from quotes.pricing import rates_on
from quotes.services import Printed
from shop import changes, payments, stages
from shop import services as shop_services
from shop.changes import Asked
from shop.models import AgreedChange, Knife, Order


def next_number(order: Order) -> int:
    """Return the number the next change note of an order gets."""
    last = Paper.objects.filter(order=order, kind="change").order_by("-revision")
    return (last.values_list("revision", flat=True).first() or 0) + 1


@transaction.atomic
def save_change(
    asked: Asked, knife: Knife, printed: Printed, number: int, *,
    by: User | None, at: dt.datetime,
) -> AgreedChange:  # fmt: skip
    """Keep a change and its note in one act; nothing of the knife is altered yet.

    StageError or StaleError as in ``shop.changes.open_change``; QuoteError if another
    change was kept since this one was printed.
    """
    shop_services.hold_order(knife.order)
    if number != next_number(knife.order):
        raise QuoteError(
            _("Someone else has just made a change of this order; look at it first."),
            field="wish",
        )
    paper = Paper.objects.create(
        sha256=store.keep(printed.body), media=printed.media, kind="change",
        order=knife.order, revision=number, made_at=at, by=by,
    )  # fmt: skip
    kept = {**asked.values, "paper": paper.pk, "number": number}
    return changes.open_change(knife, replace(asked, values=kept), by=by, at=at)


def asked_of(figured: Figured, wish: str, version: int, told: list[list[str]]) -> Asked:
    """Return a change as it is kept: columns, words, and what it was reckoned from."""
    knife, part = figured.knife, figured.wish
    return Asked(
        wish=wish,
        values={
            "columns": dict(figured.columns),
            "typed": part.values.get("typed", {}),
            "version": version,
            "told": told,
            "agreed": str(figured.agreed),
            "total": str(figured.total),
            "paid": str(figured.paid),
            "currency": figured.currency,
            "cut": part.cut,
            "reckoned_more": str(figured.reckoned_more),
            "part": str(figured.part),
            "percent": str(figured.percent),
            "rates_on": figured.priced.day.isoformat(),
            "week_before": _iso(knife.order.promised_week),
        },
        passed=gates_passed(knife),
        more=figured.more, fee=figured.fee, new_week=part.new_week,
    )  # fmt: skip


def _iso(day: dt.date | None) -> str:
    return day.isoformat() if day else ""


@transaction.atomic
def answer_change(
    change: AgreedChange, *, accepted: bool, how: str, at: dt.datetime
) -> AgreedChange:
    """Write down the customer's answer; a yes alters knife, total and week.

    QuoteError if the knife has come too far for it since, StageError as in
    ``shop.changes.answer_change``, PlanError if no such knife can be made.
    """
    if not accepted or change.state != "open" or not change.knife:
        return changes.answer_change(change, accepted=accepted, how=how, at=at)
    shop_services.hold_order(change.order)
    _check_still_possible(change, change.knife.pk)
    before = billing_if_quoted(change.order)
    answered = changes.answer_change(change, accepted=True, how=how, at=at)
    after = billing_if_quoted(change.order)
    if before and after:
        told = answered.more + answered.fee
        changes.square(change.order, after.gross - before.gross - told)
    return answered


def _check_still_possible(change: AgreedChange, pk: int) -> None:
    knife = Knife.objects.select_related("order").get(pk=pk)
    values = {name: getattr(knife, name) for name in COLUMNS}
    values |= change.values["columns"]
    then = changed_knife(knife, values)
    found = refusals(knife.stage, as_it_is(knife), as_it_is(then))
    if found:
        first = found[0]
        raise QuoteError(first.message, field=first.field, **first.values)
    if _stages(gates_passed(knife)) != _stages(change.passed):
        raise QuoteError(
            _("The knife has come further since this change was reckoned, and its "
              "price may be another now: write down a no, and make the change anew."),
            field="answer",
        )  # fmt: skip


def _stages(gates: list[dict[str, str]]) -> list[str]:
    return [one["stage"] for one in gates]


# --- a cancellation ----------------------------------------------------------------

SETTLED = tuple(one.name for one in fields(Settled))


def settle(order: Order, *, cut: bool) -> Settled | None:
    """Return what becomes of the money if an order is cancelled today.

    None where nothing was agreed. What the customer has already stays owed in full;
    a knife the shop lost and did not begin again is cancelled with the others, on the
    same rung. QuoteError if the shop has no such rate.
    """
    if order.state != "accepted" or order.agreed is None:
        return None
    currency = payments.currency_of(order)
    prices = knife_prices(order, currency)
    gone = order.knives.filter(stage=stages.STAGES[-1].key)
    handed = total(prices[one.serial] for one in gone if one.serial in prices)
    rates, _prices = rates_on(timezone.localdate())
    found = settled(
        agreed_total(order) - handed, payments.received(order),
        rung("cancel", rates, cut=cut), currency=currency, handed_over=handed,
    )  # fmt: skip
    return with_kept(found, billed_kept(order, found.kept, _not_had(order)))


def _not_had(order: Order) -> list[str]:
    """Return the knives the customer does not have, nor one begun in their place."""
    stands = dict(order.knives.values_list("serial", "stage"))
    again = begun_again(order)
    had = stages.STAGES[-1].key
    return [one for one in stands if stands[last_begun(one, again)] != had]


@transaction.atomic
def cancel(
    order: Order, reason: str, *, cut: bool, by: User | None, at: dt.datetime
) -> Settled | None:
    """Cancel an order, and keep what of its money is kept beside the reason.

    StageError if it cannot be cancelled, no reason is given, or a final invoice stands.
    """
    shop_services.hold_order(order)
    payments.check_no_final(order)
    order.refresh_from_db(fields=["agreed", "deposit_due"])
    found = settle(order, cut=cut)
    shop_services.cancel_order(order, reason=reason, by=by, at=at)
    for one in order.changes.filter(state="open"):
        changes.answer_change(one, accepted=False, how=reason[:200], at=at)
    if found is not None:
        changes.keep_cancellation(
            order, reason, found.kept, _kept(found, cut=cut), by=by, at=at
        )
    return found


def _kept(found: Settled, *, cut: bool) -> dict[str, Any]:
    return {"cut": cut} | {one: str(getattr(found, one)) for one in SETTLED}


def kept_settlement(change: AgreedChange) -> Settled:
    """Return what a cancellation came to, from the row that keeps it."""
    return Settled(**{name: Decimal(change.values[name]) for name in SETTLED})
