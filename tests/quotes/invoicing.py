"""Orders with an accepted quote, made of rows: no plan is run and no paper laid out."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.errors import QuoteError
from quotes.invoices.drafts import advance_draft, cancel_draft, final_draft
from quotes.invoices.services import issue_invoice, next_number
from quotes.models import Invoice, Paper, Quote, QuoteAnswer, QuoteLine, QuoteOption
from quotes.offer.frozen import Offer, OfferLine, line_rows, option_rows, quote_row
from quotes.services import Printed
from quotes.sums import Amount, sums
from shop.models import Customer, Order, Payment, Shop, TaxSetting
from tests.factories import OrderFactory
from tests.quotes.orders import LONG_AGO

KINDS = {"knife": "line", "extra": "line", "charge": "charge", "discount": "allowance"}
PAGE = Printed(body=b"an invoice", media="html")


def ready_shop(regime="standard", rate=19, **columns):
    """A shop with all an invoice says of it."""
    TaxSetting.objects.create(regime=regime, rate=rate, valid_from=LONG_AGO)
    values = {"address": "Test yard 1", "tax_number": "11/222", **columns}
    Shop.objects.update_or_create(pk=1, defaults=values)
    return Shop.current()


def accepted(
    *lines, mode="gross", regime="standard", options=(), old=False, handed=True,
    **customer,
):  # fmt: skip
    """An order whose quote was accepted: lines of (kind, amount, percent).

    ``options`` are for the first knife; the last one is taken. An ``old`` quote is as
    a program left it that kept neither sides nor rates. Its knives are ``handed``
    over although it is still at work, so that any kind of invoice can be written.
    """
    lines = lines or (("knife", "890.00", 19),)
    order = OrderFactory(knives=sum(kind == "knife" for kind, *_more in lines))
    Customer.objects.filter(pk=order.customer_id).update(
        **{"address": "Quay 9", **customer}
    )
    serials = iter(order.knives.values_list("serial", flat=True))
    named = [(kind, next(serials) if kind == "knife" else "") for kind, *_x in lines]
    amounts = [
        Amount(kind=KINDS[kind], amount=Decimal(amount), percent=Decimal(percent))
        for kind, amount, percent in lines
    ]
    offer = offer_of(named, amounts, mode, regime, options)
    quote = keep(order, offer, old=old)
    taken = quote.options.last()
    QuoteAnswer.objects.create(
        quote=quote, accepted=True, option=taken, at=timezone.now()
    )
    Order.objects.filter(pk=order.pk).update(state="accepted")
    order.knives.update(stage="delivered" if handed else "sharpen")
    return Order.objects.select_related("customer").get(pk=order.pk)


def offer_of(named, amounts, mode, regime, options):
    added = sums(amounts, mode)
    return Offer(
        revision=1, issued_at=timezone.now(),
        valid_until=timezone.localdate() + dt.timedelta(days=9), kind="fixed",
        mode=mode, regime=regime, currency="EUR", net=added.net,
        tax_rate=amounts[0].percent, tax=added.tax, total=added.gross,
        taxes=added.taxes, deposit=Decimal(0), options=options,
        lines=tuple(
            OfferLine(
                label="Test thing", detail="of steel", kind=kind, serial=serial,
                amount=shown.read, net=shown.net, gross=shown.gross,
                percent=shown.percent,
            )
            for (kind, serial), shown in zip(named, added.shown, strict=True)
        ),
    )  # fmt: skip


def keep(order, offer, *, old=False):
    paper = Paper.objects.create(
        sha256="0" * 64, media="html", kind="quote", order=order, revision=1,
        made_at=timezone.now(),
    )  # fmt: skip
    counts = {"lines": len(offer.lines), "options": len(offer.options)}
    quote = quote_row(offer, order=order, paper=paper, basis={"counts": counts})
    lines = line_rows(quote, offer)
    if old:
        quote.taxes, quote.regime = [], "standard"
        for line in lines:
            line.net = line.gross = line.percent = None
    quote.save()
    QuoteLine.objects.bulk_create(lines)
    rows = option_rows(quote, offer)
    for row in rows:
        row.serial = order.knives.first().serial
    QuoteOption.objects.bulk_create(rows)
    return Quote.objects.get(pk=quote.pk)


def paid(order, amount, received_on=None):
    return Payment.objects.create(
        order=order, amount=Decimal(amount), at=timezone.now(),
        received_on=received_on or timezone.localdate(),
    )  # fmt: skip


def kept(build, number=None, printed=PAGE):
    """Issue what a draft says, on a paper nobody lays out."""
    draft = build()
    number = number or next_number(draft.issued_on)
    return issue_invoice(
        draft, number, printed, rebuild=build, by=None, at=timezone.now()
    )


def today():
    return timezone.localdate()


def month():
    return today() + dt.timedelta(days=40)


def advance(order, amount, received_on=None):
    payment = paid(order, amount, received_on)
    shop = Shop.current()
    return kept(lambda: advance_draft(order, shop, payment, month(), today=today()))


def final(order, supplied_on=None, due_on=None):
    day, shop = supplied_on or today(), Shop.current()
    return kept(lambda: final_draft(order, shop, day, due_on, today=today()))


def cancelled(invoice, reason="wrong address"):
    shop = Shop.current()
    return kept(lambda: cancel_draft(invoice, shop, reason, today=today()))


def refusal(act, *args, **kwargs):
    """What is said against something, of which box; nothing is kept."""
    before = Invoice.objects.count(), Paper.objects.count()
    with pytest.raises(QuoteError) as refused:
        act(*args, **kwargs)
    assert (Invoice.objects.count(), Paper.objects.count()) == before
    return refused.value
