"""Enough or not, and how much steel to weld."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from billets.physics.equipment import Forge
from billets.physics.errors import PlanError
from billets.physics.factors import PRIORS, Factors
from billets.physics.fit import (
    Target,
    fit_length,
    fit_pieces,
    start_length,
    verdict,
)
from billets.physics.plan import run_plan
from billets.physics.search import least_that
from billets.physics.uncertainty import sample_plan
from tests.billets.physics.plans import BRIGHT, DARK, MM, Layer, worked_case

GYUTO = Target(
    label="gyuto",
    needed=0.320,
    thickness=4 * MM,
    width_low=27 * MM,
    width_high=49 * MM,
    length=150 * MM,
)
PETTY = Target(label="petty", needed=0.136, thickness=3 * MM, length=90 * MM)


def with_length(plan, length):
    return replace(plan, stack=replace(plan.stack, length=length))


@pytest.mark.parametrize(("mass", "length"), [(0.8142, 150.0), (0.5, 100.0)])
def test_pinned_length_for_a_clean_bar(mass, length):
    """Pinned: the worked case read backwards."""
    assert start_length(worked_case(), mass) == pytest.approx(length * MM, abs=0.1 * MM)


@given(st.floats(0.4, 5.0))
def test_forward_undoes_backward(mass):
    """Round trip: the stack found for a mass ends with that mass."""
    plan = worked_case()
    result = run_plan(with_length(plan, start_length(plan, mass)))
    assert result.clean_mass == pytest.approx(mass, rel=1e-9)


def test_length_beyond_any_billet_is_refused():
    with pytest.raises(PlanError) as refused:
        start_length(worked_case(), 500.0)
    assert refused.value.field == "length"


def test_bar_too_short_to_be_cut_is_refused_with_its_step():
    with pytest.raises(PlanError) as refused:
        start_length(worked_case(), 0.05)
    assert refused.value.field in {"pieces", "per_end"}
    assert refused.value.values["step"] in {3, 5, 8, 10}


def test_fit_is_the_shortest_whole_millimetre():
    """The length found suffices with the chance asked for; one less does not."""
    fit = fit_length(worked_case(), [GYUTO, PETTY], seed=4, draws=1000)
    found = fit.stack.length
    assert found / MM == pytest.approx(round(found / MM))
    needed = GYUTO.needed + PETTY.needed
    for length, suffices in ((found, True), (found - MM, False)):
        sampled = sample_plan(
            with_length(worked_case(), length), PRIORS, seed=4, draws=1000
        )
        assert (sampled.chance(needed) >= 0.8) is suffices
    assert fit.chance >= fit.asked == 0.8
    assert fit.median.length < found


def test_median_fit_is_the_plain_plan_backwards():
    fit = fit_length(worked_case(), [Target(label="bar", needed=0.5)], seed=4, draws=50)
    exact = start_length(worked_case(), 0.5)
    assert exact <= fit.median.length < exact + MM


def test_surer_fit_takes_more_steel():
    lengths = [
        fit_length(
            worked_case(), [GYUTO], chance=chance, seed=4, draws=500
        ).stack.length
        for chance in (0.5, 0.8, 0.95)
    ]
    assert lengths == sorted(lengths)
    assert lengths[0] < lengths[-1]


def test_long_knives_are_fitted_by_length():
    """A bar heavy enough may still be too short for the knives laid out on it."""
    light = replace(GYUTO, needed=0.1, length=900 * MM)
    fit = fit_length(worked_case(), [light], seed=4, draws=500)
    sampled = run_plan(with_length(worked_case(), fit.median.length))
    assert sampled.clean_length >= 900 * MM
    shorter = run_plan(with_length(worked_case(), fit.median.length - MM))
    assert shorter.clean_length < 900 * MM


def test_chance_no_length_can_reach_is_refused():
    """A plan that grinds through its bar in half of the draws."""
    ruinous = {**PRIORS, "grind": replace(PRIORS["grind"], median=8.0)}
    with pytest.raises(PlanError) as refused:
        fit_length(worked_case(), [GYUTO], ruinous, chance=0.9, seed=4, draws=300)
    assert refused.value.field == "length"


@pytest.mark.parametrize("chance", [0.0, 1.0, float("nan")])
def test_certainty_is_not_for_sale(chance):
    with pytest.raises(PlanError) as refused:
        fit_length(worked_case(), [GYUTO], chance=chance, seed=4)
    assert refused.value.field == "chance"


def test_plan_that_cannot_be_says_why_and_not_that_no_length_fits():
    plan = worked_case(forge=Forge(door_width=10 * MM))
    with pytest.raises(PlanError) as refused:
        fit_length(plan, [GYUTO], seed=4, draws=50)
    assert refused.value.field == "forge"


def test_pieces_go_on_in_the_order_they_began():
    """Fewest layers that suffice; bright and dark in turn, dark on both faces."""
    plan = worked_case((180, 40, 38), forge=Forge(door_width=0.2, door_height=0.2))
    fit = fit_pieces(plan, [GYUTO, PETTY], seed=4, draws=500)
    steels = [layer.steel for layer in fit.stack.layers]
    assert steels[::2] == [DARK] * (len(steels) // 2 + 1)
    assert steels[1::2] == [BRIGHT] * (len(steels) // 2)
    fewer = replace(fit.stack, layers=fit.stack.layers[:-2])
    needed = GYUTO.needed + PETTY.needed
    for stack, suffices in ((fit.stack, True), (fewer, False)):
        sampled = sample_plan(replace(plan, stack=stack), PRIORS, seed=4, draws=500)
        assert (sampled.chance(needed) >= 0.8) is suffices
    assert len(fit.median.layers) <= len(fit.stack.layers)


def test_pieces_that_no_door_lets_pass_are_refused():
    plan = worked_case(forge=Forge(door_width=41 * MM, door_height=60 * MM))
    with pytest.raises(PlanError) as refused:
        fit_pieces(plan, [replace(GYUTO, needed=3.0)], seed=4, draws=100)
    assert refused.value.field == "layers"


def test_order_without_a_beat_is_laid_again_whole():
    """Three unlike layers repeat as they are."""
    plan = worked_case((200, 40, 38), forge=Forge(door_width=0.3, door_height=0.3))
    layers = (
        Layer(DARK, 6 * MM),
        Layer(BRIGHT, 2 * MM),
        Layer(BRIGHT, 3 * MM),
        Layer(DARK, 5 * MM),
    )
    plan = replace(plan, stack=replace(plan.stack, layers=layers))
    fit = fit_pieces(plan, [GYUTO], seed=4, draws=200)
    assert len(fit.stack.layers) % 4 == 0
    assert fit.stack.layers[4:8] == layers


@settings(max_examples=200)
@given(st.integers(1, 500), st.integers(1, 500), st.integers(1, 500))
def test_search_finds_the_least(border, guess, most):
    """Whatever the guess, the answer is the border, or none beyond the most."""
    found = least_that(lambda number: number >= border, min(guess, most), most)
    assert found == (border if border <= most else None)


def test_right_guess_takes_two_trials():
    trials = []

    def suffices(number):
        trials.append(number)
        return number >= 150

    assert least_that(suffices, 150, 5000) == 150
    assert trials == [150, 149]


def test_bar_that_suffices():
    said = verdict(run_plan(worked_case()), [GYUTO, PETTY])
    assert said.enough
    assert (said.chance, said.failing) == (1.0, ())
    assert said.spare == pytest.approx(said.expected - said.needed)
    assert said.needed == pytest.approx(0.456)
    assert said.flags == ()


def test_bar_that_is_short_says_by_how_much():
    short = replace(GYUTO, needed=1.0)
    said = verdict(run_plan(worked_case()), [short])
    assert not said.enough
    assert said.failing == ("mass",)
    assert said.spare == pytest.approx(said.expected - 1.0)


def test_verdict_of_a_sampled_plan_has_a_chance():
    sampled = sample_plan(worked_case(), PRIORS, seed=4, draws=1000)
    target = Target(label="bar", needed=0.7)
    said = verdict(sampled.result, [target])
    assert 0 < said.chance == sampled.chance(0.7) < 1
    assert not said.enough
    # Adding what is missing to every draw would do.
    enough = np.mean(sampled.result.clean_mass - said.spare >= 0.7 - 1e-12)
    assert enough >= 0.8
    assert verdict(sampled.result, [target], chance=said.chance).enough


@pytest.mark.parametrize(
    ("target", "failing"),
    [
        (replace(GYUTO, thickness=6 * MM), ("thickness",)),
        (replace(GYUTO, length=600 * MM), ("length",)),
        (replace(GYUTO, needed=2.0, length=600 * MM), ("mass", "length")),
    ],
)
def test_bar_that_fails_in_something_else(target, failing):
    said = verdict(run_plan(worked_case()), [target])
    assert not said.enough
    assert said.failing == failing


def test_bar_of_another_width_is_only_looked_at_twice():
    said = verdict(run_plan(worked_case()), [replace(GYUTO, width_low=50 * MM,
                                                     width_high=90 * MM)])  # fmt: skip
    assert said.enough
    assert [(one.field, one.level) for one in said.flags] == [("width", "amber")]
    assert said.flags[0].message.format(**said.flags[0].values)


def test_used_up_draws_count_as_short():
    result = run_plan(worked_case(factors=Factors(grind=np.array([1.0, 30.0]))))
    assert verdict(result, [PETTY]).chance == 0.5
