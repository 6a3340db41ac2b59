"""Issuing an invoice: its number, its rows and its paper in one act."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction

from billets.physics.errors import _
from quotes import store
from quotes.errors import QuoteError
from quotes.invoices.drafts import Draft, Taken
from quotes.models import DeductedAdvance, Invoice, InvoiceLine, Paper
from quotes.money import ZERO
from quotes.services import Printed
from shop import services as shop_services
from shop.models import Order


class NumberTaken(QuoteError):
    """Somebody else issued an invoice since this one was printed."""


def next_number(day: dt.date) -> str:
    """Return the number the next invoice of a year gets: 2026-0001, 2026-0002.

    Numbers are given in the order of the rows, and no row is ever taken away.
    """
    year = f"{day:%Y}-"
    last = Invoice.objects.filter(number__startswith=year).order_by("-pk").first()
    return f"{year}{int(last.number[len(year) :]) + 1 if last else 1:04d}"


@transaction.atomic
def issue_invoice(
    draft: Draft, number: str, printed: Printed, *, rebuild: Callable[[], Draft],
    by: User | None, at: dt.datetime,
) -> Invoice:  # fmt: skip
    """Freeze an invoice that was printed under a number.

    Whoever else wants a number waits, so that none is given twice or left out.
    NumberTaken if it is gone; QuoteError if what it bills changed since it was built,
    which ``rebuild`` tells.
    """
    shop_services.hold_shop()
    shop_services.hold_order(draft.order)
    draft.order.refresh_from_db(fields=["state", "agreed", "deposit_due"])
    if next_number(draft.issued_on) != number:
        raise NumberTaken(
            _("Someone else has just issued an invoice; look at this one again."),
            field="order",
        )
    if rebuild() != draft:
        raise QuoteError(
            _("Something this invoice counts has just changed; look at it again."),
            field="order",
        )
    paper = _paper(draft, printed, by=by, at=at)
    invoice = Invoice.objects.create(
        **_columns(draft), number=number, paper=paper, by=by, at=at
    )
    InvoiceLine.objects.bulk_create(_lines(invoice, draft))
    DeductedAdvance.objects.bulk_create(_advance(invoice, one) for one in draft.taken)
    _follow(draft)
    return invoice


def _follow(draft: Draft) -> None:
    """Let what is agreed be what the final invoice asks for, and back without it.

    Read before tax, an order comes to another total where the rate is another one on
    the day of supply.
    """
    gone = draft.cancels
    if draft.kind == "final":
        _agree(draft.order, draft.bill.gross)
    elif gone is not None and gone.kind == "final":
        before = gone.taxes.get("agreed")
        _agree(draft.order, Decimal(before) if before else None)


def _agree(order: Order, agreed: Decimal | None) -> None:
    if agreed is not None:
        deposit = min(order.deposit_due or ZERO, agreed)
        shop_services.agree_on(order, total=agreed, deposit=deposit)
    else:
        Order.objects.filter(pk=order.pk).update(agreed=None, deposit_due=None)


def _columns(draft: Draft) -> dict[str, Any]:
    names = ("kind", "order", "quote", "issued_on", "supplied_on", "due_on",
             "currency", "regime", "seller", "buyer", "note", "cancels")  # fmt: skip
    sums = ("net", "tax", "gross", "paid", "due")
    return {
        **{name: getattr(draft, name) for name in names},
        **{name: getattr(draft.bill, name) for name in sums},
        "taxes": _taxes(draft),
    }


def _taxes(draft: Draft) -> dict[str, Any]:
    """Return tax by rate; so many lines and advances, and no more are taken in.

    Of a final invoice also what was agreed before it, for when it is cancelled.
    """
    before = draft.order.agreed if draft.kind == "final" else None
    return {
        "rates": [
            {"percent": str(one.percent), "category": one.category,
             "base": str(one.base), "tax": str(one.tax)} for one in draft.bill.taxes
        ],
        "reason": draft.reason,
        "counts": {"lines": len(draft.bill.lines), "advances": len(draft.taken)},
        "agreed": "" if before is None else str(before),
    }  # fmt: skip


def _lines(invoice: Invoice, draft: Draft) -> list[InvoiceLine]:
    names = ("kind", "label", "detail", "quantity", "net", "percent", "category")
    return [
        InvoiceLine(
            invoice=invoice, position=place,
            **{name: getattr(one, name) for name in names},
        )
        for place, one in enumerate(draft.bill.lines, start=1)
    ]  # fmt: skip


def _advance(final: Invoice, one: Taken) -> DeductedAdvance:
    return DeductedAdvance(
        final=final, advance=one.advance, net=one.sum.net, tax=one.sum.tax,
        gross=one.sum.gross, received_on=one.received_on,
    )  # fmt: skip


def _paper(
    draft: Draft, printed: Printed, *, by: User | None, at: dt.datetime
) -> Paper:
    papers = Paper.objects.filter(order=draft.order, kind=draft.kind)
    return Paper.objects.create(
        sha256=store.keep(printed.body), media=printed.media, kind=draft.kind,
        order=draft.order, revision=papers.count() + 1, made_at=at, by=by,
    )  # fmt: skip
