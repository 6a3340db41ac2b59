"""Orders whose quote was accepted, without a page or a printer."""

import datetime as dt
from decimal import Decimal

from django.utils import timezone

from quotes.basis import basis_of
from quotes.models import Paper, Quote, QuoteAnswer, QuoteLine, QuoteOption
from quotes.pricing import price_order
from shop import services
from shop.models import Knife, Order, WorkRecord
from tests.factories import moment
from tests.quotes.orders import ready_order


def accepted_order(*names, beside=(), option=None, old=False, **values):
    """An order with a quote that was accepted as a shop would have issued it."""
    order = ready_order(*names, **values)
    quote = quoted(order, beside=beside, old=old)
    chosen = (
        QuoteOption.objects.create(quote=quote, position=2, **option)
        if option
        else None
    )
    QuoteAnswer.objects.create(
        quote=quote, accepted=True, option=chosen, at=timezone.now()
    )
    order = Order.objects.get(pk=order.pk)
    services.change_state(order, "quoted")
    services.start_work(order, by=None, at=moment())
    return order


def quoted(order, *, beside=(), old=False):
    priced = price_order(order, timezone.localdate())
    price, basis = priced.lines.price, basis_of(priced)
    more = sum((Decimal(net) for _kind, net in beside), Decimal(0))
    basis["counts"] = {"lines": 1 + len(beside), "options": 2}
    if old:
        for billet in basis["billets"]:
            del billet["forecast"]
    paper = Paper.objects.create(
        sha256="0" * 64, media="pdf", kind="quote", order=order, revision=1,
        made_at=timezone.now(),
    )  # fmt: skip
    quote = Quote.objects.create(
        order=order, revision=1, issued_at=timezone.now(), paper=paper, basis=basis,
        valid_until=timezone.localdate() + dt.timedelta(days=30), currency="EUR",
        net=price.net + more, tax_rate=Decimal(19), tax=price.whole.tax,
        total=price.whole.gross, deposit=price.deposit.gross,
    )  # fmt: skip
    for place, (kind, net) in enumerate([("knife", price.net), *beside], start=1):
        QuoteLine.objects.create(
            quote=quote, position=place, kind=kind, label=kind, amount=Decimal(net),
            net=None if old else Decimal(net),
        )  # fmt: skip
    return quote


def work(knife, row, hands_on, **more):
    """Hours written down of a knife."""
    return WorkRecord.objects.create(
        knife=knife, stage="forge", row=row, hands_on=Decimal(str(hands_on)),
        at=moment(), **more,
    )  # fmt: skip


def stand(knife, stage):
    """Put a knife at a stage of its way, as if it had walked there."""
    Knife.objects.filter(pk=knife.pk).update(stage=stage)
    knife.stage = stage
    return knife


def delivered(order):
    """Hand an order over."""
    order.knives.exclude(stage__in=("scrapped", "cancelled")).update(stage="delivered")
    Order.objects.filter(pk=order.pk).update(state="delivered")
    order.refresh_from_db()
    return order
