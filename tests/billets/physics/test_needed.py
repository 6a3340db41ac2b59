"""The length each draw needs: on the chain it gives what is wanted, and no more."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from billets.physics.chances import stack_for
from billets.physics.equipment import Tool
from billets.physics.factors import PRIORS, Factors
from billets.physics.guards import LONGEST
from billets.physics.lengths import needed_lengths, with_length
from billets.physics.plan import run_plan
from billets.physics.sure import needs_of, stack_with
from billets.physics.uncertainty import sampled_input
from billets.physics.verdict import Target
from tests.billets.physics.plans import MM, worked_case

TONNE = 9806.65
TOOLS = {
    "hand": Tool(kind="hand", strain=0.12),
    "press of unknown force": Tool(),
    "7 t": Tool(force=7 * TONNE),
    "25 t": Tool(force=25 * TONNE),
}
tools = pytest.mark.parametrize("tool", TOOLS.values(), ids=list(TOOLS))


def ends(plan, length):
    result = run_plan(with_length(plan, length))
    return result.clean_mass, result.clean_length


@tools
@pytest.mark.parametrize("mass", [0.9, 2.5])
def test_each_draw_ends_with_what_is_wanted(tool, mass):
    """Round trip, draw by draw: a press of known force bends the line, and yet.

    A draw that needs five times what the middle one does may be some per cent off.
    """
    plan = sampled_input(worked_case(tool=tool), PRIORS, seed=3, draws=600)
    needed = needed_lengths(plan, mass)
    found, _length = ends(plan, needed)
    off = np.abs(found / mass - 1.0)
    assert np.mean(off < 2e-3) > 0.99
    assert off.max() < 0.1


@tools
@settings(max_examples=15)
@given(mass=st.floats(0.6, 6.0))
def test_plain_plan_ends_with_what_is_wanted(tool, mass):
    """Round trip of one plan, whatever draws it out."""
    plan = worked_case(tool=tool)
    found, _length = ends(plan, needed_lengths(plan, mass))
    assert found == pytest.approx(mass, rel=1e-5)


@tools
def test_long_bar_is_needed_as_much_as_a_heavy_one(tool):
    """What there is least of counts: here the length of the bar."""
    plan = sampled_input(worked_case(tool=tool), PRIORS, seed=3, draws=300)
    needed = needed_lengths(plan, 0.1, 0.9)
    mass, length = ends(plan, needed)
    assert np.mean(np.abs(length / 0.9 - 1.0) < 2e-3) > 0.98
    assert np.all(mass > 0.1)


def test_draw_used_up_whatever_its_length_needs_more_than_any():
    plan = worked_case(factors=Factors(grind=np.array([1.0, 30.0, 0.8])))
    needed = needed_lengths(plan, 0.9)
    assert list(needed > LONGEST) == [False, True, False]


def test_mass_beyond_any_billet_needs_more_than_any():
    assert needed_lengths(worked_case(), 900.0) > LONGEST


def test_draw_whose_pieces_would_be_too_short_needs_the_shortest_that_can_be_cut():
    """Not less than what its mass takes, and not less than what can be cut."""
    plan = worked_case()
    needed = needed_lengths(plan, 0.05)
    mass, _length = ends(plan, needed + 0.1 * MM)
    assert mass > 0.05
    with pytest.raises(ValueError, match="pieces"):
        ends(plan, needed - MM)


def test_length_of_the_stack_is_not_looked_at():
    plan = sampled_input(worked_case(), PRIORS, seed=3, draws=50)
    longer = replace(plan, stack=replace(plan.stack, length=1.7))
    assert np.array_equal(needed_lengths(plan, 0.9), needed_lengths(longer, 0.9))


@pytest.mark.parametrize("force", [7.0, 25.0])
@settings(max_examples=25)
@given(length=st.floats(0.09, 0.5), longer=st.floats(1.0, 1.5))
def test_more_steel_under_a_press_never_lowers_the_chance(force, length, longer):
    """A longer bar takes more heats, and still ends with more."""
    needs = pressed(force)
    less, more = (stack_with(needs, length * one) for one in (1.0, longer))
    assert more.chance >= less.chance


PRESSED = {}


def pressed(force):
    if force not in PRESSED:
        PRESSED[force] = needs_of(
            worked_case(tool=Tool(force=force * TONNE)),
            [Target(label="knife", needed=0.8)],
            seed=3,
            draws=400,
        )
    return PRESSED[force]


def test_weaker_press_needs_more_steel_for_the_same_chance():
    """More heats, more scale: 7 t against 25 t."""
    for chance in (0.5, 0.9):
        weak, strong = (stack_for(pressed(force), chance) for force in (7.0, 25.0))
        assert weak.length > strong.length
