"""Failures and hours by chance: worked examples, scipy and a walk step by step."""

import math
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from quotes import scrap
from quotes.errors import QuoteError
from quotes.pert import ThreePoint
from quotes.rates import shipped_rates
from quotes.risk import LEVELS
from quotes.risks.chance import (
    DRAWS,
    Chance,
    Spread,
    chance_of,
    even_spread,
    spread_of,
)
from shop.learning import Forecast
from tests.quotes.test_scrap import COSTS, GOOD, RESTARTS, STAGE

MANY = 100_000
"""Draws where a figure is held against one from outside."""

# --- failures -----------------------------------------------------------------------


def walked(links, draws=MANY, seed=1):
    return scrap.passes(links, draws, np.random.default_rng(seed))


def test_knife_in_seven_stages_made_by_chance():
    """Practice values, no source: nominal 1,060, expected 1,146.83, P90 1,430."""
    links = scrap.chain(GOOD, RESTARTS)
    spent = np.array([float(one) for one in COSTS]) @ walked(links)
    assert spent.min() == sum(COSTS) == 1060
    error = spent.std() / math.sqrt(MANY)
    assert spent.mean() == pytest.approx(1146.83, abs=3 * error)
    assert np.quantile(spent, 0.9) == 1430


def test_all_failures_start_at_the_first_stage():
    """Makers' rule E = C + sum(p K)/(1 - P), common practice, no source: 1,079.65.

    It is exact where every loss starts at the first stage and its chances are of all
    attempts: 5, 5 and 4 % lost at 300, 550 and 650 spent of 1,000.
    """
    good = [Decimal(95) / 100, Decimal(90) / 95, Decimal(86) / 90, Decimal(1)]
    spent = np.array([300.0, 250.0, 100.0, 350.0]) @ walked(scrap.chain(good, [0] * 4))
    error = spent.std() / math.sqrt(MANY)
    assert spent.mean() == pytest.approx(1079.65, abs=3 * error)


def test_passes_of_one_stage_are_geometric():
    """Textbook identity, against scipy."""
    (count,) = walked(scrap.chain([Decimal("0.7")], [0]))
    for passes in range(1, 5):
        expected = stats.geom.pmf(passes, 0.7)
        assert np.mean(count == passes) == pytest.approx(expected, abs=0.005)


def test_passes_agree_with_walking_knives_one_by_one():
    """The joint count of every stage, and not its mean alone: a walk step by step."""
    generator, good = np.random.default_rng(3), [0.7, 0.8, 0.6, 0.9]
    restarts = [0, 0, 1, 3]
    by_hand = np.zeros((4, 10_000))
    for draw in range(10_000):
        place = 0
        while place < 4:
            by_hand[place, draw] += 1
            fine = generator.random() < good[place]
            place = place + 1 if fine else restarts[place]
    links = scrap.chain([Decimal(str(one)) for one in good], restarts)
    costs = np.array([5.0, 3.0, 11.0, 2.0])
    one, other = costs @ by_hand, costs @ walked(links)
    levels = (0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
    assert np.quantile(one, levels) == pytest.approx(
        np.quantile(other, levels), rel=0.05
    )
    assert stats.ks_2samp(one, other).pvalue > 0.001


@settings(max_examples=100, deadline=None, database=None)
@given(rows=st.lists(STAGE, min_size=1, max_size=8))
def test_expected_passes_cost_what_the_chain_expects(rows):
    """Law: the same walk counted by stage and by cost."""
    costs = [cost for cost, _, _ in rows]
    links = scrap.chain(
        [good for _, good, _ in rows],
        [min(back, place) for place, (_, _, back) in enumerate(rows)],
    )
    by_stage = zip(costs, scrap.expected_passes(links), strict=True)
    assert float(sum(one * count for one, count in by_stage)) == pytest.approx(
        float(scrap.expected(costs, links))
    )


# --- hours --------------------------------------------------------------------------


def test_three_points_by_the_beta_distribution():
    """2, 4, 9 h (R. Davis): scipy's beta has P80 5.626, and our lognormal is near."""
    three = ThreePoint(least=Decimal(2), likely=Decimal(4), most=Decimal(9))
    first, second = map(float, three.beta_shapes)
    assert stats.beta(first, second, loc=2, scale=7).ppf(0.8) == pytest.approx(
        5.626, abs=1e-3
    )
    drawn = 4.5 * spread_of(shipped_rates(), "billet").draw(
        np.random.default_rng(5), MANY
    )
    assert drawn.mean() == pytest.approx(4.5, rel=0.005)
    assert drawn.var() == pytest.approx(1.6071, rel=0.03)
    assert np.quantile(drawn, 0.8) == pytest.approx(5.626, rel=0.04)


@pytest.mark.parametrize("log_sd", [0.08, 0.15, 0.30])
def test_an_even_spread_is_the_lognormal_of_mean_one(log_sd):
    """Textbook identities, against scipy: exp(mu + s^2/2) is 1."""
    spread = even_spread(log_sd)
    outside = stats.lognorm(spread.scale, scale=math.exp(spread.location))
    assert outside.mean() == pytest.approx(1)
    drawn = spread.draw(np.random.default_rng(2), MANY)
    assert drawn.mean() == pytest.approx(1, abs=4 * log_sd / math.sqrt(MANY))
    for level in LEVELS:
        assert np.quantile(drawn, level) == pytest.approx(outside.ppf(level), rel=0.005)


# A shop that has recorded 5.0, 4.2 and 6.1 h against 4 h told.
LEARNED = Forecast(
    mean=4.685, low=3.147, median=4.490, p80=5.636, high=6.408, location=1.50195,
    scale=0.25712, freedom=9.0, count=3,
)  # fmt: skip


def with_weeks(percent):
    """Rates of a shop that has learned, whose weeks differ by so much; and the draws
    of one row with those of its weeks."""
    told = {**shipped_rates().values, "week_spread": Decimal(percent)}
    shop = replace(shipped_rates(), values=told, learned={"grind": LEARNED})
    chance = chance_of(shop, [], seed=1, draws=DRAWS)
    generator = np.random.default_rng(4)
    own, weeks = (
        one.draw(generator, MANY) for one in (chance.spreads["grind"], chance.weeks)
    )
    return own, weeks


@pytest.mark.parametrize("percent", ["0", "5", "12", "20"])
def test_learned_hours_scatter_as_they_were_learned(percent):
    """Murphy 2007 (from memory), worked example: P80 5.636, P90 6.408 of 4.685 h.

    Good and bad weeks are in what was learned, and not counted a second time.
    """
    own, weeks = with_weeks(percent)
    drawn = 4.685 * own * weeks
    for level, told in ((0.1, 3.147), (0.5, 4.490), (0.8, 5.636), (0.9, 6.408)):
        assert np.quantile(drawn, level) == pytest.approx(told, rel=0.02)


@pytest.mark.parametrize("percent", ["5", "12", "20"])
def test_one_learned_row_has_the_spread_of_its_forecast(percent):
    """Law: variances of independent parts add up; scipy's variance of Student's t."""
    own, weeks = with_weeks(percent)
    outside = stats.t(LEARNED.freedom, loc=LEARNED.location, scale=LEARNED.scale)
    assert np.std(np.log(own * weeks)) == pytest.approx(outside.std(), rel=0.015)
    assert np.mean(own) == pytest.approx(1, abs=0.01)


def test_learned_hours_steadier_than_weeks_leave_the_weeks_alone():
    own, weeks = with_weeks("60")
    assert own == pytest.approx(1.0, abs=1e-3)
    assert np.std(np.log(weeks)) == pytest.approx(0.6, rel=0.01)


# --- refusals -----------------------------------------------------------------------


@pytest.mark.parametrize(
    "numbers", [(math.nan, 0.1, 9.0), (0.0, -0.1, 9.0), (0.0, 0.1, 0.0)]
)
def test_a_spread_that_is_none_is_refused(numbers):
    location, scale, freedom = numbers
    with pytest.raises(QuoteError):
        Spread(location=location, scale=scale, freedom=freedom)


def test_a_chain_that_rarely_ends_is_refused_at_once():
    """No walk is simulated, so nothing can hang; it is still no price."""
    with pytest.raises(QuoteError) as refused:
        Chance(
            links=scrap.chain([Decimal("0.001")] * 6, [0] * 6), spreads={},
            weeks=even_spread(0.1), gas=(), seed=1, draws=DRAWS,
        )  # fmt: skip
    assert refused.value.field == "success"
