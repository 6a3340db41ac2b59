"""Invoices that cannot be: each is refused with a sentence, and nothing is kept."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from quotes.invoices.billing import before_of
from quotes.invoices.by_terms import invoice_terms
from quotes.invoices.drafts import advance_draft, final_draft
from quotes.models import Invoice, Paper
from shop import changes, payments
from shop.models import Customer, Order, Payment, Shop
from shop.stages import StageError
from tests.factories import OrderFactory
from tests.quotes.invoicing import (
    accepted,
    advance,
    cancelled,
    final,
    kept,
    month,
    paid,
    ready_shop,
    refusal,
    today,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    return ready_shop()


# --- refused --------------------------------------------------------------------------


def test_no_invoice_before_the_yes():
    order = OrderFactory(knives=1)
    Customer.objects.update(address="Quay 9")
    order = Order.objects.select_related("customer").get(pk=order.pk)
    assert "needs a yes" in refusal(final, order).message


@pytest.mark.parametrize("lacks", ["address", "number", "customer"])
def test_no_invoice_without_its_particulars(lacks):
    order = accepted()
    if lacks == "customer":
        order.customer.address = " "
        assert "who buys" in refusal(final, order).message
        return
    Shop.objects.update(tax_number="", vat_number="")
    if lacks == "address":
        Shop.objects.update(address="")
    said = {"address": "name and address", "number": "tax number or VAT number"}
    assert said[lacks] in refusal(final, order).message


def test_vat_number_alone_is_enough():
    Shop.objects.update(tax_number="", vat_number="XX1")
    assert final(accepted()).seller["vat_number"] == "XX1"


def test_no_final_invoice_before_the_supply_or_before_the_yes():
    order = accepted()
    ahead = refusal(final, order, today() + dt.timedelta(days=1))
    assert (ahead.field, "still to come" in ahead.message) == ("supplied_on", True)
    early = refusal(final, order, today() - dt.timedelta(days=1))
    assert (early.field, "nothing was supplied" in early.message) == (
        "supplied_on", True,
    )  # fmt: skip


def test_one_final_invoice_stands_at_a_time():
    order = accepted()
    first = final(order)
    assert "cancel it" in refusal(final, order).message
    payment = paid(order, "10")
    shop = Shop.current()
    assert "stands already" in refusal(
        advance_draft, order, shop, payment, month(), today=today()
    ).message  # fmt: skip
    cancelled(first)
    assert final(order).gross == 890


def test_one_advance_invoice_a_payment():
    order = accepted()
    advance(order, "300")
    shop, payment = Shop.current(), Payment.objects.get()
    error = refusal(advance_draft, order, shop, payment, month(), today=today())
    assert error.field == "payment"
    assert "already" in error.message
    assert len(before_of(order).unbilled) == 0
    paid(order, "300")  # alike, and another one
    assert len(before_of(order).unbilled) == 1


def test_payment_above_the_total_is_no_advance():
    error = refusal(advance, accepted(), "900")
    assert (error.field, error.values["left"]) == ("payment", 890)


def test_advance_whose_payment_was_taken_back_is_cancelled_first():
    order = accepted()
    made = advance(order, "300")
    with pytest.raises(StageError, match="counts this payment"):
        payments.take_back(Payment.objects.get(), by=None, at=timezone.now())
    Payment.objects.update(taken_back=timezone.now())  # before that was refused
    assert before_of(order).unpaid == (made,)
    assert "taken back" in refusal(final, order).message
    cancelled(made)
    assert final(order).due == 890


def test_cancelled_order_gets_no_final_invoice():
    order = accepted()
    Order.objects.filter(pk=order.pk).update(state="cancelled")
    order.refresh_from_db()
    assert "was cancelled" in refusal(final, order).message


def test_no_final_invoice_while_a_knife_is_at_the_bench():
    order = accepted(("knife", "500", 19), ("knife", "300", 19), ("knife", "90", 19),
                     handed=False)  # fmt: skip
    first, second, third = order.knives.all()
    type(first).objects.filter(pk=first.pk).update(stage="delivered")
    error = refusal(final, order)
    assert (error.field, error.values["name"]) == ("supplied_on", str(second))
    type(first).objects.filter(pk=second.pk).update(stage="scrapped")
    assert refusal(final, order).values["name"] == str(third)
    type(first).objects.filter(pk=third.pk).update(stage="cancelled")
    assert final(order).gross == 800


@pytest.mark.parametrize("state", ["cancelled", "delivered"])
def test_no_advance_invoice_once_the_order_is_over(state):
    order = accepted()
    Order.objects.filter(pk=order.pk).update(state=state)
    order.refresh_from_db()
    error = refusal(advance, order, "300")
    assert (error.field, "is over" in error.message) == ("payment", True)


def test_order_cancelled_between_looking_and_issuing_gets_no_advance_invoice():
    order = accepted()
    payment, shop, drafts = paid(order, "300"), Shop.current(), iter(range(2))

    def build():
        draft = advance_draft(order, shop, payment, month(), today=today())
        if not next(drafts):
            Order.objects.filter(pk=order.pk).update(state="cancelled")
        return draft

    assert "is over" in refusal(kept, build).message


def test_what_was_agreed_is_frozen_while_a_final_invoice_stands():
    order = accepted()
    last = final(order)
    assert payments.has_final(order)
    for check in (changes.check_order, payments.check_no_final):
        with pytest.raises(StageError, match="cancel that invoice first"):
            check(order)
    cancelled(last)
    assert not payments.has_final(order)
    changes.check_order(order)


def test_payment_that_a_final_invoice_counts_stays():
    order = accepted()
    before = paid(order, "100")
    last = final(order)
    later = paid(order, "790")
    payments.take_back(later, by=None, at=timezone.now())  # no invoice counts it
    with pytest.raises(StageError, match="counts this payment") as refused:
        payments.take_back(before, by=None, at=timezone.now())
    assert refused.value.values["number"] == last.number
    cancelled(last)
    payments.take_back(before, by=None, at=timezone.now())


def test_one_of_two_payments_alike_may_go_the_invoiced_one_stays():
    order = accepted()
    advance(order, "300")
    other = paid(order, "300")
    payments.take_back(other, by=None, at=timezone.now())
    with pytest.raises(StageError, match="counts this payment"):
        payments.take_back(
            Payment.objects.get(taken_back=None), by=None, at=timezone.now()
        )


def test_money_paid_back_is_no_advance_and_no_longer_paid():
    """Law: agreed, less what stayed with the shop, is what is due."""
    order = accepted()
    paid(order, "400")
    Payment.objects.filter(pk=paid(order, "100").pk).update(back=True)
    assert [one.amount for one in before_of(order).unbilled] == [400]
    last = final(order)
    assert (last.paid, last.due) == (300, 590)


def test_advance_that_was_paid_back_is_cancelled_before_the_final_invoice():
    order = accepted()
    made = advance(order, "300")
    Payment.objects.filter(pk=paid(order, "200").pk).update(back=True)
    assert "was paid back" in refusal(final, order).message
    cancelled(made)
    assert final(order).due == 790


def test_refund_is_not_taken_for_the_payment_of_an_advance_invoice():
    """Of the same amount on the same day, where that payment was taken back."""
    order = accepted()
    made = advance(order, "300")
    Payment.objects.filter(pk=paid(order, "300").pk).update(back=True)
    assert before_of(order).unpaid == ()
    Payment.objects.filter(back=False).update(taken_back=timezone.now())
    before = before_of(order)
    assert (before.unpaid, before.unbilled) == ((made,), ())


def test_final_invoice_with_a_refund_between_adds_up():
    """Law: advances and payments, less what went back, and what is due are the whole.

    By hand: 890 less 200 with an advance invoice, 400 without, 150 back: 440 due, of
    the tax of 142.10 the 31.93 of the advance taken off.
    """
    order = accepted()
    first = advance(order, "200")
    paid(order, "400")
    Payment.objects.filter(pk=paid(order, "150").pk).update(back=True)
    last = final(order)
    assert (last.gross, last.paid, last.due) == (890, 450, 440)
    (taken,) = last.advances.all()
    assert (taken.advance, taken.gross, taken.tax) == (first, 200, Decimal("31.93"))
    assert last.due == payments.balance(Order.objects.get(pk=order.pk))
    sums = invoice_terms(last)["BG-22"]
    assert (sums["BT-113"], sums["BT-115"]) == ("450.00", "440.00")


def test_order_that_was_overpaid_gets_the_rest_back():
    order = accepted()
    paid(order, "900")
    Payment.objects.filter(pk=paid(order, "5").pk).update(back=True)
    last = final(order)
    assert (last.paid, last.due) == (895, -5)


@pytest.mark.parametrize("which", ["month", "due"])
def test_days_that_are_past_are_refused(which):
    order, shop = accepted(), Shop.current()
    past = today() - dt.timedelta(days=60)
    if which == "month":
        payment = paid(order, "10")
        error = refusal(advance_draft, order, shop, payment, past, today=today())
        assert error.field == "expected"
    else:
        error = refusal(final_draft, order, shop, today(), past, today=today())
        assert error.field == "due_on"


# --- cancelling -----------------------------------------------------------------------


def test_cancelling_document_names_what_it_takes_back():
    order = accepted()
    first = final(order)
    back = cancelled(first, reason="wrong address")
    assert back.cancels == first
    assert Invoice.objects.get(pk=first.pk).cancelled_by == back
    assert (back.gross, back.due) == (-890, -890)
    line = back.lines.get()
    assert (line.quantity, line.net) == (-1, Decimal("-747.90"))
    terms = invoice_terms(back)
    assert terms["BG-3"] == [{"BT-25": first.number, "BT-26": str(first.issued_on)}]
    assert "wrong address" in back.note


def test_what_cannot_be_cancelled_says_why():
    order = accepted()
    made = advance(order, "300")
    last = final(order)
    assert "cancel that one first" in refusal(cancelled, made).message
    back = cancelled(last)
    assert "cancelled already" in refusal(cancelled, last).message
    assert "is not cancelled" in refusal(cancelled, back).message
    cancelled(made)


def test_second_cancelling_is_refused_by_the_database_too():
    first = final(accepted())
    back = cancelled(first)
    twin = Invoice.objects.values().get(pk=back.pk)
    paper = Paper.objects.create(
        sha256="1" * 64, media="html", kind="cancel", order=first.order, revision=9,
        made_at=timezone.now(),
    )  # fmt: skip
    with pytest.raises(IntegrityError), transaction.atomic():
        Invoice.objects.create(
            **twin | {"id": None, "number": "2026-9999", "paper_id": paper.pk}
        )
