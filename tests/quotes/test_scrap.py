"""The chain of failures: worked examples, an independent solution, a simulation."""

import itertools
import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.errors import QuoteError
from quotes.scrap import (
    chain,
    expected,
    expected_by_stage,
    first_order,
    line_yield,
    share,
)

# A knife in seven stages (practice values, no source): billet, forge, harden, grind,
# etch, handle, finish; a bad etch, handle or finish is done again where it happened.
COSTS = [Decimal(cost) for cost in (260, 110, 70, 260, 90, 190, 80)]
GOOD = [Decimal(q) for q in ("0.92", "0.97", "0.94", "0.98", "0.99", "0.98", "0.995")]
RESTARTS = [0, 0, 0, 0, 4, 5, 5]


def test_line_yield_of_three_stations():
    """Training example, common practice, no source: 0.95 x 0.84 x 0.88 = 0.70."""
    three = chain([Decimal("0.95"), Decimal("0.84"), Decimal("0.88")], [0, 0, 0])
    assert float(line_yield(three)) == pytest.approx(0.70, abs=0.005)


def test_pieces_to_start_for_3500_good_ones():
    """Exercise, common practice, no source: 84.8 % of 4,129 started pieces are good."""
    three = chain([Decimal("0.95"), Decimal("0.92"), Decimal("0.97")], [0, 0, 0])
    assert float(line_yield(three)) == pytest.approx(0.848, rel=5e-4)
    assert math.ceil(3500 / line_yield(three)) == 4129


def test_cost_of_a_good_piece_with_one_inspection_or_three():
    """The same exercise: steps of 35, 15 and 20, an inspection 0.50."""
    good = [Decimal("0.95"), Decimal("0.92"), Decimal("0.97")]
    steps, look = [Decimal(35), Decimal(15), Decimal(20)], Decimal("0.50")
    each = chain(good, [0, 0, 0])
    at_end = [Decimal(1), Decimal(1), line_yield(each)]
    once = expected([*steps[:2], steps[2] + look], chain(at_end, [0, 0, 0]))
    assert float(once) == pytest.approx(83.158, abs=1e-3)
    assert float(expected([s + look for s in steps], each)) == pytest.approx(
        80.377, abs=1e-3
    )


def test_knife_in_seven_stages():
    """Practice values, no source; formulas of Kemeny and Snell 1960, from memory."""
    full, partial = chain(GOOD, [0] * 7), chain(GOOD, RESTARTS)
    assert sum(COSTS) == 1060
    assert float(expected(COSTS, full)) == pytest.approx(1177.17, abs=5e-3)
    assert float(expected(COSTS, partial)) == pytest.approx(1146.83, abs=5e-3)
    assert float(share(COSTS, full)) == pytest.approx(0.1105, abs=5e-5)
    assert float(share(COSTS, partial)) == pytest.approx(0.0819, abs=5e-5)
    assert float(first_order(COSTS, full)) == pytest.approx(105.10, abs=5e-3)
    assert float(line_yield(full)) == pytest.approx(0.794, abs=5e-4)


def test_chain_agrees_with_the_floor_sum_of_single_losses():
    """Makers' rule E = C + sum(p K)/(1 - P), common practice, no source: 1,079.65.

    Its chances are of all attempts: 5 % are lost forging, 5 % grinding, 4 % in
    hardening, at 300, 550 and 650 spent of 1,000.
    """
    left = [Decimal(1), Decimal("0.95"), Decimal("0.90"), Decimal("0.86")]
    good = [b / a for a, b in itertools.pairwise(left)]
    costs = [Decimal(300), Decimal(250), Decimal(100), Decimal(350)]
    whole = expected(costs, chain([*good, Decimal(1)], [0] * 4))
    assert float(whole) == pytest.approx(1079.65, abs=5e-3)


def test_chain_agrees_with_walking_it():
    """20,000 simulated knives, within three standard errors."""
    generator = np.random.default_rng(7)
    costs, good = [float(c) for c in COSTS], [float(q) for q in GOOD]
    spent = np.array([walk(generator, costs, good) for _ in range(20_000)])
    error = spent.std() / math.sqrt(spent.size)
    assert spent.mean() == pytest.approx(1146.83, abs=3 * error)


def walk(generator, costs, good):
    """Make one knife, starting again where the chain says so; return what it cost."""
    place, spent = 0, 0.0
    while place < len(costs):
        spent += costs[place]
        place = place + 1 if generator.random() < good[place] else RESTARTS[place]
    return spent


CHANCE = st.integers(1, 100).map(lambda percent: Decimal(percent) / 100)
STAGE = st.tuples(st.integers(0, 500).map(Decimal), CHANCE, st.integers(0, 9))


@settings(max_examples=200, deadline=None, database=None)
@given(stages=st.lists(STAGE, min_size=1, max_size=8))
def test_chain_solves_the_linear_system(stages):
    """V_i = c_i + q_i V_(i+1) + (1 - q_i) V_r(i), solved by numpy."""
    costs = [cost for cost, _, _ in stages]
    links = chain(
        [good for _, good, _ in stages],
        [min(back, place) for place, (_, _, back) in enumerate(stages)],
    )
    count = len(links)
    matrix = np.eye(count)
    for place, link in enumerate(links):
        if place + 1 < count:
            matrix[place, place + 1] -= float(link.success)
        matrix[place, link.restart] -= 1 - float(link.success)
    values = np.linalg.solve(matrix, [float(cost) for cost in costs])
    assert float(expected(costs, links)) == pytest.approx(values[0], rel=1e-6, abs=1e-6)


def test_nothing_fails_means_nominal_cost():
    sure = chain([Decimal(1)] * 7, RESTARTS)
    assert expected_by_stage(COSTS, sure) == tuple(COSTS)
    assert share(COSTS, sure) == 0


def test_restarting_earlier_is_never_cheaper_than_mending():
    own = [0, 1, 2, 3, 4, 5, 6]
    mended, partial, full = (
        expected(COSTS, chain(GOOD, back)) for back in (own, RESTARTS, [0] * 7)
    )
    assert sum(COSTS) < mended < partial < full


@pytest.mark.parametrize("success", ["0", "-0.1", "1.01"])
def test_an_impossible_chance_is_refused(success):
    with pytest.raises(QuoteError) as refused:
        chain([Decimal(success)], [0])
    assert refused.value.field == "success"


@pytest.mark.parametrize("restart", [1, -1])
def test_a_failure_cannot_start_again_later(restart):
    with pytest.raises(QuoteError) as refused:
        chain([Decimal("0.9")], [restart])
    assert refused.value.field == "restart"
