"""What is believed about a shop, and what weighing teaches."""

import numpy as np
import pytest

from billets.physics.calibration import OBSERVED_SPREAD, learnt, observed_factor
from billets.physics.errors import PlanError
from billets.physics.factors import (
    PRIORS,
    FactorBelief,
    Factors,
    medians,
    sample,
)


def drawn(draws=20_000, seed=7, **given):
    return sample(PRIORS, np.random.default_rng(seed), draws, **given)


def test_medians_are_the_factors_of_a_plain_plan():
    assert medians() == Factors()


@pytest.mark.parametrize("name", list(PRIORS))
def test_drawn_factors_are_lognormal(name):
    """Law of large numbers: median and spread of the logarithm come out."""
    logs = np.log(getattr(drawn(), name))
    assert np.median(logs) == pytest.approx(np.log(PRIORS[name].median), abs=0.02)
    assert np.std(logs) == pytest.approx(PRIORS[name].ln_sd, rel=0.03)


def test_welds_take_two_three_three_or_four_heats():
    """Makers' reports of three passes; common practice, no source."""
    offsets, counts = np.unique(drawn().weld_heats, return_counts=True)
    assert list(offsets) == [-1, 0, 1]
    assert counts / 20_000 == pytest.approx([0.25, 0.5, 0.25], abs=0.02)


def test_one_seed_gives_one_plan_whatever_the_order_of_beliefs():
    backwards = dict(reversed(PRIORS.items()))
    again = sample(backwards, np.random.default_rng(7), 20_000)
    assert np.array_equal(again.grind, drawn().grind)


def test_forecast_never_narrower_than_one_billet_scatters():
    sure = {"grind": FactorBelief(1.0, 0.01, 0.20)}
    factors = sample(sure, np.random.default_rng(1), 20_000)
    assert np.std(np.log(factors.grind)) == pytest.approx(0.20, rel=0.03)


def test_billet_scatter_adds_in_squares():
    belief = FactorBelief(1.0, 0.3, 0.4)
    assert belief.spread(with_billet_scatter=True) == pytest.approx(0.5)


def test_no_draws_are_refused():
    with pytest.raises(PlanError) as refused:
        drawn(draws=0)
    assert refused.value.field == "draws"


def test_one_weighed_weld_moves_the_scale_strength():
    """Bayes for two normals: 71.74 g foretold, 50 g weighed."""
    observed = observed_factor(0.8, 0.050, 0.07174)
    assert observed == pytest.approx(0.5576, abs=1e-3)
    spread = OBSERVED_SPREAD["scale_strength"]
    after = learnt(PRIORS["scale_strength"], observed, spread)
    assert after.median == pytest.approx(0.6231, abs=1e-3)
    assert after.ln_sd == pytest.approx(0.2496, abs=1e-3)


@pytest.mark.parametrize("lost", [-0.010, 0.0, 0.300])
def test_absurd_weigh_ins_teach_nothing(lost):
    """Flux stuck, wrong piece, can still on: below zero or over four times."""
    with pytest.raises(PlanError) as refused:
        observed_factor(0.8, lost, 0.070)
    assert refused.value.field == "lost"
