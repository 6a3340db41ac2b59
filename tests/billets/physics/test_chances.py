"""Stacks for several chances, and the cheapest: as sure as they say, and no longer."""

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from billets.physics.chances import (
    CHANCES,
    cheapest_length,
    cheapest_made,
    formula_cheapest,
    formula_length,
    stack_for,
)
from billets.physics.equipment import Forge, Saw
from billets.physics.errors import PlanError
from billets.physics.factors import PRIORS, FactorBelief
from billets.physics.fit import Target, fit_length
from billets.physics.sure import needs_of, stack_with
from billets.physics.uncertainty import sample_plan
from tests.billets.physics.plans import MM, alternating, three_welds, worked_case

KNIFE = Target(label="knife", needed=0.41, length=160 * MM)
OTHER = Target(label="other", needed=0.17)
DRAWS = 1000


@cache
def needs(seed=7):
    return needs_of(worked_case(), [KNIFE, OTHER], seed=seed, draws=DRAWS)


def stacks_for(targets, *, chances=CHANCES, seed=7, draws=DRAWS, plan=None):
    close = needs_of(plan or worked_case(), targets, seed=seed, draws=draws)
    return tuple(stack_for(close, chance) for chance in chances)


def chance_of_length(length, seed=7):
    """The chance of a stack, by the plan itself and not by what is tested here."""
    plan = worked_case()
    plan = replace(plan, stack=replace(plan.stack, length=length))
    result = sample_plan(plan, PRIORS, seed=seed, draws=DRAWS).result
    enough = (result.clean_mass >= 0.58) & (result.clean_length >= 160 * MM)
    return float(np.mean(enough))


# --- a stack for a chance -----------------------------------------------------------


@pytest.mark.parametrize("chance", [*CHANCES, 0.99])
def test_chance_is_reached_and_a_millimetre_less_does_not_reach_it(chance):
    """What is promised holds on the chain itself, and nothing is given away."""
    found = stack_for(needs(), chance)
    assert found.length / MM == pytest.approx(round(found.length / MM))
    assert found.chance == chance_of_length(found.length) >= chance
    assert chance_of_length(found.length - MM) < chance


@pytest.mark.parametrize("chance", CHANCES)
def test_it_is_the_stack_that_fitting_finds(chance):
    fit = fit_length(worked_case(), [KNIFE, OTHER], chance=chance, seed=7, draws=DRAWS)
    found = stack_for(needs(), chance)
    assert found.length == pytest.approx(fit.stack.length)
    assert found.chance == fit.chance
    assert found.start_mass == pytest.approx(fit.stack.mass)


def test_surer_stacks_are_longer_and_leave_more_over():
    """Monotone in the chance: length, mass, chance and what is left over."""
    stacks = stacks_for([KNIFE])
    for sure, surer in pairwise(stacks):
        assert surer.length > sure.length
        assert surer.start_mass > sure.start_mass
        assert surer.chance > sure.chance
        assert surer.spare > sure.spare >= 0.0


def test_left_over_on_average_is_the_mean_beyond_what_is_needed():
    """Arithmetic over the draws of the plan itself."""
    found = stack_for(needs(), 0.8)
    plan = worked_case()
    plan = replace(plan, stack=replace(plan.stack, length=found.length))
    masses = sample_plan(plan, PRIORS, seed=7, draws=DRAWS).result.clean_mass
    over = [max(mass - 0.58, 0.0) for mass in masses.tolist()]
    assert found.spare == pytest.approx(sum(over) / len(over))


def test_same_seed_gives_the_same_answer_and_another_one_nearly():
    again = stacks_for([KNIFE, OTHER])
    assert again == tuple(stack_for(needs(), chance) for chance in CHANCES)
    others = stacks_for([KNIFE, OTHER], seed=8)
    for one, other in zip(again, others, strict=True):
        assert other.length == pytest.approx(one.length, rel=0.08)


@settings(max_examples=40)
@given(st.floats(0.06, 0.5), st.floats(1.0, 1.6))
def test_more_steel_never_lowers_the_chance(length, longer):
    less, more = (stack_with(needs(), length * one) for one in (1.0, longer))
    assert more.chance >= less.chance
    assert more.spare >= less.spare


@settings(max_examples=25)
@given(st.permutations([KNIFE, OTHER, replace(OTHER, label="third", needed=0.09)]))
def test_order_of_the_knives_changes_nothing(targets):
    """Knives of one billet are independent: only their sums count."""
    found = stacks_for(targets, chances=[0.8], draws=200)
    usual = stacks_for(sorted(targets, key=str), chances=[0.8], draws=200)
    assert found == usual


def doubled(plan):
    """The same with every length twice as long; the stack's own length goes too."""
    stack = replace(
        plan.stack,
        layers=tuple(
            replace(one, thickness=2 * one.thickness) for one in plan.stack.layers
        ),
        length=2 * plan.stack.length,
        width=2 * plan.stack.width,
    )
    steps = three_welds(
        sections=((80, 19), (80, 28), (90, 12)), trims=(20, 10, 10), face=1.0, edge=0.4
    )
    saw = Saw(kerf=2 * plan.saw.kerf)
    return replace(plan, stack=stack, steps=steps, saw=saw)


def test_everything_twice_as_long_needs_twice_the_length():
    """Where nothing scales, only proportions count: masses go with the cube.

    With scale it must not be so: a skin of one thickness costs a big bar less.
    """
    wide = Forge(door_width=0.3, door_height=0.3)
    plan = worked_case(forge=wide)
    bare = {**PRIORS, "scale_strength": FactorBelief(0.0, 0.45)}
    big = replace(KNIFE, needed=8 * KNIFE.needed, length=2 * KNIFE.length)
    for beliefs, scales in ((bare, True), (PRIORS, False)):
        small, twice = (
            needs_of(one, [target], beliefs, seed=7, draws=DRAWS).lengths
            for one, target in ((plan, KNIFE), (doubled(plan), big))
        )
        assert np.allclose(twice, 2 * small, rtol=1e-9) is scales
        assert np.median(twice) <= 2 * np.median(small) * (1 + 1e-9)


# --- the cheapest stack -------------------------------------------------------------


def cheapest_of(close, **asked):
    length = cheapest_length(close, **asked)
    return None if length is None else stack_with(close, length)


def costs(length, short, per_mass):
    mass = length * needs().per_length
    return per_mass * mass + short * (1.0 - chance_of_length(length))


@pytest.mark.parametrize(("short", "per_mass"), [(350.0, 20.0), (120.0, 30.0)])
def test_no_other_length_is_cheaper(short, per_mass):
    """Brute force over every millimetre, on the chain itself."""
    found = cheapest_of(needs(), short=short, per_mass=per_mass)
    least = costs(found.length, short, per_mass)
    for millimetres in range(round(found.length / MM) - 40, 400, 2):
        assert least <= costs(millimetres * MM, short, per_mass) + 1e-9
    assert found.chance == chance_of_length(found.length)


def test_dearer_failure_makes_a_longer_stack():
    lengths = [
        cheapest_of(needs(), short=short, per_mass=20.0).length
        for short in (60.0, 200.0, 600.0, 2000.0)
    ]
    assert lengths == sorted(lengths)
    assert lengths[0] < lengths[-1]


@pytest.mark.parametrize("short", [0.0, 3.0])
def test_where_a_short_billet_costs_less_than_its_steel_no_stack_pays(short):
    """Limiting case: 1.2 kg at 20 a kilogram are never worth 3."""
    assert cheapest_of(needs(), short=short, per_mass=20.0) is None


def test_formula_stands_close_to_the_draws():
    """The closed form checks the simulation: lognormal in the middle, not at the end.

    Costing's reference: both problems, start mass of the billet. The needs have a
    long tail of billets ground thin, which the lognormal does not know.
    """
    for chance, most in ((0.5, 0.05), (0.8, 0.05), (0.9, 0.05), (0.95, 0.10)):
        found = stack_for(needs(), chance)
        assert formula_length(needs(), chance) == pytest.approx(found.length, rel=most)
    found = cheapest_of(needs(), short=350.0, per_mass=20.0)
    said = formula_cheapest(needs(), short=350.0, per_mass=20.0)
    assert said == pytest.approx(found.length, rel=0.15)


def test_small_spread_makes_draws_and_formula_agree():
    """Limiting case: where losses hardly vary, the need is lognormal."""
    sure = {
        name: FactorBelief(one.median, 0.1 * one.ln_sd) for name, one in PRIORS.items()
    }
    steady = worked_case(heats=1)
    close = needs_of(steady, [KNIFE], sure, seed=7, draws=4000)
    found = cheapest_of(close, short=350.0, per_mass=20.0)
    said = formula_cheapest(close, short=350.0, per_mass=20.0)
    assert said == pytest.approx(found.length, rel=0.03)


@pytest.mark.parametrize("per_mass", [8.0, 20.0, 45.0])
def test_cheapest_as_made_is_the_cheapest_where_a_kilogram_costs_the_same(per_mass):
    """Limiting case: along a straight line both are one question."""
    per_length = per_mass * needs().per_length

    def making(lengths):
        return 90.0 + per_length * lengths

    made = cheapest_made(needs(), short=350.0, making=making)
    assert made == cheapest_of(needs(), short=350.0, per_mass=per_mass)


def test_step_in_the_cost_of_making_is_kept_below():
    """One more heat from a length on: brute force over every other millimetre."""
    before = cheapest_of(needs(), short=350.0, per_mass=20.0).length
    edge = before - 2 * MM

    def making(lengths):
        return 20.0 * needs().per_length * lengths + 60.0 * (lengths > edge)

    made = cheapest_made(needs(), short=350.0, making=making)
    assert made.length <= edge + 1e-9

    def cost(length):
        return float(making(np.array(length))) + 350.0 * (1 - chance_of_length(length))

    for millimetres in range(round(before / MM) - 40, 400, 2):
        assert cost(made.length) <= cost(millimetres * MM) + 1e-9


def test_no_stack_shorter_than_told_is_looked_at():
    found = cheapest_made(needs(), short=1.0, making=lambda one: 9.0 * one, least=0.2)
    assert found.length == pytest.approx(0.2, abs=5 * MM)


# --- refusals -----------------------------------------------------------------------


def test_billet_of_no_knife_is_refused():
    with pytest.raises(PlanError) as refused:
        needs_of(worked_case(), [], seed=7)
    assert refused.value.field == "targets"


@pytest.mark.parametrize("chance", [0.0, 1.0, math.nan])
def test_certainty_is_not_for_sale(chance):
    with pytest.raises(PlanError) as refused:
        stack_for(needs(), chance)
    assert refused.value.field == "chance"


@pytest.mark.parametrize("short", [-1.0, math.nan, math.inf])
def test_sum_that_is_none_is_refused(short):
    with pytest.raises(PlanError) as refused:
        cheapest_of(needs(), short=short, per_mass=20.0)
    assert refused.value.field == "short"


RUINOUS = {**PRIORS, "grind": replace(PRIORS["grind"], median=8.0)}


def test_chance_no_length_reaches_is_refused_and_a_smaller_one_is_not():
    """A plan that grinds through its bar in half of the draws."""
    close = needs_of(worked_case(), [KNIFE], RUINOUS, seed=4, draws=300)
    lost = float(np.mean(np.isinf(close.lengths)))
    assert 0.2 < lost < 0.9
    assert stack_for(close, 0.9 * (1 - lost)).chance >= 0.9 * (1 - lost)
    with pytest.raises(PlanError) as refused:
        stack_for(close, 1 - lost / 2)
    assert refused.value.field == "length"


def test_plan_that_cannot_be_says_why():
    plan = worked_case(forge=Forge(door_width=10 * MM))
    with pytest.raises(PlanError) as refused:
        stacks_for([KNIFE], plan=plan, seed=4, draws=50)
    assert refused.value.field == "forge"


def test_length_that_cannot_be_cut_is_refused_every_time():
    """What was tried once is not run again, and a refusal stays one."""
    close = needs_of(worked_case(), [KNIFE], seed=4, draws=50)
    for _again in range(2):
        with pytest.raises(PlanError) as refused:
            stack_with(close, 5 * MM)
        assert refused.value.values["step"] > 0
    assert len(close.tried) == 1


def test_stack_of_unequal_layers_is_weighed_as_it_lies():
    """Mass of a stack over its length, whatever its layers."""
    plan = replace(worked_case(), stack=alternating(9, 120, 36, 31))
    close = needs_of(plan, [OTHER], seed=4, draws=50)
    assert stack_with(close, 0.12).start_mass == pytest.approx(plan.stack.mass)
