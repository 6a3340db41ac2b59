"""What is known of the trade, and what the program must say of it; no source."""

import pytest

from billets.physics.equipment import Forge, Tool
from billets.physics.plan import run_plan
from shop.stages import SLOW_COOLING, STAGES
from tests.billets.physics.plans import worked_case

TONNE = 9806.65


def test_forge_of_1300_degrees_is_no_fault():
    """Fact 1: it runs at about 1300 C for welding; common practice, no source."""
    forge = Forge(wall_temperature=1300 + 273.15)
    result = run_plan(worked_case(forge=forge))
    assert not [flag for flag in result.flags if flag.level == "red"]


def test_fifteen_cut_in_five_and_three_are_75_and_225():
    """Fact 2: 75, then about 225 to 250 layers; common practice, no source.

    Told apart are fewer, since at each joint two layers of one steel meet.
    """
    result = run_plan(worked_case())
    welded = [step for step in result.steps if step.kind == "weld"]
    assert [step.layers for step in welded] == [15, 75, 225]
    assert [step.distinct for step in welded] == [15, 15 * 5 - 4, 71 * 3 - 2]


def test_the_small_press_draws_this_billet():
    """Fact 4: possible, in narrow bites and more heats; common practice, no source."""
    small, large = (
        run_plan(worked_case(tool=Tool(force=tonnes * TONNE))) for tonnes in (7, 25)
    )
    assert small.heats > large.heats
    assert not small.used_up


def test_a_blade_cools_slowly_in_the_closed_oven_after_forging():
    """Fact 6: a step of the forge stage, waiting, quiet; common practice, no source."""
    forge = STAGES[0]
    assert (forge.key, forge.waiting) == ("forge", (SLOW_COOLING,))
    assert forge.work[-1] == SLOW_COOLING


def test_a_kilogram_ends_a_little_under_half():
    """Fact 5: 0.40 to 0.50 kept of about a kilogram; common practice, no source."""
    result = run_plan(worked_case(stack=(120, 38, 30)))
    assert result.start_mass == pytest.approx(1.07, abs=0.01)
    assert 0.40 <= result.retained <= 0.50
