"""Three-point estimates against published formulas and scipy."""

import math
from decimal import Decimal

import pytest
from scipy import stats

from quotes.errors import QuoteError
from quotes.pert import ThreePoint, band, lognormal_with


def three(*points):
    least, likely, most = (Decimal(point) for point in points)
    return ThreePoint(least=least, likely=likely, most=most)


def test_mean_and_both_variances_of_2_4_9():
    """R. Davis, San José State University, and scipy's beta distribution."""
    hours = three("2", "4", "9")
    assert hours.mean == Decimal("4.5")
    assert float(hours.classical_variance) == pytest.approx(1.3611, abs=1e-4)
    assert float(hours.beta_variance) == pytest.approx(1.6071, abs=1e-4)


def test_shapes_give_the_quantiles_of_the_beta_distribution():
    """scipy 1.17 for (2, 4, 9); shapes from PERT literature, quoted from memory."""
    hours = three("2", "4", "9")
    shapes = [float(shape) for shape in hours.beta_shapes]
    beta = stats.beta(*shapes, loc=2, scale=7)
    assert beta.mean() == pytest.approx(float(hours.mean), abs=1e-12)
    assert beta.var() == pytest.approx(float(hours.beta_variance), abs=1e-12)
    told = {0.1: 2.904, 0.5: 4.383, 0.8: 5.626, 0.9: 6.273}
    for chance, value in told.items():
        assert beta.ppf(chance) == pytest.approx(value, abs=1e-3)


def test_a_range_of_nothing_is_certain():
    sure = three("3", "3", "3")
    assert (sure.mean, sure.classical_variance, sure.beta_variance) == (3, 0, 0)
    assert sure.beta_shapes == (1, 1)


@pytest.mark.parametrize(
    ("variance", "mu", "sigma"),
    [("classical_variance", 1.6827, 0.2098), ("beta_variance", 1.6789, 0.2275)],
)
def test_lognormal_of_3_5_10(variance, mu, sigma):
    """Moments of the lognormal, textbook identities quoted from memory."""
    hours = three("3", "5", "10")
    spread = lognormal_with(hours.mean, getattr(hours, variance))
    assert (spread.mu, spread.sigma) == pytest.approx((mu, sigma), abs=1e-4)


def test_band_is_scipys():
    """scipy's lognormal with the same moments."""
    hours = three("1", "2", "4")
    spread = lognormal_with(hours.mean, hours.beta_variance)
    outside = stats.lognorm(spread.sigma, scale=math.exp(spread.mu))
    assert outside.mean() == pytest.approx(float(hours.mean))
    assert outside.var() == pytest.approx(float(hours.beta_variance))
    assert band(hours.mean, hours.beta_variance) == pytest.approx(
        (outside.ppf(0.1), outside.ppf(0.9))
    )


def test_band_of_nothing_is_nothing():
    assert band(Decimal(0), Decimal(0)) == (0, 0)


def test_hours_of_the_shipped_rows_add_up():
    """Simulated with independent rows: P90 24.75 (practice values, no source)."""
    rows = [(2, 4, 9), (1, 2, 4), (1, "1.5", 3), (3, 5, 10), (1, 2, 4), (2, 4, 7)]
    points = [three(*row) for row in [*rows, (1, "1.5", 3)]]
    mean = sum(row.mean for row in points)
    classical = sum(row.classical_variance for row in points)
    beta = sum(row.beta_variance for row in points)
    assert float(mean) == pytest.approx(21.8333, abs=1e-4)
    assert float(classical) ** 0.5 == pytest.approx(2.03, abs=0.005)
    assert float(beta) ** 0.5 == pytest.approx(2.23, abs=0.005)
    assert band(mean, beta)[1] == pytest.approx(24.75, abs=0.05)


@pytest.mark.parametrize("points", [("4", "2", "9"), ("2", "9", "4"), ("-1", "2", "3")])
def test_points_that_do_not_rise_are_refused(points):
    with pytest.raises(QuoteError):
        three(*points)
