"""Do the table of orders and an order's page stay quick when the shop grows?

Run apart: pytest tests/benchmarks/bench_pages.py -s. Both sizes are measured in one
run, and what counts is the ratio of their 95th percentiles (at most 1.5).
"""

import datetime as dt
import statistics
import time

import pytest

from shop.models import Order
from tests.factories import KnifeFactory

SMALL, LARGE = 1_000, 100_000
TRIES = 60
FLOOR = 0.020  # below this a ratio is noise [s]
STATES = ("accepted", "delivered", "declined", "cancelled")


def fill(customer, count):
    have = Order.objects.count()
    monday = dt.date(2025, 1, 6)
    Order.objects.bulk_create(
        (
            Order(
                number=f"20-{number:07d}",
                customer=customer,
                state=STATES[number % 4] if number % 40 else "quoted",
                promised_week=monday + dt.timedelta(weeks=number % 90),
                folded=f"20-{number:07d} {customer.folded}",
            )
            for number in range(have, count)
        ),
        batch_size=5_000,
    )


def ninety_fifth(client, address):
    taken = []
    for _ in range(TRIES):
        begun = time.perf_counter()
        assert client.get(address).status_code == 200
        taken.append(time.perf_counter() - begun)
    return statistics.quantiles(taken, n=20)[-1]


@pytest.mark.django_db
def test_pages_stay_quick_as_the_shop_grows(owner_client):
    order = KnifeFactory().order
    pages = ("/orders/", f"/orders/{order.number}/", "/")
    times = {}
    for count in (SMALL, LARGE):
        fill(order.customer, count)
        for address in pages:
            owner_client.get(address)
            times[count, address] = ninety_fifth(owner_client, address)
    for address in pages:
        small, large = (max(FLOOR, times[count, address]) for count in (SMALL, LARGE))
        figures = f"{small * 1000:.1f} ms, {large * 1000:.1f} ms"
        print(f"\n{address}: {figures}, ratio {large / small:.2f}")
        assert large / small <= 1.5
