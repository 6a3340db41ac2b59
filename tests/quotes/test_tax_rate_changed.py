"""The rate of tax on the day of supply: what the final invoice asks for is agreed."""

from decimal import Decimal

import pytest
from django.test import Client

from quotes.errors import QuoteError
from quotes.invoices.billing import billing_of
from quotes.pay.request import amount_asked
from quotes.private import tokens
from shop import payments, services
from shop.models import Order, TaxSetting
from shop.owing import owing
from tests.factories import moment
from tests.quotes.invoicing import accepted, cancelled, final, ready_shop, today
from tests.quotes.orders import ready_shop as lay_in
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


def supplied(rate):
    """An order of 1,000 before 19 % that was paid, its knife supplied at a new rate."""
    lay_in()
    ready_shop()
    order = accepted(("knife", "1000.00", 19), mode="net", business=True)
    total = billing_of(order).quote.total
    services.agree_on(order, total=total, deposit=total)
    paid = payments.Received(amount=Decimal(1190), received_on=today())
    payments.receive(order, paid, by=None, at=moment(), sure=True)
    TaxSetting.objects.create(regime="standard", rate=rate, valid_from=today())
    Order.objects.filter(pk=order.pk).update(state="delivered")
    return now(order)


def now(order):
    return Order.objects.select_related("customer").get(pk=order.pk)


def test_higher_rate_leaves_the_difference_open_everywhere():
    """1,000 x 1.21 = 1,210 and 1,190 is paid: 20 is open, and 0 without the invoice."""
    order = supplied(21)
    invoice = final(order)
    order = now(order)
    assert (invoice.gross, invoice.due) == (1210, 20)
    assert (order.agreed, payments.balance(order)) == (1210, 20)
    assert [one.amount for one in owing()] == [20]
    assert amount_asked(order, "balance") == 20
    _link, token = tokens.make_link(order, by=None, at=moment())
    page = Client(HTTP_HOST="127.0.0.1").get(f"/q/{token}/", follow=True)
    assert "€20.00" in text_of(page)
    assert "Total, tax included €1,210.00" in " ".join(text_of(page).split())
    rest = payments.Received(amount=Decimal(20), received_on=today())
    payments.receive(order, rest, by=None, at=moment())
    assert payments.balance(now(order)) == 0
    cancelled(invoice)
    assert (now(order).agreed, payments.balance(now(order))) == (1190, -20)


def test_page_of_payments_says_before_the_invoice_that_the_rate_changed(owner_client):
    order = supplied(21)
    told = " ".join(
        text_of(owner_client.get(f"/orders/{order.number}/payments/")).split()
    )
    assert "comes to €1,210.00 and not to €1,190.00" in told
    final(order)
    told = text_of(owner_client.get(f"/orders/{order.number}/payments/"))
    assert "The rate of tax is another one" not in told


def test_lower_rate_lets_the_difference_go_back():
    """1,000 x 1.16 = 1,160 and 1,190 is paid: 30 goes back; the deposit shrinks too."""
    order = supplied(16)
    invoice = final(order)
    order = now(order)
    assert (invoice.gross, invoice.due) == (1160, -30)
    assert (order.agreed, order.deposit_due) == (1160, 1160)
    assert payments.goes_back(order) == 30
    assert owing() == []
    with pytest.raises(QuoteError):
        amount_asked(order, "balance")
    cancelled(invoice)
    assert (now(order).agreed, payments.balance(now(order))) == (1190, 0)


def test_order_nothing_was_agreed_for_owes_its_invoice_only():
    """An invoice of 890 makes 890 due; without it nobody knows of any sum."""
    lay_in()
    ready_shop()
    order = accepted()
    invoice = final(order)
    assert now(order).agreed == 890
    cancelled(invoice)
    assert (now(order).agreed, now(order).deposit_due) == (None, None)
