"""Twist, ladder cuts, dimples and core as steps of a plan."""

import math
from dataclasses import fields, replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from billets.physics.bar import Steel
from billets.physics.counting import Counted, after_cut
from billets.physics.equipment import Forge, Saw
from billets.physics.errors import PlanError
from billets.physics.factors import Factors
from billets.physics.patterns import dimple_volume
from billets.physics.plan import PlanInput, run_plan
from billets.physics.results import LossByCause
from billets.physics.steps import (
    Core,
    Cut,
    Dimple,
    Draw,
    Grind,
    Ladder,
    Trim,
    Twist,
    Weld,
)
from tests.billets.physics.plans import MM, alternating

HARD = Steel("hard", "hard steel", 1.05, density=7800.0)

SQUARE = Draw(width=20 * MM, thickness=20 * MM)
FLAT = Draw(width=40 * MM, thickness=10 * MM)
VEE = Ladder(depth=3 * MM, groove=4 * MM, pitch=12 * MM)
DRILLED = Dimple(drill=10 * MM, depth=2 * MM, pitch=12 * MM)
LAID = Core(steel=HARD, thickness=6 * MM)


def plan(*steps, stack=(150, 40, 40), layers=9, **given_):
    """A welded stack, then these steps; a core that comes last is welded in."""
    welded = (*steps, Weld()) if isinstance(steps[-1], Core) else steps
    return PlanInput(
        stack=alternating(layers, *stack), steps=(Weld(), *welded), **given_
    )


def cold(*steps, **given_):
    """The same without scale, so that the shape alone speaks."""
    return plan(*steps, factors=Factors(scale_strength=0.0), **given_)


def total(loss):
    return sum(getattr(loss, one.name) for one in fields(LossByCause))


def last(result):
    """The billet before and after the step that made its figure."""
    number = result.pattern[-1].number
    return result.steps[number - 1], result.steps[number]


def flagged(result):
    return {(flag.field, flag.level) for flag in result.flags}


# --- size and loss -------------------------------------------------------------------


def test_ladder_is_forged_flat_to_nine_of_ten():
    """Plane and solid geometry; the defaults are common practice, no source.

    Length and width stay, the pattern takes a tenth.
    """
    before, after = last(run_plan(cold(FLAT, VEE)))
    assert after.thickness / MM == pytest.approx(9.0)
    assert (after.length, after.width) == pytest.approx((before.length, before.width))
    assert dict(after.lost_by)["pattern"] == pytest.approx(0.1 * before.mass)


def test_dimples_take_their_volume():
    """Plane and solid geometry: two dimples for each square of the lattice."""
    before, after = last(run_plan(cold(FLAT, DRILLED)))
    share = 2 * dimple_volume(10 * MM, 2 * MM, math.radians(118)) / (144e-6 * 0.010)
    assert after.thickness / before.thickness == pytest.approx(1 - share)
    assert dict(after.lost_by)["pattern"] == pytest.approx(share * before.mass)


def test_twist_keeps_length_and_loses_its_corners_only():
    """Plane and solid geometry; the defaults are common practice, no source."""
    before, after = last(run_plan(cold(SQUARE, Twist(turns=3.0))))
    assert after.length == pytest.approx(before.length)
    assert dict(after.lost_by)["pattern"] / before.mass == pytest.approx(
        0.1716, abs=5e-5
    )
    sharp = last(run_plan(cold(SQUARE, Twist(turns=3.0, octagon=False))))
    assert sharp[1].mass == pytest.approx(sharp[0].mass)
    assert after.heats == 2


def test_core_lies_between_two_halves():
    """Conservation: half, core, half; the saw takes one cut."""
    result = run_plan(cold(FLAT, LAID, saw=Saw(kerf=2 * MM)))
    before, after = last(result)
    length = (before.length - 2 * MM) / 2
    assert (after.thickness / MM, after.length) == pytest.approx((26.0, length))
    assert after.added == pytest.approx(7800 * length * after.width * 6 * MM)
    assert after.lost == pytest.approx(7850 * 2 * MM * before.width * before.thickness)
    (made,) = result.pattern
    assert (made.kind, made.core_share) == ("core", pytest.approx(6 / 26))


def test_core_has_its_own_density():
    """Conservation: the pieces weigh what each of its steels weighs."""
    _before, after = last(run_plan(cold(FLAT, LAID)))
    area = after.length * after.width
    assert after.mass == pytest.approx(area * (7850 * 20 * MM + 7800 * 6 * MM))


figures = st.one_of(
    st.builds(
        lambda turns, octagon: (SQUARE, Twist(turns=turns, octagon=octagon)),
        st.floats(0.5, 4.0), st.booleans(),
    ),
    st.builds(
        lambda depth, shape: (
            FLAT, replace(VEE, depth=depth * MM, groove_shape=shape),
        ),
        st.floats(0.3, 3.9), st.sampled_from(["vee", "round"]),
    ),
    st.builds(
        lambda depth: (FLAT, replace(DRILLED, depth=depth * MM)), st.floats(0.3, 3.5)
    ),
    st.builds(
        lambda thick: (FLAT, replace(LAID, thickness=thick * MM), Weld()),
        st.floats(2.0, 12.0),
    ),
)  # fmt: skip


@settings(max_examples=60)
@given(st.lists(figures, min_size=1, max_size=2), st.floats(0.0, 1.5))
def test_stack_and_what_is_added_is_end_and_losses(chosen, scale):
    """Conservation of mass over every figure, core steel added counted in."""
    steps = tuple(step for some in chosen for step in some)
    try:
        result = run_plan(
            plan(*steps, stack=(400, 50, 50), factors=Factors(scale_strength=scale))
        )
    except PlanError:  # the first may have left too little for the second
        assume(len(chosen) == 1)
        raise
    for before, after in pairwise(result.steps):
        assert before.mass + after.added == pytest.approx(after.mass + after.lost)
    assert result.start_mass + result.added == pytest.approx(
        result.clean_mass + total(result.loss)
    )
    assert result.retained == pytest.approx(
        result.clean_mass / (result.start_mass + result.added)
    )


@settings(max_examples=30)
@given(
    st.lists(st.floats(120.0, 200.0), min_size=2, max_size=5),
    st.sampled_from(
        [(SQUARE, Twist(turns=2.0)), (FLAT, VEE), (FLAT, DRILLED), (FLAT, LAID, Weld())]
    ),
)
def test_arrays_equal_scalars(lengths, steps):
    def of(length):
        whole = plan(*steps)
        result = run_plan(replace(whole, stack=replace(whole.stack, length=length)))
        (made,) = result.pattern
        return [
            result.clean_mass, result.clean_thickness, result.heats, result.added,
            total(result.loss), made.shear, made.face_shear, made.depth_share,
            made.removed_share, made.core_share,
        ]  # fmt: skip

    metres = np.array(lengths) * MM
    together = [np.broadcast_to(one, metres.shape) for one in of(metres)]
    alone = np.array([of(float(one)) for one in metres]).T
    assert np.array(together) == pytest.approx(alone)


# --- layers --------------------------------------------------------------------------


@given(
    st.integers(3, 15).filter(lambda one: one % 2 == 1),
    st.integers(2, 5),
)
def test_layers_of_a_cored_billet_equal_the_counting_formula(layers, pieces):
    """Counting: a restack loses a line at each joint, a core of its own none."""
    thick = Draw(width=40 * MM, thickness=8 * MM)
    result = run_plan(
        plan(
            Draw(width=40 * MM, thickness=12 * MM), Cut(pieces=pieces), Weld(), thick,
            LAID, stack=(700, 45, 45), layers=layers,
            factors=Factors(scale_strength=0.0), forge=Forge(door_height=0.5),
        )
    )  # fmt: skip
    start = Counted(layers=np.array([layers]), top=np.array([0]), bottom=np.array([0]))
    jacket = int(after_cut(start, np.array([pieces])).layers[0])
    assert result.distinct == len(result.sequence) == 2 * jacket + 1
    assert result.pattern[0].layers_before == jacket


@pytest.mark.parametrize(
    "steps", [(SQUARE, Twist(turns=2.0)), (FLAT, VEE), (FLAT, DRILLED)]
)
def test_figures_name_the_layers_they_were_made_from(steps):
    result = run_plan(cold(*steps))
    (made,) = result.pattern
    assert (made.layers_before, made.number) == (9, 3)
    assert result.distinct == 9


def test_a_core_keeps_its_share_when_it_is_drawn():
    """Uniform drawing thins core and jackets alike."""
    thin = Draw(width=40 * MM, thickness=6 * MM)
    result = run_plan(cold(FLAT, LAID, Weld(), thin))
    share = max(part for key, part in result.sequence if key == "hard")
    assert share == pytest.approx(6 / 26)


def test_depth_and_later_grinding_are_told():
    result = run_plan(cold(FLAT, VEE, Grind(face=0.45 * MM)))
    (made,) = result.pattern
    assert made.depth_share == pytest.approx(0.3)
    assert made.ground_share == pytest.approx(0.1)


# --- flags and refusals --------------------------------------------------------------


@pytest.mark.parametrize(
    ("turns", "level"), [(2.0, None), (5.0, "amber"), (9.0, "red")]
)
def test_shear_above_the_usual_is_told(turns, level):
    """Common practice, no source: amber above 1.7 at the corner, red above 3."""
    stack = (80, 30, 30)
    result = run_plan(cold(SQUARE, Twist(turns=turns, octagon=False), stack=stack))
    shear = result.pattern[0].shear
    assert shear == pytest.approx(
        2 * math.pi * turns * (20 * MM / math.sqrt(2)) / result.steps[2].length
    )
    assert (level == "red", level == "amber") == (shear > 3, 1.7 < shear <= 3)
    assert [one[1] for one in flagged(result) if one[0] == "turns"] == (
        [level] if level else []
    )


def test_an_uneven_square_is_told():
    sides = Draw(width=24 * MM, thickness=20 * MM)
    assert ("kind", "amber") in flagged(run_plan(cold(sides, Twist(turns=1.0))))


@pytest.mark.parametrize(("depth", "told"), [(3.9, False), (4.2, True)])
def test_deep_cuts_are_told(depth, told):
    """Common practice, no source: four tenths of the thickness from each face."""
    for step in (VEE, DRILLED):
        result = run_plan(cold(FLAT, replace(step, depth=depth * MM)))
        assert (("depth", "amber") in flagged(result)) is told


@pytest.mark.parametrize(("thick", "told"), [(4.0, True), (8.0, False), (15.0, True)])
def test_unusual_core_is_noted(thick, told):
    """Common practice, no source: a quarter to four tenths of the thickness."""
    result = run_plan(cold(FLAT, replace(LAID, thickness=thick * MM)))
    assert (("core", "note") in flagged(result)) is told


@pytest.mark.parametrize(
    ("steps", "field", "says"),
    [
        ((FLAT, Twist(turns=2.0)), "kind", "draw it square"),
        ((SQUARE, Twist(turns=0.0)), "turns", "above zero"),
        ((SQUARE, Twist(turns=500.0)), "turns", "typing mistake"),
        ((FLAT, replace(VEE, depth=5 * MM)), "depth", "cut no deeper"),
        ((FLAT, replace(DRILLED, depth=6 * MM)), "depth", "cut no deeper"),
        ((FLAT, replace(VEE, pitch=3 * MM)), "pitch", "space them wider"),
        ((FLAT, replace(DRILLED, pitch=6 * MM)), "pitch", "space them wider"),
        ((FLAT, Trim(per_end=0.25), LAID), "core", "draw the bar thinner"),
        ((FLAT, replace(LAID, width=30 * MM)), "core", "take a wider bar"),
        ((FLAT, replace(LAID, thickness=0.0)), None, ""),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_refused_with_a_way_out(steps, field, says):
    with pytest.raises(PlanError) as caught:
        run_plan(plan(*steps))
    assert says in caught.value.message
    if field:
        assert caught.value.field == field


def test_a_hard_core_may_be_what_burns_first():
    """The higher carbon of a core counts for every heat after it is laid in."""
    hot = Weld(temperature=1250 + 273.15)

    def red(steel):
        steps = (FLAT, replace(LAID, steel=steel), hot)
        return {flag.values.get("step") for flag in run_plan(plan(*steps)).flags
                if flag.field == "temperature" and flag.level == "red"}  # fmt: skip

    assert 4 in red(replace(HARD, carbon=1.2))
    assert 4 not in red(replace(HARD, carbon=0.2))
