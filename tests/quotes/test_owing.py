"""Who owes the shop money, found without reading all the orders of the years."""

import datetime as dt
import random
from decimal import Decimal

import pytest
from django.utils import timezone

from shop import payments, services
from shop.models import Knife, Order, Payment, StageEvent
from shop.owing import _candidates, owing
from tests.factories import CustomerFactory
from tests.quotes.paying import bought, pay, stand_at

pytestmark = pytest.mark.django_db


def move(knife, to, **how):
    services.move_knife(
        Knife.objects.get(pk=knife.pk), to, gate_passed=True, by=None,
        at=timezone.now(), **how,
    )  # fmt: skip


def test_orders_wait_for_the_deposit_then_for_the_balance():
    order, long_ago = bought("1190.00", "357.00"), timezone.now() - dt.timedelta(days=9)
    StageEvent.objects.update(at=long_ago)
    (owed,) = owing()
    told = (owed.what, owed.amount, owed.since)
    assert told == ("deposit", Decimal("357.00"), timezone.localdate(long_ago))
    pay(order, "357.00")
    assert owing() == []  # the balance is not due before the knife is ready
    knife = order.knives.get()
    stand_at(knife, "handle")
    move(knife, "sharpen")
    (owed,) = owing()
    assert (owed.what, owed.amount) == ("balance", Decimal("833.00"))
    assert owed.since == timezone.localdate()
    move(knife, "delivered", reason="on trust")
    (owed,) = owing()
    assert owed.amount == Decimal("833.00")
    pay(order, "833.00")
    assert owing() == []


def test_orders_are_read_in_a_number_of_queries_that_does_not_grow(
    django_assert_num_queries,
):
    for state in ("accepted", "delivered", "cancelled") * 2:
        Order.objects.filter(pk=bought().pk).update(state=state)
    with django_assert_num_queries(4):
        assert len(owing()) == 6


@pytest.mark.parametrize("state", ["delivered", "cancelled"])
def test_order_that_is_over_owes_until_it_is_paid(state):
    order = bought("1190.00", "357.00")
    first = pay(order, "1000.00")
    pay(order, "190.00")
    Order.objects.filter(pk=order.pk).update(state=state)
    assert owing() == []
    payments.take_back(first, by=None, at=timezone.now())
    (owed,) = owing()
    assert (owed.what, owed.amount) == ("balance", Decimal("1000.00"))


# --- those that are over ----------------------------------------------------------


def over(count, *, agreed):
    """Orders handed over, as rows and no more."""
    customer = CustomerFactory()
    start = Order.objects.count()
    return Order.objects.bulk_create(
        Order(
            number=f"19-{start + place:05d}", customer=customer, state="delivered",
            agreed=agreed(place), folded="x",
        )
        for place in range(count)
    )  # fmt: skip


def paid(order, *amounts, **more):
    return [
        Payment(order=order, amount=abs(one), back=one < 0, at=timezone.now(),
                received_on=dt.date(2026, 3, 2), **more)
        for one in amounts
    ]  # fmt: skip


def test_paid_orders_of_the_years_are_not_read():
    """0.1 + 0.1 + 0.1 is no 0.3 among floats (IEEE 754), and is paid all the same."""
    tenth = Decimal("0.100")
    orders = over(300, agreed=lambda place: Decimal("0.300"))
    rows = [row for order in orders for row in paid(order, tenth, tenth, tenth)]
    Payment.objects.bulk_create(rows)
    assert list(_candidates()) == []
    Payment.objects.filter(pk=Payment.objects.last().pk).update(amount="0.099")
    (owed,) = owing()
    assert owed.amount == Decimal("0.001")  # one fils
    assert owed.order == orders[-1]


def test_who_owes_is_found_as_adding_up_exactly_finds_it():
    """Law, over 400 seeded orders: sums of integers, in the smallest coin there is."""
    chance = random.Random(41)
    orders = over(400, agreed=lambda place: Decimal(chance.randint(0, 10**9)) / 1000)
    rows, left = [], {}
    for order in orders:
        coins = int(order.agreed * 1000)
        parts = _parts(chance, coins)
        left[order.number] = coins - sum(parts)
        rows += paid(order, *(Decimal(part) / 1000 for part in parts))
        rows += paid(order, Decimal(7), taken_back=timezone.now())
    Payment.objects.bulk_create(rows)
    found = {one.order.number: int(one.amount * 1000) for one in owing()}
    assert found == {number: coins for number, coins in left.items() if coins > 0}
    assert 50 < len(found) < 350


def _parts(chance, coins):
    """What was paid and paid back: all, a coin less or more, or some of it."""
    whole = coins + chance.choice([0, 0, 0, -1, 1, -coins // 2])
    if whole <= 0:
        return []
    first, back = chance.randint(1, whole), chance.randint(0, 10**6)
    return [part for part in (first, back, whole - first, -back) if part]
