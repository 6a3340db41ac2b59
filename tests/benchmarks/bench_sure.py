"""How fast a billet's sureness is. Not collected by a plain test run; call it by name:

    .venv/bin/python -m pytest tests/benchmarks/bench_sure.py --benchmark-only -s

Figures to reach on a quiet machine with two cores: the whole page 150 ms, stack for a
chance with 4,000 draws 150 ms.
"""

import pytest

from billets.models import Equipment
from billets.physics.chances import CHANCES, cheapest_length, stack_for
from billets.physics.drivers import drivers
from billets.physics.equipment import Tool
from billets.physics.fit import Target
from billets.physics.sure import needs_of, stack_with
from tests.billets.physics.plans import MM, worked_case
from tests.quotes.orders import ready_order, ready_shop

TONNE = 9806.65
TOOLS = {"told": Tool(), "7 t": Tool(force=7 * TONNE), "25 t": Tool(force=25 * TONNE)}
TARGETS = [Target(label="knife", needed=0.8, length=150 * MM)]


def all_of_it(plan):
    needs = needs_of(plan, TARGETS, seed=1)
    stacks = [stack_for(needs, chance) for chance in CHANCES]
    length = cheapest_length(needs, short=300.0, per_mass=40.0)
    return stacks, stack_with(needs, length)


def median(benchmark, what):
    taken = benchmark.stats["median"]
    print(f"\n{what}: {1000 * taken:.0f} ms")
    return taken


@pytest.mark.parametrize("tool", list(TOOLS))
def test_needed_lengths_of_four_thousand_draws(benchmark, tool):
    benchmark(needs_of, worked_case(tool=TOOLS[tool]), TARGETS, seed=1)
    median(benchmark, f"needed lengths, {tool}")


@pytest.mark.parametrize("tool", list(TOOLS))
def test_four_chances_and_the_cheapest(benchmark, tool):
    benchmark(all_of_it, worked_case(tool=TOOLS[tool]))
    median(benchmark, f"four chances and the cheapest, {tool}")


def test_what_makes_it_uncertain(benchmark):
    benchmark(drivers, worked_case(), seed=1)
    median(benchmark, "what makes it uncertain")


@pytest.mark.django_db
@pytest.mark.parametrize("force", [None, 7 * TONNE, 25 * TONNE])
def test_whole_page(benchmark, owner_client, force):
    ready_shop()
    plan = ready_order("One", "Other").knives.first().target.plan
    Equipment.objects.filter(kind="press").update(force=force)
    address = f"/billets/{plan.pk}/sure/"
    owner_client.get(address)
    answer = benchmark(owner_client.get, address)
    assert answer.status_code == 200
    assert answer.context["cheapest"]
    taken = median(benchmark, f"whole page, press of {force or 0:.0f} N")
    assert taken <= 0.150
