"""The length that costs least when a short billet costs something."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.cheapest import LEAST_CHANCE, Making, cheapest_lengths
from billets.physics.drawn_start import drawn_lump_start
from billets.physics.even_draws import even_draws
from billets.physics.factors import PRIORS, Factors
from billets.physics.start_mass import Demand, lump_start

MM = 1e-3


def making(per_length, fixed=0.0):
    return Making(fixed=np.array([fixed]), per_length=np.array([per_length]))


def lognormal(median, spread, draws, seed=5):
    rng = np.random.default_rng(seed)
    return median * np.exp(spread * rng.standard_normal((1, draws)))


@pytest.mark.parametrize(
    ("median", "spread", "per_length", "short"),
    [(0.412, 0.08246, 60.0, 300.0), (0.412, 0.08246, 120.0, 150.0),
     (0.412, 0.08246, 18.0, 120.0), (0.2, 0.25, 300.0, 250.0)],
)  # fmt: skip
def test_lognormal_need_gives_the_closed_form(median, spread, per_length, short):
    """The lump loss K of a short billet, derived: y^2 + 2 s y + 2 [...] = 0.

    The same formula as `start_mass.lump_start`; within the sampling of 200,000 draws,
    which moves the length more than the cost, that is flat there.
    """
    exact = lump_start(Demand(median=median, log_sd=spread), loss=short,
                       spare=per_length)  # fmt: skip
    found = cheapest_lengths(
        lognormal(median, spread, 200_000), making(per_length), short
    )
    assert found.length[0] == pytest.approx(exact.mass, rel=0.02)
    assert found.chance[0] == pytest.approx(exact.chance, abs=0.004)
    assert found.cost[0] == pytest.approx(exact.cost, rel=0.003)


needs = st.lists(st.floats(0.05, 2.0), min_size=4, max_size=40)


@given(needs, st.floats(1.0, 500.0), st.floats(5.0, 2000.0))
def test_same_as_the_answer_for_one_stack(needed, per_length, short):
    """Two ways to one answer, where the cheaper one is not to be short for sure."""
    table = np.array([needed])
    single = drawn_lump_start(table[0], loss=short, spare=per_length, step=MM)
    found = cheapest_lengths(table, making(per_length), short, chance=1e-9)
    if single is not None:
        assert found.cost[0] == pytest.approx(single.cost)
        assert found.length[0] == pytest.approx(single.mass)
        assert found.chance[0] == pytest.approx(single.chance)


@given(needs, st.floats(1.0, 500.0), st.floats(0.0, 900.0), st.floats(0.0, 900.0))
def test_more_to_lose_never_makes_a_stack_shorter(needed, per_length, one, other):
    table = np.array([needed])
    less, more = (
        cheapest_lengths(table, making(per_length, 40.0), short)
        for short in sorted((one, other))
    )
    assert more.length[0] >= less.length[0]
    assert more.chance[0] >= less.chance[0]
    assert more.cost[0] >= less.cost[0] - 1e-9


@given(needs, st.sampled_from([None, 0.6, 0.8, 0.95]), st.one_of(
    st.none(), st.floats(0.0, 500.0)))  # fmt: skip
def test_length_suffices_as_asked_and_can_be_cut(needed, chance, short):
    table = np.array([needed])
    found = cheapest_lengths(table, making(90.0, 30.0), short, chance)
    length = found.length[0]
    assert round(length / MM) == pytest.approx(length / MM)
    assert found.chance[0] == np.mean(table <= length + 1e-12)
    assert found.chance[0] >= (chance or LEAST_CHANCE) - 1e-12
    made = 30.0 + 90.0 * length
    lost = made if short is None else short
    assert found.cost[0] == pytest.approx(made + lost * (1.0 - found.chance[0]))


def test_draws_that_nothing_helps_stay_short():
    needed = np.array([[0.1, math.inf, 0.2, 0.15], [math.inf] * 4])
    two = Making(fixed=np.zeros(2), per_length=np.full(2, 10.0))
    found = cheapest_lengths(needed, two, 500.0)
    assert found.length.tolist() == [pytest.approx(0.2), math.inf]
    assert found.chance.tolist() == [0.75, 0.0]
    sure = cheapest_lengths(needed, two, 500.0, chance=0.8)
    assert not np.isfinite(sure.length).any()
    assert sure.of(np.array([True, False])).length.shape == (1,)


# --- few draws, evenly ---------------------------------------------------------------


def test_even_draws_take_one_from_every_part():
    """Law: of n equally likely parts of a factor each holds one draw."""
    drawn = even_draws(PRIORS, 11, 20)
    for name, belief in PRIORS.items():
        logs = np.sort(np.log(getattr(drawn, name) / belief.median)) / belief.spread()
        shares = np.array([0.5 * (1.0 + math.erf(z / math.sqrt(2.0))) for z in logs])
        np.testing.assert_allclose(shares, (np.arange(20) + 0.5) / 20, atol=1e-9)
    assert np.unique_counts(drawn.weld_heats).counts.tolist() == [5, 10, 5]


def test_even_draws_come_again_with_their_seed_and_leave_the_rest_alone():
    first, again, other = (even_draws(PRIORS, seed, 8) for seed in (1, 1, 2))
    np.testing.assert_array_equal(first.grind, again.grind)
    assert (first.grind != other.grind).any()
    only = even_draws({"grind": PRIORS["grind"]}, 1, 8)
    assert only.gas == Factors().gas
