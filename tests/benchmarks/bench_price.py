"""How fast the page of a price is. Not collected by a plain test run; call it by name:

    .venv/bin/python -m pytest tests/benchmarks/bench_price.py -s

Figure to reach on a quiet machine with two cores: page of a price with 4,000 draws,
warm, p95 at most 250 ms.
"""

import time

import numpy as np
import pytest

from quotes.risk import risk
from quotes.risks.chance import DRAWS, chance_of
from tests.quotes.builders import job, knife, rates
from tests.quotes.orders import address, ready_order, ready_shop

REQUESTS = 40


def times(act, count=REQUESTS):
    """Milliseconds of each run, after three to warm up."""
    taken = []
    for run in range(count + 3):
        start = time.perf_counter()
        act()
        if run >= 3:
            taken.append(1000 * (time.perf_counter() - start))
    return taken


def told(what, taken):
    p95 = float(np.quantile(taken, 0.95))
    print(f"\n{what}: median {np.median(taken):.1f} ms, p95 {p95:.1f} ms")
    return p95


@pytest.mark.parametrize("knives", [1, 6])
def test_simulation_of_four_thousand_draws(knives):
    wanted = job(knives=tuple(knife(name=str(one)) for one in range(knives)))
    chance = chance_of(rates(), [np.ones(DRAWS)], seed=1)
    net = wanted.knives[0].needed * 4000
    taken = times(lambda: risk(wanted, rates(), chance, net))
    told(f"risk of {knives} knives", taken)


@pytest.mark.django_db
@pytest.mark.parametrize("names", [("One",), ("One", "Other", "Third")])
def test_page_of_a_price(owner_client, names):
    ready_shop()
    order = ready_order(*names)
    page = address("price", order)
    assert owner_client.get(page).context["risk"].chart
    taken = times(lambda: owner_client.get(page))
    assert told(f"page of a price, {len(names)} knives", taken) <= 250
