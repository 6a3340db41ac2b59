"""A plan under all that is uncertain about it."""

import numpy as np
import pytest

from billets.physics.factors import PRIORS, FactorBelief
from billets.physics.plan import run_plan
from billets.physics.uncertainty import TOTALS, sample_plan
from tests.billets.physics.plans import worked_case

SAMPLED = sample_plan(worked_case(), PRIORS, seed=11)


def test_pinned_spread_of_the_worked_case():
    """Pinned: retained share of the clean bar, shop's spread only, 4000 draws."""
    retained = SAMPLED.result.retained
    assert np.median(retained) == pytest.approx(0.427, abs=0.010)
    assert np.std(retained) == pytest.approx(0.104, abs=0.010)


def test_pinned_quantiles_of_the_worked_case():
    """Pinned, looser: told to two digits."""
    told = {0.05: 0.24, 0.10: 0.28, 0.25: 0.35, 0.75: 0.50, 0.90: 0.55, 0.95: 0.58}
    found = np.quantile(SAMPLED.result.retained, list(told))
    assert found == pytest.approx(list(told.values()), abs=0.015)


def test_told_case_is_not_surprising():
    """Common practice, no source, not blind: 0.47 kept lies inside the band."""
    band = SAMPLED.totals["retained"]
    assert band.low < 0.47 < band.high


def test_bands_are_quantiles_of_the_draws():
    for step, band in zip(SAMPLED.result.steps, SAMPLED.steps, strict=True):
        low, middle, high = np.quantile(step.mass, [0.1, 0.5, 0.9])
        assert (band.mass.low, band.mass.middle, band.mass.high) == pytest.approx(
            (low, middle, high)
        )
        assert (band.kind, band.number) == (step.kind, step.number)
    assert set(SAMPLED.totals) == set(TOTALS)


def test_bands_widen_from_step_to_step():
    """The start is weighed; what comes later is less and less certain."""
    shares = [
        (band.mass.high - band.mass.low) / band.mass.middle for band in SAMPLED.steps
    ]
    assert shares[0] == 0
    assert shares[-1] == max(shares)


def test_chance_falls_from_one_to_nothing():
    needs = [0.0, 0.3, 0.6, 0.9, 1.2, 2.0]
    chances = [SAMPLED.chance(need) for need in needs]
    assert chances == sorted(chances, reverse=True)
    assert (chances[0], chances[-1]) == (1.0, 0.0)


def test_one_seed_gives_one_result():
    again = sample_plan(worked_case(), PRIORS, 11)
    other = sample_plan(worked_case(), PRIORS, 12)
    assert np.array_equal(again.result.clean_mass, SAMPLED.result.clean_mass)
    assert not np.array_equal(other.result.clean_mass, SAMPLED.result.clean_mass)


def test_shop_that_knows_itself_exactly_gets_its_plain_plan():
    """Limiting case: no spread but the heats of a weld, which are never known."""
    sure = {name: FactorBelief(one.median, 0.0) for name, one in PRIORS.items()}
    sampled = sample_plan(worked_case(), sure, seed=1, draws=400)
    planned = sampled.result.heats == 22
    plain = run_plan(worked_case())
    assert planned.any()
    steps = sampled.result.steps
    as_planned = np.all([steps[one].heats == 3 for one in (1, 6, 11)], axis=0)
    assert sampled.result.clean_mass[as_planned] == pytest.approx(plain.clean_mass)
