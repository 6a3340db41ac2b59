"""Hours that learn: worked values, scipy, and laws of the model."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from quotes.pert import ThreePoint
from shop.learning import (
    CALIBRATED,
    Bias,
    LearningError,
    bias,
    chance_within,
    forecast,
    prior,
    student_quantile,
    updated,
)

SPREAD = 0.30
FOUR = prior(4.0 * math.exp(SPREAD**2 / 2), 16.0 * math.exp(SPREAD**2)
             * math.expm1(SPREAD**2), 3)  # fmt: skip
"""Median 4 h, log-spread 0.30, worth three jobs."""
JOBS = [math.log(hours) for hours in (5.0, 4.2, 6.1)]


def test_posterior_of_three_jobs():
    """Murphy, Conjugate Bayesian analysis of the Gaussian, UBC 2007 (from memory)."""
    after = updated(FOUR, JOBS)
    assert (after.worth, after.shape, after.count) == (6, 4.5, 3)
    assert after.centre == pytest.approx(1.50195, abs=1e-4)
    assert after.spread == pytest.approx(0.25500, abs=1e-4)
    made = forecast(after)
    assert made.freedom == 9
    assert made.scale == pytest.approx(0.25712, abs=1e-4)
    told = {"low": 3.147, "median": 4.490, "p80": 5.636, "high": 6.408, "mean": 4.685}
    for name, hours in told.items():
        assert getattr(made, name) == pytest.approx(hours, abs=5e-4), name


def test_prior_alone():
    """Murphy, as above (from memory): six degrees, and what it does not exceed."""
    made = forecast(FOUR)
    assert (FOUR.worth, FOUR.shape) == (3, 3)
    assert (FOUR.centre, FOUR.spread) == pytest.approx((math.log(4), 0.18))
    assert (made.freedom, made.count) == (6, 0)
    assert made.scale == pytest.approx(0.28284, abs=1e-5)
    assert (made.low, made.median, made.p80, made.high) == pytest.approx(
        (2.66, 4.00, 5.17, 6.01), abs=0.005
    )


def test_forecast_is_scipys_student_t():
    """scipy 1.17: quantiles of t, and its variance as scipy has it."""
    made = forecast(updated(FOUR, JOBS))
    outside = stats.t(made.freedom, loc=made.location, scale=made.scale)
    for name, chance in {"low": 0.1, "median": 0.5, "p80": 0.8, "high": 0.9}.items():
        assert getattr(made, name) == pytest.approx(math.exp(outside.ppf(chance)))
    charged = stats.lognorm(outside.std(), scale=math.exp(made.location))
    assert made.mean == pytest.approx(charged.mean())
    assert made.relative_variance == pytest.approx(charged.var() / charged.mean() ** 2)


@pytest.mark.parametrize("freedom", [1, 2, 3, 6, 7, 9, 30, 255, 1006])
def test_student_t_is_scipys(freedom):
    """scipy 1.17, an outside check of the closed form and of its inverse."""
    for angle in (0.0, 0.2, 1.0, 1.5):
        value = math.sqrt(freedom) * math.tan(angle)
        within = 2 * stats.t.cdf(value, freedom) - 1
        assert chance_within(angle, freedom) == pytest.approx(within, abs=1e-12)
    for chance in (0.001, 0.1, 0.5, 0.8, 0.9, 0.975, 0.999):
        assert student_quantile(chance, freedom) == pytest.approx(
            stats.t.ppf(chance, freedom), rel=1e-8, abs=1e-12
        )


def test_printed_table_of_student_t():
    """Printed tables of Student's t, two-sided 5 % (from memory): 2.571, 2.228."""
    assert student_quantile(0.975, 5) == pytest.approx(2.571, abs=5e-4)
    assert student_quantile(0.975, 10) == pytest.approx(2.228, abs=5e-4)


@pytest.mark.parametrize(
    ("variance", "centre", "spread"),
    [("classical_variance", 1.6827, 0.2098), ("beta_variance", 1.6789, 0.2275)],
)
def test_prior_from_three_points(variance, centre, spread):
    """Lognormal with the mean and variance of (3, 5, 10), moments from memory."""
    three = ThreePoint(least=3, likely=5, most=10)
    start = prior(float(three.mean), float(getattr(three, variance)), 3)
    assert start.centre == pytest.approx(centre, abs=1e-4)
    assert math.sqrt(start.spread / 2) == pytest.approx(spread, abs=1e-4)


def test_mean_is_finite_though_that_of_exp_t_is_not():
    """The trap: exp of a Student t has no finite mean, so a sample's never settles.

    The integral of exp(t) f(t) grows without bound as the end moves out, while what
    is charged is the mean of the lognormal with the same centre and variance.
    """
    made = forecast(updated(FOUR, JOBS))
    outside = stats.t(made.freedom, loc=made.location, scale=made.scale)

    def integral(end):
        at = np.linspace(0.0, end, 400_000)
        return np.trapezoid(np.exp(at) * outside.pdf(at), at)

    ends = [integral(end) for end in (10.0, 60.0, 120.0)]
    assert ends[1] > 1e6 * ends[0]
    assert ends[2] > 1e20 * ends[1]
    wide = (1 + 1 / 6) * 0.25500 / 3.5
    assert made.mean == pytest.approx(math.exp(1.50195 + wide / 2), abs=5e-4)
    assert made.mean < made.high


LOGS = st.lists(st.floats(-3, 3), max_size=12)


@given(first=LOGS, second=LOGS, worth=st.floats(2, 5), mean=st.floats(0.1, 20))
def test_all_at_once_is_one_by_one(first, second, worth, mean):
    """Law of conjugate beliefs: order and grouping of what is seen do not matter."""
    start = prior(mean, (0.3 * mean) ** 2, worth)
    together = updated(start, [*first, *second])
    single = start
    for seen in [*second, *first]:
        single = updated(single, [seen])
    in_two = updated(updated(start, first), second)
    for name in ("centre", "worth", "shape", "spread", "count"):
        whole = getattr(together, name)
        assert getattr(single, name) == pytest.approx(whole, rel=1e-9, abs=1e-9)
        assert getattr(in_two, name) == pytest.approx(whole, rel=1e-9, abs=1e-9)


@given(seen=LOGS, mean=st.floats(0.1, 20), factor=st.floats(0.1, 10))
def test_hours_in_another_unit_give_the_same_forecast(seen, mean, factor):
    """Law: minutes are hours times 60, before as after."""
    one = forecast(updated(prior(mean, mean**2 / 10, 3), seen))
    moved = [value + math.log(factor) for value in seen]
    start = prior(mean * factor, (mean * factor) ** 2 / 10, 3)
    other = forecast(updated(start, moved))
    for name in ("mean", "low", "median", "p80", "high"):
        whole = factor * getattr(one, name)
        assert getattr(other, name) == pytest.approx(whole, rel=1e-6)


@given(seen=LOGS)
def test_quantiles_rise_and_the_mean_is_above_the_median(seen):
    made = forecast(updated(FOUR, seen))
    assert made.low < made.median < made.p80 < made.high
    assert made.mean > made.median


def test_many_alike_jobs_outweigh_the_prior():
    """Limit: what a shop does a hundred times is what the next time takes."""
    made = forecast(updated(FOUR, [math.log(7.0)] * 400))
    assert made.median == pytest.approx(7.0, rel=0.01)
    assert made.high / made.low < 1.2


def test_three_points_all_alike_are_believed_to_the_hour():
    made = forecast(prior(2.0, 0.0, 3))
    assert (made.low, made.mean, made.high) == pytest.approx((2.0, 2.0, 2.0))


@pytest.mark.parametrize("worth", [0, 1.9, 5.1, math.inf])
def test_worth_of_three_points_has_limits(worth):
    with pytest.raises(LearningError) as refused:
        prior(4.0, 1.0, worth)
    assert refused.value.field == "hours_worth"


def test_hours_of_nothing_cannot_learn():
    with pytest.raises(LearningError):
        prior(0.0, 0.0, 3)


def test_few_jobs_are_uncalibrated():
    few = forecast(updated(FOUR, JOBS[: CALIBRATED - 1]))
    assert not few.calibrated
    assert forecast(updated(FOUR, JOBS)).calibrated


def test_bias_is_flagged_beyond_two_standard_errors():
    """numpy's mean and standard deviation of a sample; the rule is common practice."""
    ratios = [0.3, 0.2, 0.25, 0.35]
    off = bias(ratios)
    assert (off.mean, off.sd) == pytest.approx(
        (np.mean(ratios), np.std(ratios, ddof=1))
    )
    assert off.flagged
    assert off.factor == pytest.approx(math.exp(0.275))
    assert not bias([0.3, -0.3, 0.25, -0.2]).flagged


def test_one_job_is_no_bias():
    assert bias([1.0]) == Bias(mean=1.0, sd=0.0, count=1)
    assert not bias([1.0]).flagged
    with pytest.raises(LearningError):
        bias([])
