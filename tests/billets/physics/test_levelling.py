"""Carbon and alloying through a whole plan: the page's worked cases, and laws."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from billets.physics.bar import Layer, Stack, Steel
from billets.physics.diffusion import added_up, difference_left
from billets.physics.diffusivity import diffusivity
from billets.physics.factors import PRIORS, sample
from billets.physics.levelling import BLADE_HEATS, level_plan
from billets.physics.neighbours import edge_steels, touching
from billets.physics.plan import PlanInput, run_plan
from billets.physics.profile import (
    MOST_CELLS,
    Profile,
    evened,
    joined,
    laid,
    regridded,
    stacked_up,
    upside_down,
    without_cells,
)
from billets.physics.steps import Core, Cut, Draw, Fold, Grind, Twist, Weld
from tests.billets.physics.plans import MM, worked_case
from tests.billets.physics.steels import grade, kelvin

KEYS = {"1084": "1084", "75Ni8": "15n20", "nickel": "nickel"}


def steel(key, density=7850.0, **changes):
    found = grade(key, **changes)
    return Steel(key, found.name, found.carbon, density, found.etch, found)


DARK, BRIGHT = steel("1084"), steel("15n20")


def stack(*layers, length=150, width=40):
    """Layers as (steel, mm)."""
    return Stack(
        tuple(Layer(one, thickness * MM) for one, thickness in layers),
        length * MM,
        width * MM,
    )


def in_turn(count, thickness, steels=(DARK, BRIGHT)):
    each = thickness / count
    return stack(*((steels[place % len(steels)], each) for place in range(count)))


def levelled(layers, *steps, **given):
    plan = PlanInput(stack=layers, steps=steps)
    return level_plan(plan, run_plan(plan), **given)


def worked():
    return replace(worked_case(), stack=in_turn(15, 38))


# --- mean carbon by mass -------------------------------------------------------------


@pytest.mark.parametrize(
    ("layers", "expected"),
    [
        ((("1084", 24, 7850), ("15n20", 15, 7850)), 0.8177),
        ((("90mncrv8", 20, 7850), ("15n20", 12, 7850), ("45nicrmo16", 4, 7850)), 0.8),
        ((("1095", 10, 7850), ("nickel", 1, 8890)), 0.8674),
    ],
)
def test_mean_carbon_is_by_mass(layers, expected):
    """Arithmetic: sums of thickness, density and carbon. A nickel foil counts by its
    own density; by thickness it would be 0.8773."""
    masses = [thickness * density for _key, thickness, density in layers]
    carbon = [0.05 if key == "nickel" else grade(key).carbon for key, *_rest in layers]
    profile = laid(masses, range(len(layers)), np.array([carbon]))
    assert profile.contents[0].mean() == pytest.approx(expected, abs=5e-5)


def test_stack_that_loses_nothing_keeps_its_mean_carbon():
    found = levelled(in_turn(15, 38), Weld(seconds=0.0), blade_heats=0)
    carbon = (8 * DARK.carbon + 7 * BRIGHT.carbon) / 15
    assert found.mean_carbon == pytest.approx(carbon, abs=1e-3)
    assert found.carbon_left == pytest.approx(1.0)


# --- worked cases --------------------------------------------------------------------


def test_three_steels_in_turn():
    """1 mm each of 0.96, 0.75 and 0.45 % carbon, 1200 °C, half an hour: highest less
    lowest 0.1755 of 0.5100. By Fourier's series of the repeat, with Callister's
    constants; seen in the middle of a stack of many repeats."""
    repeats, cells = 21, 60
    carbon = np.tile(np.repeat([0.96, 0.75, 0.45], cells), repeats)
    profile = Profile(contents=carbon[np.newaxis], steels=np.zeros(carbon.size, int))
    thickness = 3e-3 * repeats
    spread = float(diffusivity("carbon", kelvin(1200))) * 1800.0 / thickness**2
    level = evened(profile, np.array([spread])).contents[0]
    middle = level[10 * 3 * cells : 11 * 3 * cells]
    assert np.ptp(middle) == pytest.approx(0.1755, abs=5e-4)


def test_tool_steel_and_nickel_steel_level_in_carbon_and_keep_their_nickel():
    """A paper on the structure of a welded blade billet of W2 and nickel steel: at
    about 0.15 mm carbon is level and nickel has hardly moved."""
    w2, nickel = steel("w2"), steel("15n20")
    contents = np.array([[w2.carbon, nickel.carbon], [0.0, 1.95]])
    layers = 40
    profile = laid([1.0] * layers, [place % 2 for place in range(layers)], contents)
    speeds = [diffusivity(one, kelvin(1200)) for one in ("carbon", "nickel")]
    spread = np.array(speeds) * 600.0 / (layers * 0.15e-3) ** 2
    held = evened(profile, spread).contents
    cells = profile.cells
    # Faces apart, which have a neighbour on one side only.
    inside = held[:, cells // 2 - cells // layers : cells // 2 + cells // layers]
    left = np.ptp(inside, axis=1) / np.ptp(contents, axis=1)
    assert left[0] < 0.01
    assert left[1] > 0.99


@pytest.mark.parametrize("element", ["nickel", "chromium", "manganese"])
def test_series_and_plan_agree_for_equal_layers(element):
    """Long welds and a draw of thin equal layers, against the series summed up heat by
    heat (Crank, quoted from memory)."""
    count, steps = (
        101,
        (
            Weld(heats=4, seconds=900.0),
            Draw(width=35 * MM, thickness=4.0 * MM, seconds=300.0),
        ),
    )
    plan = PlanInput(stack=in_turn(count, 6), steps=steps)
    result = run_plan(plan)
    found = level_plan(plan, result).contrast[element]
    heats = []
    for step, before, after in zip(steps, result.steps, result.steps[1:], strict=False):
        turns, first = int(after.heats), before.thickness
        speed = float(diffusivity(element, step.temperature))
        heats += [
            (speed, after.at_heat / turns,
             first * (after.thickness / first) ** (turn / turns) / count)
            for turn in range(turns)
        ]  # fmt: skip
    assert found == pytest.approx(float(difference_left(added_up(heats))), abs=0.03)


@pytest.mark.parametrize(
    ("element", "expected", "within"),
    [("nickel", 0.997, 0.004), ("manganese", 0.996, 0.005), ("chromium", 0.67, 0.05)],
)
def test_pattern_of_the_worked_case(element, expected, within):
    """The case of three welds, then ten heats of 110 s at 1100 °C at 13 microns a
    layer: by the series with constants quoted from memory."""
    plan = worked()
    result = run_plan(plan)
    thickness = float(result.steps[-1].thickness)
    spine = 13e-6 * result.left
    bar = level_plan(plan, result)
    speed = float(diffusivity(element, kelvin(1100)))
    blade = float(difference_left(speed * 1100.0 / (13e-6) ** 2))
    assert spine < thickness
    # What the plan leaves and what the heats at 13 microns leave: together at least.
    assert bar.contrast[element] * blade == pytest.approx(expected, abs=0.07)
    found = level_plan(plan, result, spine=spine, blade_heats=10).contrast[element]
    assert expected - within <= found + 0.003


def test_thick_layers_are_not_level_and_a_hundred_are():
    """Common practice, no source, confirmed by the series: a stack of five or seven
    layers is not level, one of a hundred and more is."""
    few = levelled(
        in_turn(5, 20), Weld(), Draw(width=40 * MM, thickness=6 * MM), blade_heats=0
    )
    plan = worked()
    many = level_plan(plan, run_plan(plan), spine=3 * MM)
    assert few.carbon_left > 0.5
    assert many.carbon_left < 0.05


# --- laws ----------------------------------------------------------------------------


@given(st.lists(st.floats(0.0, 2.0), min_size=2, max_size=60), st.floats(1e-9, 10.0))
def test_evening_out_keeps_the_mean_and_passes_no_extreme(values, spread):
    """Nothing leaves by the faces, and heat never makes a difference greater."""
    held = np.repeat(np.array(values), 8)
    profile = Profile(contents=held[np.newaxis], steels=np.zeros(held.size, int))
    after = evened(profile, np.array([spread])).contents[0]
    assert after.mean() == pytest.approx(held.mean(), abs=1e-12)
    assert after.max() <= held.max() + 1e-9
    assert after.min() >= held.min() - 1e-9


@given(st.floats(1e-6, 1e-1), st.floats(1e-6, 1e-1))
def test_two_heats_are_one_of_both(first, second):
    profile = laid([1.0, 2.0, 0.5], [0, 1, 0], np.array([[0.9, 0.4]]))
    apart = evened(evened(profile, np.array([first])), np.array([second]))
    once = evened(profile, np.array([first + second]))
    np.testing.assert_allclose(apart.contents, once.contents, atol=1e-12)


def test_long_enough_is_level():
    profile = laid([1.0, 2.0, 0.5], [0, 1, 0], np.array([[0.9, 0.4]]))
    after = evened(profile, np.array([50.0])).contents[0]
    assert np.ptp(after) == pytest.approx(0.0, abs=1e-12)


@given(st.integers(2, 9), st.booleans())
def test_rearranging_keeps_what_is_held(pieces, turned):
    profile = laid([1.0, 2.0, 0.5], [0, 1, 2], np.array([[0.9, 0.4, 0.6]]))
    pile = stacked_up(profile, pieces, turned=turned)
    assert pile.contents.mean() == pytest.approx(profile.contents.mean(), abs=1e-12)
    assert pile.cells <= MOST_CELLS
    over = upside_down(upside_down(profile))
    np.testing.assert_array_equal(over.contents, profile.contents)


@given(st.integers(1, 700))
def test_coarser_grid_keeps_the_mean(most):
    profile = laid([1.0] * 30, [0, 1] * 15, np.array([[0.9, 0.4]]))
    coarse = regridded(profile, most)
    assert coarse.cells <= most or coarse.cells == profile.cells
    assert coarse.contents.mean() == pytest.approx(profile.contents.mean(), abs=1e-12)


def test_skin_comes_off_both_faces():
    profile = laid([1.0, 8.0, 1.0], [0, 1, 0], np.array([[0.9, 0.4]]))
    bare = without_cells(profile, profile.cells // 5)
    assert set(bare.steels) == {1}
    assert without_cells(profile, profile.cells).cells >= 1
    assert joined([bare, bare]).cells == 2 * bare.cells


@settings(max_examples=15, deadline=None)
@given(st.floats(30.0, 600.0), st.floats(30.0, 600.0))
def test_longer_at_heat_leaves_less_difference(first, second):
    short, long = sorted((first, second))
    layers = in_turn(15, 38)
    steps = (Draw(width=40 * MM, thickness=20 * MM),)
    one = levelled(layers, Weld(seconds=short), *steps)
    other = levelled(layers, Weld(seconds=long), *steps)
    assert other.carbon_left <= one.carbon_left + 0.02
    assert other.contrast["nickel"] <= one.contrast["nickel"] + 1e-6


@pytest.mark.parametrize("pieces", [2, 3, 5])
def test_nickel_keeps_more_contrast_than_carbon(pieces):
    found = levelled(
        in_turn(15, 38),
        Weld(),
        Draw(width=40 * MM, thickness=10 * MM),
        Grind(),
        Cut(pieces=pieces),
        Weld(),
    )
    assert found.contrast["nickel"] >= found.carbon_left
    assert found.contrast["nickel"] >= found.contrast["chromium"]


def test_turning_the_stack_over_changes_nothing():
    layers = stack((DARK, 3), (BRIGHT, 2), (DARK, 5), (BRIGHT, 1))
    over = replace(layers, layers=layers.layers[::-1])
    steps = (Weld(), Draw(width=40 * MM, thickness=6 * MM), Fold(), Weld())
    one, other = levelled(layers, *steps), levelled(over, *steps)
    assert one.carbon_left == pytest.approx(other.carbon_left, rel=0.05)
    assert one.contrast["nickel"] == pytest.approx(other.contrast["nickel"], abs=0.01)
    by_key = {one.key: one.low for one in other.layers}
    for layer in one.layers:
        assert layer.low == pytest.approx(by_key[layer.key], abs=0.01)


def test_blade_heats_level_further():
    plan = worked()
    result = run_plan(plan)
    bar, blade = level_plan(plan, result), level_plan(plan, result, spine=2.5 * MM)
    assert blade.carbon_left < bar.carbon_left
    assert blade.contrast["chromium"] < bar.contrast["chromium"]
    assert (bar.blade_heats, blade.blade_heats) == (0, BLADE_HEATS)
    assert blade.seconds > bar.seconds
    assert blade.thickness == pytest.approx(2.5 * MM)


def test_twist_counts_as_heats():
    bar = (Weld(), Draw(width=20 * MM, thickness=20 * MM, seconds=0.0))
    twist = Twist(turns=3.0, octagon=False)
    plain, twisted = (
        levelled(in_turn(15, 38, steels=(DARK, BRIGHT)), *bar, *more)
        for more in ((), (twist,))
    )
    assert twisted.seconds > plain.seconds
    assert twisted.carbon_left < plain.carbon_left


def test_core_keeps_its_carbon_and_its_place():
    """A thick core does not level into its jackets: common practice, no source."""
    core = steel("1095")
    soft = steel("mild-1010")
    layers = stack((soft, 10), (BRIGHT, 10))
    steps = (
        Weld(heats=1),
        Draw(width=40 * MM, thickness=8 * MM),
        Core(steel=core, thickness=6 * MM),
        Weld(heats=1),
        Draw(width=40 * MM, thickness=8 * MM),
    )
    plan = PlanInput(stack=layers, steps=steps)
    result = run_plan(plan)
    found = level_plan(plan, result)
    assert found.carbon["1095"].high > 0.9
    assert found.carbon_left > 0.5
    share = sum(part for key, part in result.sequence if key == "1095")
    by_hand = sum(
        part * {"1095": 0.96, "mild-1010": 0.10, "15n20": 0.75}[key]
        for key, part in result.sequence
    )
    assert 0.2 < share < 0.4
    assert found.mean_carbon == pytest.approx(by_hand, abs=0.02)


def test_steel_of_which_nothing_is_known_levels_in_carbon_only():
    unknown = Steel("own", "own steel", 0.9)
    found = levelled(in_turn(15, 38, steels=(unknown, BRIGHT)), Weld())
    assert set(found.contrast.values()) == {None}
    assert 0.0 < found.carbon_left <= 1.0


def test_sampled_plan_levels_like_the_plain_one():
    plan = worked()
    drawn = replace(plan, factors=sample(PRIORS, np.random.default_rng(3), 200))
    plain = level_plan(plan, run_plan(plan), spine=3 * MM)
    sampled = level_plan(drawn, run_plan(drawn), spine=3 * MM)
    assert sampled.mean_carbon == pytest.approx(plain.mean_carbon, abs=0.01)
    assert sampled.contrast["nickel"] == pytest.approx(
        plain.contrast["nickel"], abs=0.02
    )


def test_results_cannot_be_changed():
    plan = worked()
    found = level_plan(plan, run_plan(plan))
    assert isinstance(found.contrast, MappingProxyType)


@pytest.mark.parametrize("cycles", [2, 4, 6])
def test_many_layers_stay_within_the_grid(cycles):
    draw = Draw(width=40 * MM, thickness=9 * MM)
    steps = (Weld(heats=1), draw, Cut(pieces=4)) * cycles
    layers = stack(*((one, 38 / 7) for one in (DARK, BRIGHT) * 3 + (DARK,)), length=400)
    found = levelled(layers, *steps, Weld(heats=1))
    assert found.carbon_left < 0.5
    assert 0.0 <= found.contrast["nickel"] <= 1.0


# --- neighbours ----------------------------------------------------------------------


def test_edge_lies_in_the_middle_of_the_thickness():
    sequence = (("a", 0.4), ("b", 0.2), ("a", 0.4))
    assert edge_steels(sequence, 3e-3, 0.2e-3) == ("b",)
    assert edge_steels(sequence, 3e-3, 1.0e-3) == ("a", "b")
    assert edge_steels(sequence, 0.0, 0.0) == ("b",)


def test_every_touching_pair_is_named_once():
    sequence = (("a", 0.3), ("b", 0.2), ("a", 0.2), ("c", 0.3))
    assert touching(sequence) == (("a", "b"), ("a", "c"))
