"""Money received: what counts, what is asked about, and what waits for it."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.pay.bought import bought_of
from shop import payments, services
from shop.models import Knife, Order, Payment, Shop, StageEvent
from shop.payments import DoubtfulError
from shop.stages import StageError
from tests.factories import OrderFactory
from tests.quotes.paying import bought, pay, stand_at

pytestmark = pytest.mark.django_db


def test_parts_add_up_and_what_is_taken_back_no_longer_counts():
    order = bought("1190.00", "357.00")
    first = pay(order, "200.00")
    pay(order, "157.00", reference="deposit")
    assert payments.received(order) == Decimal("357.00")
    assert payments.deposit_missing(order) == 0
    assert payments.balance(order) == Decimal("833.00")
    payments.take_back(first, by=None, at=timezone.now())
    assert payments.balance(order) == Decimal("1033.00")
    assert payments.deposit_missing(order) == Decimal("200.00")
    assert Payment.objects.count() == 2
    with pytest.raises(StageError, match="taken back already"):
        payments.take_back(first, by=None, at=timezone.now())


def test_same_payment_twice_is_asked_about():
    order, day = bought(), dt.date(2026, 3, 2)
    pay(order, "100.00", day=day, reference="A 1")
    with pytest.raises(DoubtfulError, match="entered already"):
        pay(order, "100.00", day=day, reference="A 1")
    for other in ({"reference": "A 2"}, {"day": dt.date(2026, 3, 3)}):
        pay(order, "100.00", **{"day": day, "reference": "A 1"} | other)
    pay(order, "100.00", day=day, reference="A 1", sure=True)
    assert payments.received(order) == Decimal("400.00")


@pytest.mark.parametrize("back", [False, True])
def test_day_before_the_order_is_asked_about(back):
    order = bought()
    asked = timezone.localdate(order.created)
    pay(order, "100.00", day=asked)
    early = asked - dt.timedelta(days=1)
    with pytest.raises(DoubtfulError, match="was asked for") as told:
        pay(order, "50.00", day=early, back=back)
    assert told.value.values["day"] == early
    assert Payment.objects.count() == 1
    pay(order, "50.00", day=early, back=back, sure=True)


def test_payment_taken_back_may_be_entered_again():
    order = bought()
    payments.take_back(pay(order, "100.00"), by=None, at=timezone.now())
    pay(order, "100.00")
    assert payments.received(order) == Decimal("100.00")


def test_more_than_is_open_is_asked_about():
    order = bought("1190.00")
    pay(order, "1190.00")
    with pytest.raises(DoubtfulError, match="more than is still open"):
        pay(order, "0.01")
    pay(order, "0.01", sure=True)
    assert payments.balance(order) == Decimal("-0.01")
    assert payments.deposit_missing(order) == 0


@pytest.mark.parametrize("sure", [False, True])
def test_what_cannot_be_is_refused_with_and_without_the_tick(sure):
    order = bought()
    for amount in ("0", "-5.00", "NaN", "Infinity"):
        with pytest.raises(StageError, match="above zero"):
            pay(order, amount, sure=sure)
    tomorrow = timezone.localdate() + dt.timedelta(days=1)
    with pytest.raises(StageError, match="yet to come"):
        pay(order, "5.00", day=tomorrow, sure=sure)
    with pytest.raises(StageError, match="yes to a quote first"):
        pay(OrderFactory(), "5.00", sure=sure)
    assert not Payment.objects.exists()


# --- the deposit ------------------------------------------------------------------


def test_deposit_above_the_total_is_refused():
    order = bought("1190.00", "357.00")
    for deposit in ("1190.01", "-0.01"):
        with pytest.raises(StageError, match="agreed total"):
            payments.change_deposit(
                order, Decimal(deposit), seen=Decimal("357.00")
            )  # fmt: skip
        with pytest.raises(StageError, match="agreed total"):
            services.agree_on(
                order, total=Decimal("1190.00"), deposit=Decimal(deposit)
            )  # fmt: skip
    with pytest.raises(StageError, match="Someone else"):
        payments.change_deposit(order, Decimal(10), seen=Decimal(20))
    payments.change_deposit(order, Decimal("1190.00"), seen=Decimal("357.00"))
    assert Order.objects.get().deposit_due == Decimal("1190.00")


# --- at the bench -----------------------------------------------------------------


def move(knife, to, **how):
    services.move_knife(
        Knife.objects.get(pk=knife.pk), to, gate_passed=True, by=None,
        at=timezone.now(), **how,
    )  # fmt: skip


def test_forge_is_warned_of_and_locked_only_where_the_shop_wants_it():
    order = bought(knives=2)
    first, second = order.knives.all()
    assert payments.forge_waits(first)
    move(first, "grind")
    Shop.objects.update_or_create(pk=1, defaults={"deposit_locks": True})
    with pytest.raises(StageError, match="no work at the forge"):
        move(second, "grind")
    move(first, "scrapped", reason="crack")  # leaving the bench needs no money
    pay(order, "357.00")
    move(second, "grind")


def test_unpaid_knife_is_handed_over_only_for_a_reason_that_is_kept():
    order = bought()
    knife = order.knives.get()
    stand_at(knife, "sharpen")
    pay(order, "1189.99")
    for reason in ("", "   "):
        with pytest.raises(StageError, match="not paid in full") as refused:
            move(knife, "delivered", reason=reason)
        assert refused.value.field == "reason"
    move(knife, "delivered", reason="A friend of the house")
    assert StageEvent.objects.last().reason == "A friend of the house"


def test_paid_knife_and_one_nothing_was_agreed_for_go_out_without_a_reason():
    order = bought()
    pay(order, "1190.00")
    other = OrderFactory(knives=1, accepted=True)
    for knife in (order.knives.get(), other.knives.get()):
        stand_at(knife, "sharpen")
        move(knife, "delivered")
    assert set(Order.objects.values_list("state", flat=True)) == {"delivered"}


# --- paid back --------------------------------------------------------------------


def test_money_paid_back_counts_against_what_was_received():
    order = bought("1190.00", "357.00")
    whole = pay(order, "500.00")
    with pytest.raises(StageError, match="No more can be paid back") as refused:
        pay(order, "500.01", back=True, sure=True)
    assert refused.value.field == "amount"
    back = pay(order, "200.00", back=True)
    assert payments.received(order) == Decimal("300.00")
    assert payments.deposit_missing(order) == Decimal("57.00")
    with pytest.raises(DoubtfulError, match="entered already"):
        pay(order, "200.00", back=True)
    with pytest.raises(StageError, match="No more can be paid back"):
        pay(order, "300.01", back=True, sure=True)
    with pytest.raises(StageError, match="take that entry back first"):
        payments.take_back(whole, by=None, at=timezone.now())
    payments.take_back(back, by=None, at=timezone.now())
    payments.take_back(whole, by=None, at=timezone.now())
    assert payments.received(order) == 0


# --- tax in it --------------------------------------------------------------------


def test_tax_of_parts_is_that_of_the_whole():
    """Law: taxes of payments that make up a price add up to its tax, to the cent."""
    for tax, rate, taxes in (
        ("190.00", "19.00", None),
        ("188.11", "19.00", [{"percent": "19.00"}, {"percent": "7.00"}]),
        ("0.00", "0.00", None),
    ):
        kind = {"taxes": taxes} if taxes else {}
        whole = bought_of(bought("1190.00", tax=tax, rate=rate, **kind))
        for parts in (["357.00", "833.00"], ["0.01"] * 7 + ["33.33", "1156.60"]):
            paid, found = Decimal(0), Decimal(0)
            for part in map(Decimal, parts):
                found += whole.tax_between(paid, part)
                paid += part
            assert paid == whole.gross
            assert found == whole.tax


def test_tax_of_a_deposit_is_that_on_the_quote():
    """Tax within 357.00 at 19 %: 357 x 19 / 119 = 57.00, worked by hand."""
    whole = bought_of(bought("1190.00"))
    assert whole.tax_between(Decimal(0), Decimal("357.00")) == Decimal("57.00")
