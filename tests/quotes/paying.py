"""Orders with a yes, without the work of making a quote; what tests assert they set."""

import datetime as dt
from decimal import Decimal

from django.utils import timezone

from quotes.models import Paper, Quote, QuoteAnswer
from shop import payments, services
from shop.models import Order, Shop
from shop.payments import Received
from tests.factories import CustomerFactory, OrderFactory

IBAN = "DE89370400440532013000"
"""An account of the standard's own registry: it belongs to nobody."""

ASKED = dt.datetime(2026, 1, 5, 9, tzinfo=dt.UTC)
"""When the orders were asked for: before any day money is said to have come."""


def bought(total="1190.00", deposit="357.00", *, tax="190.00", rate="19.00", **of):
    """An accepted order with its quote and yes; ``of`` goes into customer or quote."""
    customer = CustomerFactory(language=of.pop("language", "en"))
    order = OrderFactory(
        knives=of.pop("knives", 1), accepted=True, customer=customer, created=ASKED
    )
    total, tax = Decimal(total), Decimal(tax)
    now = timezone.now()
    paper = Paper.objects.create(
        sha256="0" * 64, media="pdf", kind="quote", order=order, revision=1, made_at=now
    )
    taxes = of.pop("taxes", [{"percent": rate, "base": "0", "tax": str(tax)}])
    quote = Quote.objects.create(
        order=order, revision=1, issued_at=now, valid_until=dt.date(2030, 1, 1),
        net=total - tax, tax_rate=Decimal(rate), tax=tax, total=total, taxes=taxes,
        deposit=Decimal(deposit), paper=paper,
        **{"currency": "EUR", "basis": {}, **of},
    )  # fmt: skip
    QuoteAnswer.objects.create(quote=quote, accepted=True, at=now)
    services.agree_on(order, total=total, deposit=Decimal(deposit))
    return Order.objects.get(pk=order.pk)


def pay(order, amount, *, day=None, reference="", back=False, **how):
    """Enter a payment as the page's service does."""
    one = Received(
        amount=Decimal(amount),
        received_on=day or timezone.localdate(),
        reference=reference,
        back=back,
    )
    return payments.receive(order, one, by=None, at=timezone.now(), **how)


def account(**values):
    """Give the shop an account."""
    told = {"name": "Weirside Forge", "account_holder": "Tilda Grauwacke", "iban": IBAN}
    return Shop.objects.update_or_create(pk=1, defaults=told | values)[0]


def stand_at(knife, stage):
    """Bring a knife to a stage without the walk."""
    type(knife).objects.filter(pk=knife.pk).update(stage=stage)
    knife.stage = stage
