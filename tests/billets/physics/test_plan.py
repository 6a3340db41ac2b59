"""The worked case of three welds, and facts of the trade beside it."""

from dataclasses import replace

import pytest

from billets.physics.bar import Layer
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.equipment import TOOLS, Forge, Saw
from billets.physics.factors import Factors
from billets.physics.heating import (
    RETURN,
    ROOM,
    floor_depth,
    heating_integral,
    heating_time,
    soak_time,
)
from billets.physics.hot_rules import LOOSE_STACK, WELD_HOLD
from billets.physics.plan import PlanInput, run_plan
from billets.physics.steps import WELDING_HEAT, Draw, Fold, Grind, Trim, Weld
from tests.billets.physics.plans import (
    BRIGHT,
    DARK,
    HOUR,
    MM,
    alternating,
    cycle,
    three_welds,
    worked_case,
)

MASSES = [
    1.7898, 1.7181, 1.6445, 1.5849, 1.4039, 1.3870, 1.3311, 1.2798,
    1.2358, 1.1361, 1.1232, 1.0753, 1.0070, 0.9858, 0.8142,
]  # fmt: skip
RETAINED = [
    1, 0.9599, 0.9188, 0.8855, 0.7844, 0.7749, 0.7437, 0.7151,
    0.6905, 0.6348, 0.6275, 0.6008, 0.5626, 0.5508, 0.4549,
]  # fmt: skip


def test_pinned_masses_after_every_step():
    """Pinned: the model's worked case, all defaults."""
    steps = run_plan(worked_case()).steps
    assert [step.mass for step in steps] == pytest.approx(MASSES, abs=5e-4)
    assert [step.retained for step in steps] == pytest.approx(RETAINED, abs=5e-4)


def test_pinned_bar_and_clean_bar():
    """Pinned: the model's worked case; the bar is what the last draw leaves."""
    result = run_plan(worked_case())
    assert result.bar_mass == pytest.approx(1.0070, abs=5e-4)
    assert result.bar_mass / result.start_mass == pytest.approx(0.5626, abs=5e-4)
    assert result.bar_length == pytest.approx(475.1 * MM, abs=0.1 * MM)
    assert (result.bar_width, result.bar_thickness) == pytest.approx((45 * MM, 6 * MM))
    assert result.clean
    assert result.clean_mass == pytest.approx(0.8142, abs=5e-4)
    assert result.clean_thickness == pytest.approx(5 * MM)


def test_pinned_losses_by_cause():
    """Pinned: the model's worked case, percent of the stack."""
    result = run_plan(worked_case())
    loss = result.loss
    lost = (loss.grind, loss.draw_scale, loss.weld_scale, loss.trim, loss.kerf)
    percent = [100 * one / result.start_mass for one in lost]
    assert percent == pytest.approx([25.27, 10.79, 9.80, 6.97, 1.67], abs=0.01)


def test_pinned_first_weld_heat_counts_edges_once():
    """Pinned: 24.11 g in one heat of a stack of 150 x 40 x 38."""
    plan = replace(worked_case(), steps=(Weld(heats=1),))
    result = run_plan(plan)
    assert result.loss.weld_scale == pytest.approx(24.11e-3, rel=1e-3)


HAND = replace(TOOLS["hand"])
OXIDISING = Forge(atmosphere="oxidising")
VARIANTS = [
    ({"tool": HAND}, 0.3268),
    ({"forge": OXIDISING}, 0.3791),
    ({"tool": HAND, "forge": OXIDISING}, 0.2138),
    ({"forge": Forge(atmosphere="can")}, 0.5343),
    ({"factors": Factors(scale_strength=0.4)}, 0.5273),
    ({"factors": Factors(scale_strength=1.6)}, 0.3416),
    ({"factors": Factors(grind=0.5)}, 0.5550),
    ({"factors": Factors(grind=2.0)}, 0.2937),
    ({"factors": Factors(weld_time=0.5)}, 0.4688),
    ({"factors": Factors(weld_time=2.0)}, 0.4357),
    ({"factors": Factors(weld_heats=-1.0)}, 0.4763),
    ({"factors": Factors(weld_heats=2.0)}, 0.4190),
    ({"factors": Factors(edge_grind=0.0)}, 0.4691),
    ({"factors": Factors(edge_grind=2.5)}, 0.4342),
    ({"factors": Factors(strain=0.18 / 0.35)}, 0.3888),
    ({"factors": Factors(strain=2.0)}, 0.4927),
]


@pytest.mark.parametrize(("given", "retained"), VARIANTS)
def test_pinned_variants_of_the_worked_case(given, retained):
    """Pinned: one change each from the defaults."""
    result = run_plan(worked_case(**given))
    assert result.retained == pytest.approx(retained, abs=5e-4)


def test_pinned_careful_shop():
    """Pinned: leaner gas (0.4 instead of 0.6), less grinding, shorter ends."""
    # Scale in the forge goes with the atmosphere, scale in air does not; here the
    # registry's value is put in place of the shop's.
    steps = three_welds(trims=(6, 3, 3), face=0.3)
    plan = replace(worked_case(), steps=steps)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("billets.physics.hot_rules.ATMOSPHERES", {"rich": 0.4})
        assert run_plan(plan).retained == pytest.approx(0.5904, abs=5e-4)


@pytest.mark.parametrize(("kerf", "retained"), [(0.0, 0.4664), (3.2, 0.4434)])
def test_pinned_kerf(kerf, retained):
    """Pinned: the saw alone changed."""
    plan = replace(worked_case(), saw=Saw(kerf=kerf * MM))
    assert run_plan(plan).retained == pytest.approx(retained, abs=5e-4)


@pytest.mark.parametrize(
    ("stack", "sections", "retained"),
    [
        ((120, 30, 30), ((30, 8), (30, 11), (30, 6)), 0.3791),
        ((150, 50, 45), ((50, 11), (50, 16), (45, 7)), 0.5015),
        ((200, 50, 45), ((50, 11), (50, 16), (45, 7)), 0.5195),
    ],
)
def test_pinned_other_stacks(stack, sections, retained):
    """Pinned: a bigger billet wastes less in percent."""
    result = run_plan(worked_case(stack, sections=sections))
    assert result.retained == pytest.approx(retained, abs=5e-4)


def test_pinned_minutes_and_gas():
    """Pinned: 22 heats, 1.5 kg of gas an hour, one lighting."""
    result = run_plan(worked_case())
    assert result.heats == 22
    assert result.heating_seconds / 60 == pytest.approx(101.2, abs=0.05)
    assert result.working_seconds / 60 == pytest.approx(16.5)
    burning = result.heating_seconds + result.working_seconds
    assert burning / 60 == pytest.approx(117.7, abs=0.05)
    assert result.forge_seconds / 60 == pytest.approx(137.7, abs=0.05)
    assert result.gas == pytest.approx(3.44, abs=0.005)


def test_pinned_first_weld_heat_on_the_clock():
    """Pinned: 9.33 min to heat the loose stack, 11.9 with soak and hold."""
    integral = heating_integral(ROOM, WELDING_HEAT, Forge().wall_temperature)
    heating = LOOSE_STACK * heating_time(floor_depth(40 * MM, 38 * MM), integral)
    assert heating / 60 == pytest.approx(9.33, abs=0.01)
    whole = heating + soak_time(40 * MM, 38 * MM) + WELD_HOLD
    assert whole / 60 == pytest.approx(11.9, abs=0.05)


def test_attended_time_adds_bench_work_to_the_forge():
    """Common practice, no source: 35 min at each weld and 30 min setting up."""
    result = run_plan(worked_case())
    bench = 3 * 35 * 60 + 30 * 60
    assert result.attended_seconds == pytest.approx(result.forge_seconds + bench)
    slow = run_plan(worked_case(factors=Factors(hours=1.5)))
    assert slow.attended_seconds == pytest.approx(1.5 * result.attended_seconds)


def test_billet_hours_are_those_makers_tell_of():
    """Common practice, no source: two to nine hours for such a billet, likely four."""
    assert 2 * HOUR < run_plan(worked_case()).attended_seconds < 9 * HOUR


def test_somewhat_more_than_half_is_lost_in_three_welds():
    """Common practice, no source: 15 to 75 to about 250 layers keeps 0.47.

    Not a blind check: the case was known while the model was made. A billet of
    about a kilogram ends a little under half once it is clean.
    """
    result = run_plan(worked_case())
    assert result.retained == pytest.approx(0.47, abs=0.12)
    assert 0.40 <= result.retained <= 0.50


def test_fifteen_layers_cut_in_five_and_three_are_told_both_ways():
    """Common practice, no source: about 75, then about 225 to 250 layers."""
    result = run_plan(worked_case())
    counts = [(step.layers, step.distinct) for step in result.steps]
    assert counts[0] == (15, 15)
    assert counts[5] == (75, 71)
    assert (result.layers, result.distinct) == (225, 211)


def test_outer_layers_go_with_scale_and_grinding():
    """Fewer layers are left than are counted, and what is left still adds to one."""
    result = run_plan(worked_case())
    left = [step.left for step in result.steps]
    assert result.left < result.distinct
    assert left[1:5] == sorted(left[1:5], reverse=True)
    assert len(result.sequence) == result.left
    assert sum(share for _key, share in result.sequence) == pytest.approx(1.0)


def test_welding_forge_at_1300_degrees_is_no_fault():
    """Common practice, no source: the wall is hotter than the steel."""
    forge = Forge(wall_temperature=1300 + ZERO_CELSIUS)
    assert run_plan(worked_case(forge=forge)).flags == ()


def test_bar_left_as_forged_is_not_called_clean():
    plan = replace(worked_case(), steps=three_welds()[:-2])
    result = run_plan(plan)
    assert not result.clean
    assert result.clean_mass == result.bar_mass
    assert result.bar_mass == pytest.approx(1.0070, abs=5e-4)


def test_hot_length_is_told_beside_the_cold_one():
    """EN 1993-1-2: 0.0168 longer at 1150 °C; cold work is not hot."""
    steps = run_plan(worked_case()).steps
    assert steps[2].expansion == pytest.approx(0.0168, rel=1e-3)
    assert steps[3].expansion == 0.0


def test_pieces_are_told_after_a_cut():
    steps = run_plan(worked_case()).steps
    assert [step.pieces for step in steps[4:7]] == [1, 5, 1]


def test_plain_plan_gives_plain_floats():
    result = run_plan(worked_case())
    assert type(result.bar_mass) is type(result.gas) is float
    assert result.used_up is False


def test_stack_of_unlike_steels_weighs_by_volume():
    """Conservation: a denser steel makes a heavier bar of the same size."""
    heavy = replace(BRIGHT, density=8000.0)
    stack = alternating(15, 150, 40, 38)
    layers = tuple(
        Layer(heavy if layer.steel is BRIGHT else DARK, layer.thickness)
        for layer in stack.layers
    )
    plain = run_plan(worked_case())
    mixed = run_plan(replace(worked_case(), stack=replace(stack, layers=layers)))
    density = (8 * 7850 + 7 * 8000) / 15
    assert mixed.start_mass / plain.start_mass == pytest.approx(density / 7850)
    # Scale weighs the same, so it takes a little less depth off denser steel.
    assert mixed.retained > plain.retained


def test_fold_halves_the_length_for_the_width_of_one_cut():
    steps = (*cycle(40, 20)[:2], Fold(), Weld())
    result = run_plan(PlanInput(stack=alternating(8, 150, 40, 40), steps=steps))
    before, after = result.steps[2], result.steps[3]
    assert after.length == pytest.approx((before.length - 1.6 * MM) / 2)
    assert after.thickness == pytest.approx(2 * before.thickness)
    assert (after.layers, after.distinct) == (16, 15)
    hot = run_plan(
        PlanInput(stack=alternating(8, 150, 40, 40), steps=steps, saw=Saw(kerf=0.0))
    )
    assert hot.steps[3].lost == 0


def test_bar_that_went_cold_takes_longer_to_heat():
    """A bar trimmed between two draws comes back from room temperature."""
    hot = (Weld(), Draw(width=40 * MM, thickness=20 * MM))
    again = Draw(width=40 * MM, thickness=14 * MM)
    stack = alternating(15, 150, 40, 38)
    straight = run_plan(PlanInput(stack=stack, steps=(*hot, again)))
    paused = run_plan(PlanInput(stack=stack, steps=(*hot, Trim(per_end=0.0), again)))
    assert paused.bar_mass == pytest.approx(straight.bar_mass)
    forge, depth = Forge(), floor_depth(40 * MM, 20 * MM)
    wall = forge.wall_temperature
    longer = heating_time(
        depth,
        heating_integral(ROOM, again.temperature, wall)
        - heating_integral(RETURN, again.temperature, wall),
    )
    waited = paused.heating_seconds - straight.heating_seconds
    assert waited == pytest.approx(longer)


def test_every_lighting_warms_the_forge_again():
    once = run_plan(worked_case())
    twice = run_plan(replace(worked_case(), lightings=2))
    assert twice.forge_seconds - once.forge_seconds == pytest.approx(20 * 60)


def test_slow_shop_burns_more_gas():
    once = run_plan(worked_case())
    slow = run_plan(worked_case(factors=Factors(heating_time=1.3, gas=1.1)))
    assert slow.forge_seconds == pytest.approx(1.3 * once.forge_seconds)
    assert slow.gas == pytest.approx(1.3 * 1.1 * once.gas)
    assert slow.bar_mass == once.bar_mass


def test_weld_takes_at_least_one_heat():
    result = run_plan(worked_case(factors=Factors(weld_heats=-9.0)))
    assert result.steps[1].heats == 1


def test_ground_bar_without_trim_keeps_its_length():
    plan = replace(worked_case(), steps=(*three_welds()[:-2], Grind()))
    result = run_plan(plan)
    assert result.clean_length == pytest.approx(result.bar_length)
