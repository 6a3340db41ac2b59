"""How fast the plan is. Not collected by a plain test run; call it by name:

    .venv/bin/python -m pytest tests/benchmarks/bench_plan.py --benchmark-only

Figures to reach on a quiet machine with two cores: plain plan of three welds 1 ms,
4,000 draws 10 ms (on a press of known force too) and at least 200 times faster than one
by one, median fit 20 ms, fit for a chance with 4,000 draws 150 ms.
"""

from dataclasses import fields, replace
from time import perf_counter

import numpy as np
import pytest

from billets.physics.equipment import Tool
from billets.physics.factors import PRIORS, Factors, sample
from billets.physics.fit import Target, fit_length, fit_pieces, start_length
from billets.physics.plan import run_plan
from billets.physics.uncertainty import sample_plan
from tests.billets.physics.plans import MM, worked_case

PLAN = worked_case()
DRAWS = 4000
FACTORS = sample(PRIORS, np.random.default_rng(1), DRAWS)
SAMPLED = replace(PLAN, factors=FACTORS)
PRESSED = worked_case(tool=Tool(force=157e3))  # about 16 t
TARGETS = [Target(label="knife", needed=0.35, length=150 * MM)]


def test_plain_plan(benchmark):
    benchmark(run_plan, PLAN)
    assert benchmark.stats["median"] <= 1e-3


def test_plan_of_four_thousand_draws(benchmark):
    benchmark(run_plan, SAMPLED)
    assert benchmark.stats["median"] <= 10e-3


def test_plain_plan_on_a_press(benchmark):
    benchmark(run_plan, PRESSED)
    assert benchmark.stats["median"] <= 1.5e-3


def test_plan_of_four_thousand_draws_on_a_press(benchmark):
    benchmark(run_plan, replace(PRESSED, factors=FACTORS))
    assert benchmark.stats["median"] <= 10e-3


def test_sampled_plan_with_bands(benchmark):
    benchmark(sample_plan, PLAN, PRIORS, 1, DRAWS)


def test_draws_in_one_batch_against_one_by_one(benchmark):
    drawn = [
        replace(
            FACTORS,
            **{one.name: float(getattr(FACTORS, one.name)[draw])
               for one in fields(Factors)},
        )
        for draw in range(400)
    ]  # fmt: skip
    started = perf_counter()
    for factors in drawn:
        run_plan(replace(PLAN, factors=factors))
    one_by_one = (perf_counter() - started) / len(drawn) * DRAWS
    benchmark(run_plan, SAMPLED)
    ratio = one_by_one / benchmark.stats["median"]
    benchmark.extra_info["times faster"] = round(ratio)
    assert ratio >= 200


def test_median_fit(benchmark):
    benchmark(start_length, PLAN, 0.5)
    assert benchmark.stats["median"] <= 20e-3


def test_fit_for_a_chance(benchmark):
    benchmark(fit_length, PLAN, TARGETS, seed=1, draws=DRAWS)
    assert benchmark.stats["median"] <= 150e-3


@pytest.mark.parametrize("needed", [0.35, 1.2])
def test_fit_in_pieces(benchmark, needed):
    targets = [replace(TARGETS[0], needed=needed)]
    benchmark(fit_pieces, PLAN, targets, seed=1, draws=DRAWS)
    assert benchmark.stats["median"] <= 150e-3
