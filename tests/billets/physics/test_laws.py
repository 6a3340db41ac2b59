"""Laws of every plan with every kind of step, forward and backward."""

from dataclasses import fields, replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.errors import PlanError
from billets.physics.factors import PRIORS, Factors
from billets.physics.fit import fit_length, fit_pieces, start_length
from billets.physics.lengths import suffices_in
from billets.physics.plan import PlanInput, run_plan
from billets.physics.results import LossByCause
from billets.physics.rules import RULES
from billets.physics.steps import (
    Core,
    Cut,
    Dimple,
    Draw,
    Fold,
    Grind,
    Ladder,
    Trim,
    Twist,
    Weld,
)
from billets.physics.uncertainty import sample_plan
from billets.physics.verdict import Target, verdict
from tests.billets.physics.plans import DARK, MM, alternating

TONNE = 9806.65
LENGTHS = (
    "width", "thickness", "per_end", "face", "edge", "depth", "groove", "drill",
    "pitch",
)  # fmt: skip
"""What is a length in a step."""

sides = st.floats(20.0, 45.0).map(lambda one: one * MM)
parts = {
    "weld": st.builds(Weld, heats=st.integers(1, 4)),
    "draw": st.builds(
        lambda side, flat: Draw(width=side, thickness=side * flat),
        sides,
        st.floats(0.3, 1.0),
    ),
    "trim": st.builds(lambda end: Trim(per_end=end * MM), st.floats(0.0, 12.0)),
    "grind": st.builds(lambda face: Grind(face=face * MM), st.floats(0.0, 0.8)),
    "cut": st.builds(Cut, pieces=st.integers(2, 4), turned=st.booleans()),
    "fold": st.just(Fold()),
    "twist": st.builds(Twist, turns=st.floats(0.5, 6.0), octagon=st.booleans()),
    "ladder": st.builds(
        lambda depth: Ladder(depth=depth * MM, groove=4 * MM, pitch=12 * MM),
        st.floats(0.5, 2.0),
    ),
    "dimple": st.builds(
        lambda depth: Dimple(drill=5 * MM, depth=depth * MM, pitch=12 * MM),
        st.floats(0.5, 2.0),
    ),
    "core": st.builds(
        lambda thickness: Core(steel=DARK, thickness=thickness * MM), st.floats(2, 8)
    ),
}
"""Every kind of step; a weld is put after what leaves loose pieces."""

SQUARE = Draw(width=24 * MM, thickness=24 * MM)


def in_order(chosen):
    """Steps as a smith does them: square before a twist, welded when loose."""
    steps = [Weld()]
    for step in chosen:
        if step.kind == "twist":
            steps.append(SQUARE)
        steps.append(step)
        if step.kind in ("cut", "fold", "core"):
            steps.append(Weld())
    return tuple(steps)


USUAL, NONE = st.just(0.8), st.just(0.0)
"""Strength of scale."""


def plans(tools, *, scale=USUAL):
    return st.builds(
        PlanInput,
        stack=st.builds(
            alternating,
            st.integers(3, 20),
            st.floats(150, 400),
            st.floats(30, 55),
            st.floats(30, 55),
        ),
        steps=st.lists(st.one_of(*parts.values()), min_size=1, max_size=4).map(
            in_order
        ),
        forge=st.just(Forge(door_width=0.6, door_height=0.6)),
        tool=tools,
        saw=st.builds(lambda kerf: Saw(kerf=kerf * MM), st.floats(0.0, 3.0)),
        factors=st.builds(Factors, scale_strength=scale),
    )


told = st.sampled_from([Tool(), Tool(kind="hand", strain=0.12)])
any_tool = st.one_of(told, st.builds(Tool, force=st.just(20 * TONNE)))


def made(plan):
    """The plan's result; plans that cannot be are not what is tested here."""
    try:
        return run_plan(plan)
    except PlanError:
        assume(False)


def test_every_kind_of_step_is_tried():
    assert set(parts) == set(RULES)


# --- mass ---------------------------------------------------------------------------


@settings(max_examples=150)
@given(plans(any_tool))
def test_steel_is_neither_made_nor_hidden_in_any_step(plan):
    """Conservation of mass: what was there and laid in is what is left and lost."""
    result = made(plan)
    for before, after in pairwise(result.steps):
        lost = sum(part for _cause, part in after.lost_by)
        assert after.mass + after.lost == pytest.approx(before.mass + after.added)
        assert after.lost == pytest.approx(lost, abs=1e-12)
        assert after.lost >= 0.0
        assert after.added >= 0.0
    by_cause = sum(getattr(result.loss, one.name) for one in fields(LossByCause))
    assert result.clean_mass + by_cause == pytest.approx(
        result.start_mass + result.added
    )


@settings(max_examples=40)
@given(plans(any_tool))
def test_steel_is_neither_made_nor_hidden_in_any_draw(plan):
    """The same for many shops that might be this one, billets used up included."""
    made(plan)
    result = sample_plan(plan, PRIORS, seed=2, draws=40).result
    for before, after in pairwise(result.steps):
        assert np.allclose(after.mass + after.lost, before.mass + after.added)
        assert np.all(after.lost >= 0.0)


# --- forward and inverse ------------------------------------------------------------


@settings(max_examples=80)
@given(plans(any_tool))
def test_inverse_finds_the_length_the_plan_began_with(plan):
    """Round trip: forward to a mass, and from that mass back to the length."""
    result = made(plan)
    found = start_length(plan, result.clean_mass)
    again = run_plan(replace(plan, stack=replace(plan.stack, length=found)))
    assert again.clean_mass == pytest.approx(result.clean_mass, rel=1e-5)
    assert found == pytest.approx(plan.stack.length, rel=1e-3)


# --- independent knives -------------------------------------------------------------


knives = st.lists(
    st.builds(
        Target,
        label=st.sampled_from(["petty", "gyuto", "santoku", "paring"]),
        needed=st.floats(0.05, 0.4),
        thickness=st.floats(0.0, 0.006),
        width_low=st.floats(0.0, 0.05),
        length=st.floats(0.0, 0.2),
    ),
    min_size=2,
    max_size=4,
)


def case():
    steps = in_order([Draw(width=40 * MM, thickness=9 * MM), Trim(), Cut(pieces=3)])
    return PlanInput(
        stack=alternating(11, 300, 40, 36),
        steps=(*steps, Draw(width=42 * MM, thickness=6 * MM)),
        forge=Forge(door_width=0.3, door_height=0.3),
    )


@settings(max_examples=40)
@given(knives, st.randoms(use_true_random=False))
def test_order_of_the_knives_changes_neither_verdict_nor_fit(targets, random):
    """Knives that share a billet are independent: what they need adds up."""
    shuffled = random.sample(targets, len(targets))
    result = sample_plan(case(), PRIORS, seed=2, draws=60).result
    one, other = (verdict(result, order) for order in (targets, shuffled))
    assert replace(one, flags=()) == replace(other, flags=())
    assert sorted(map(repr, one.flags)) == sorted(map(repr, other.flags))
    for fit in (fit_length, fit_pieces):
        ours, theirs = (
            fit(case(), order, seed=2, draws=60) for order in (targets, shuffled)
        )
        assert ours == theirs


# --- every length doubled -----------------------------------------------------------


def doubled(part):
    """The same step, saw or layer with every length twice as long."""
    twice = {
        one.name: 2.0 * getattr(part, one.name)
        for one in fields(part)
        if one.name in (*LENGTHS, "kerf")
    }
    return replace(part, **twice)


def twice(plan):
    stack = plan.stack
    return replace(
        plan,
        stack=replace(
            stack,
            layers=tuple(map(doubled, stack.layers)),
            length=2.0 * stack.length,
            width=2.0 * stack.width,
        ),
        steps=tuple(map(doubled, plan.steps)),
        saw=doubled(plan.saw),
        forge=Forge(door_width=1.2, door_height=1.2),
    )


@settings(max_examples=120)
@given(plans(told, scale=NONE))
def test_without_scale_everything_twice_as_long_is_the_same_eight_times(plan):
    """Only proportions count: lengths double, masses go with the cube, heats stay.

    Where the model says so: no scale, and a tool that gives the strain it is told to.
    """
    small, big = made(plan), made(twice(plan))
    assert big.clean_mass == pytest.approx(8.0 * small.clean_mass, rel=1e-9)
    assert big.added == pytest.approx(8.0 * small.added)
    assert big.retained == pytest.approx(small.retained)
    assert big.heats == small.heats
    assert (big.layers, big.distinct, big.left) == (
        small.layers,
        small.distinct,
        small.left,
    )
    for one, other in zip(small.steps, big.steps, strict=True):
        for name in ("length", "width", "thickness"):
            assert getattr(other, name) == pytest.approx(2.0 * getattr(one, name))
    for one in fields(LossByCause):
        lost = 8.0 * getattr(small.loss, one.name)
        assert getattr(big.loss, one.name) == pytest.approx(lost, abs=1e-9)


@settings(max_examples=60)
@given(plans(told))
def test_with_scale_twice_as_long_keeps_more(plan):
    """A skin of one thickness is less of a bigger billet, in proportion."""
    small, big = made(plan), made(twice(plan))
    assert big.heats <= small.heats + 1
    assume(big.heats == small.heats)
    assert big.retained >= small.retained - 1e-12
    scale = small.loss.weld_scale + small.loss.draw_scale
    grown = big.loss.weld_scale + big.loss.draw_scale
    assert 0.0 < grown < 8.0 * scale


@settings(max_examples=60)
@given(plans(told), st.floats(1.1, 3.0))
def test_longer_stack_alone_lengthens_what_is_drawn_in_proportion_and_more(
    plan, longer
):
    """What is taken off the ends does not grow with the length."""
    stack = replace(plan.stack, length=longer * plan.stack.length)
    short, long = made(plan), made(replace(plan, stack=stack))
    assert long.clean_mass >= longer * short.clean_mass * (1.0 - 1e-9)
    assert long.clean_thickness == pytest.approx(short.clean_thickness)
    assert long.heats == short.heats


# --- more steel ---------------------------------------------------------------------


@settings(max_examples=40)
@given(plans(told), st.floats(1.01, 2.0), st.floats(0.3, 0.9))
def test_more_steel_never_lowers_the_chance_whatever_the_steps(plan, longer, part):
    """Of a tool that gives the strain it is told to.

    A press of known force takes a longer bar more heats: no law there, only what
    `test_needed` tries.
    """
    plain = made(plan)
    knife = Target(label="knife", needed=part * plain.clean_mass)
    stack = replace(plan.stack, length=longer * plan.stack.length)
    less, more = (
        sample_plan(one, PRIORS, seed=2, draws=60).result
        for one in (plan, replace(plan, stack=stack))
    )
    assert np.all(more.clean_mass >= less.clean_mass)
    assert suffices_in(more, [knife]) >= suffices_in(less, [knife])
