"""What makes a billet uncertain: shares of the spread, and one factor at a time."""

from dataclasses import fields, replace
from statistics import NormalDist

import numpy as np
import pytest

from billets.physics.drivers import drivers
from billets.physics.factors import PRIORS, FactorBelief, Factors, medians
from billets.physics.plan import run_plan
from billets.physics.uncertainty import sample_plan
from tests.billets.physics.plans import MM, worked_case

FOUND = drivers(worked_case(), seed=5)
ROWS = {row.name: row for row in FOUND.rows}
TENTH = NormalDist().inv_cdf(0.9)


def kept(name, value):
    """Share kept by the plain plan with one factor set."""
    return run_plan(worked_case(factors=Factors(**{name: value}))).retained


# --- shares of the spread -----------------------------------------------------------


def test_shares_add_up_with_what_only_several_make_together():
    """Law: the variance falls into parts, none of them below nothing."""
    assert sum(row.share for row in FOUND.rows) + FOUND.together == pytest.approx(1.0)
    assert all(row.share >= 0.0 for row in FOUND.rows)
    assert 0.0 <= FOUND.together < 0.15


def test_largest_share_stands_first():
    shares = [row.share for row in FOUND.rows]
    assert shares == sorted(shares, reverse=True)


def test_grinding_and_scale_lead():
    """Common practice, no source: grind depth first, then scale and heats."""
    assert [row.name for row in FOUND.rows[:2]] == ["grind", "scale_strength"]
    heats = ROWS["strain"].share + ROWS["weld_heats"].share
    assert heats > ROWS["edge_grind"].share + ROWS["weld_time"].share


def test_what_takes_no_steel_drives_nothing():
    """Gas, hours and the time of heating do not reach the mass."""
    assert set(ROWS) == {one.name for one in fields(Factors)} - {
        "gas", "hours", "heating_time",
    }  # fmt: skip


def test_share_of_a_factor_is_the_variance_that_vanishes_without_it():
    """Outside the way it is computed: the plan sampled again with that factor known.

    The share alone and the share with all others differ by what only several make
    together.
    """
    whole = sample_plan(worked_case(), PRIORS, seed=5).result.clean_mass.var()
    for name in ("grind", "scale_strength", "trim"):
        known = {**PRIORS, name: FactorBelief(PRIORS[name].median, 0.0)}
        rest = sample_plan(worked_case(), known, seed=6).result.clean_mass.var()
        assert 1.0 - rest / whole == pytest.approx(ROWS[name].share, abs=0.09)


def test_only_uncertain_factor_makes_all_of_the_spread():
    """Limiting case: a shop that knows all but how deep it grinds."""
    sure = {name: FactorBelief(one.median, 0.0) for name, one in PRIORS.items()}
    found = drivers(
        worked_case(heats=1), {**sure, "grind": FactorBelief(1.0, 0.05)}, seed=5
    )
    first, *others = found.rows
    assert first.name == "grind"
    # The heats of a weld are drawn too: of one heat planned, none less can be taken.
    assert [row.name for row in others] == ["weld_heats"]
    assert first.share + others[0].share == pytest.approx(1.0, abs=0.03)


def test_same_seed_gives_the_same_shares():
    assert drivers(worked_case(), seed=5) == FOUND
    assert drivers(worked_case(), seed=6) != FOUND


def test_shares_hardly_hang_on_the_seed():
    others = {row.name: row for row in drivers(worked_case(), seed=99).rows}
    for name, row in ROWS.items():
        assert others[name].share == pytest.approx(row.share, abs=0.05)


# --- one at a time ------------------------------------------------------------------


@pytest.mark.parametrize("name", list(ROWS))
def test_one_at_a_time_is_the_plain_plan_with_that_factor(name):
    """The batch of all ends gives what each gives alone."""
    row = ROWS[name]
    for value, mass in ((row.low, row.at_low), (row.high, row.at_high)):
        factors = replace(medians(), **{name: value})
        alone = run_plan(worked_case(factors=factors)).clean_mass
        assert mass == pytest.approx(alone, rel=1e-12)
    assert FOUND.middle == pytest.approx(run_plan(worked_case()).clean_mass)


def test_ends_are_exceeded_one_time_in_ten():
    """Lognormal: the median times e to the 1.28 spreads either way."""
    for name in ("grind", "scale_strength", "trim", "strain"):
        belief, row = PRIORS[name], ROWS[name]
        reach = np.exp(TENTH * belief.ln_sd)
        assert row.low == pytest.approx(belief.median / reach)
        assert row.high == pytest.approx(belief.median * reach)
    assert (ROWS["weld_heats"].low, ROWS["weld_heats"].high) == (-1.0, 1.0)


def test_pinned_sensitivities_of_the_worked_case():
    """Pinned, common practice: share kept with one factor changed at a time.

    Strength of scale 0.4 and 1.6, grinding half and double, time at welding heat
    half and double; here with spreads whose tenths lie just there.
    """
    twice = np.log(2.0) / TENTH
    beliefs = {
        **PRIORS,
        "scale_strength": FactorBelief(0.8, twice),
        "grind": FactorBelief(1.0, twice),
        "weld_time": FactorBelief(1.0, twice),
    }
    rows = {row.name: row for row in drivers(worked_case(), beliefs, seed=5).rows}
    start = run_plan(worked_case()).start_mass
    for name, at_low, at_high in (
        ("scale_strength", 0.5273, 0.3416),
        ("grind", 0.5550, 0.2937),
        ("weld_time", 0.4688, 0.4357),
    ):
        assert rows[name].at_low / start == pytest.approx(at_low, abs=0.0005)
        assert rows[name].at_high / start == pytest.approx(at_high, abs=0.0005)


def test_pinned_sensitivities_the_priors_do_not_reach():
    """Pinned, common practice: two heats a weld, strain a heat doubled."""
    assert kept("weld_heats", -1.0) == pytest.approx(0.4763, abs=0.0005)
    assert kept("weld_heats", 2.0) == pytest.approx(0.4190, abs=0.0005)
    assert kept("strain", 0.18 / 0.35) == pytest.approx(0.3888, abs=0.0005)
    assert kept("strain", 2.0) == pytest.approx(0.4927, abs=0.0005)


def test_swing_of_one_factor_is_how_far_its_ends_lie_apart():
    row = ROWS["grind"]
    assert row.swing == pytest.approx(row.at_low - row.at_high)
    assert row.at_low > FOUND.middle > row.at_high


def test_factor_that_ruins_the_billet_leaves_nothing():
    """A bar ground through one time in ten weighs nothing there, and is no error."""
    plan = worked_case(face=2.4)
    row = next(
        one for one in drivers(plan, seed=5, draws=500).rows if one.name == "grind"
    )
    assert row.at_high == 0.0
    assert row.at_low > 0.0
    assert 4 * MM < 0.0095  # what is ground away is less than the first bar is thick


def test_plan_that_nothing_can_change_has_no_drivers():
    """Limiting case: no scale, and a shop that knows itself exactly."""
    sure = {name: FactorBelief(one.median, 0.0) for name, one in PRIORS.items()}
    bare = {**sure, "scale_strength": FactorBelief(0.0, 0.0)}
    found = drivers(worked_case(), bare, seed=5, draws=100)
    assert (found.rows, found.together) == ((), 0.0)
