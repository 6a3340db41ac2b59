"""When work is done: the closed form, its normal approximation, and their laws."""

import math

import numpy as np
import pytest

from billets.physics.errors import PlanError
from shop.schedule import (
    Workload,
    chance_within,
    weeks_for,
    weeks_needed,
)

PROMISED = Workload(hours=152, hours_spread=6, week=24, week_spread=5)


def test_promise_of_seven_weeks_is_kept_with_the_chance_of_the_closed_form():
    """Derived: Phi((7 x 24 - 152)/sqrt(6^2 + 7 x 5^2)), row 20 of the trade's checks
    of costs (common practice, no source; by hand from a table of the normal, 1.1015).
    """
    assert chance_within(PROMISED, 7) == pytest.approx(0.8647, abs=0.0001)
    by_hand = (7 * 24 - 152) / math.sqrt(6**2 + 7 * 5**2)
    assert by_hand == pytest.approx(1.1015, abs=0.0001)


def test_weeks_needed_are_those_of_the_normal_approximation():
    """Derived, row 20 of the trade's checks of costs: mean 6.33, sd 0.581, one chance
    in five and in ten left at 6.82 and 7.08 weeks."""
    needed = weeks_needed(PROMISED)
    assert needed.mean == pytest.approx(6.33, abs=0.005)
    assert needed.spread == pytest.approx(0.581, abs=0.0005)
    assert needed.within(0.8) == pytest.approx(6.82, abs=0.005)
    assert needed.within(0.9) == pytest.approx(7.08, abs=0.005)


def test_closed_form_agrees_with_weeks_drawn_by_chance():
    """Law: the share of simulated shops that are done after n weeks."""
    draw, shops = np.random.default_rng(5), 200_000
    hours = draw.normal(90, 8, shops)
    done = draw.normal(27, 7, (4, shops)).sum(axis=0)
    load = Workload(hours=90, hours_spread=8, week=27, week_spread=7)
    assert chance_within(load, 4) == pytest.approx(np.mean(done >= hours), abs=0.004)


def test_simulated_time_lies_where_the_approximation_says():
    """Simulated mean 6.35, P80 6.83, P90 7.11 (derived, row 20): weeks run through
    evenly, the one in which the hours run out counted in part."""
    draw, shops = np.random.default_rng(11), 50_000
    hours = draw.normal(152, 6, shops)
    worked = np.cumsum(draw.normal(24, 5, (16, shops)), axis=0)
    full = (worked < hours).sum(axis=0)
    before = np.where(full > 0, worked[np.maximum(full - 1, 0), range(shops)], 0.0)
    last = worked[full, range(shops)] - before
    taken = full + (hours - before) / last
    needed = weeks_needed(PROMISED)
    assert needed.mean == pytest.approx(np.mean(taken), abs=0.04)
    assert needed.within(0.8) == pytest.approx(np.quantile(taken, 0.8), abs=0.05)
    assert needed.within(0.9) == pytest.approx(np.quantile(taken, 0.9), abs=0.05)


def test_chance_rises_with_time_and_falls_with_work():
    chances = [chance_within(PROMISED, weeks) for weeks in range(15)]
    assert chances == sorted(chances)
    assert chances[0] == 0.0
    more = Workload(hours=170, hours_spread=6, week=24, week_spread=5)
    assert chance_within(more, 7) < chance_within(PROMISED, 7)


def test_an_even_chance_is_given_by_the_time_the_means_say():
    load = Workload(hours=100, hours_spread=9, week=25, week_spread=4)
    assert chance_within(load, 4) == pytest.approx(0.5)
    assert weeks_needed(load).within(0.5) == pytest.approx(4.0)


@pytest.mark.parametrize("chance", [0.5, 0.8, 0.95])
def test_whole_weeks_are_the_first_that_suffice(chance):
    weeks = weeks_for(PROMISED, chance)
    assert chance_within(PROMISED, weeks) >= chance
    assert chance_within(PROMISED, weeks - 1) < chance


def test_what_is_left_of_a_week_counts_beside_the_whole_ones():
    sure = Workload(hours=60, hours_spread=0, week=25, week_spread=0)
    assert weeks_for(sure, 0.8) == 3
    assert weeks_for(sure, 0.8, left=0.5) == 2


def test_a_shop_without_surprises_is_done_to_the_week():
    sure = Workload(hours=75, hours_spread=0, week=25, week_spread=0)
    assert [chance_within(sure, weeks) for weeks in (2, 3)] == [0.0, 1.0]
    assert weeks_for(sure, 0.8) == 3
    assert weeks_needed(sure).within(0.9) == 3.0


def test_nothing_ahead_is_done_at_once():
    free = Workload(hours=0, hours_spread=0, week=25, week_spread=5)
    assert weeks_for(free, 0.8) == 0


def test_work_for_ever_has_no_week():
    endless = Workload(hours=1e6, hours_spread=0, week=1, week_spread=0)
    assert weeks_for(endless, 0.8) is None


@pytest.mark.parametrize("week", [0, -3, math.nan])
def test_a_week_without_hours_is_refused(week):
    with pytest.raises(PlanError, match="above zero") as refused:
        Workload(hours=10, hours_spread=1, week=week, week_spread=0)
    assert refused.value.field == "bench_week"
