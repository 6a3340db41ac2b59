"""Volume is kept: stacks, bars and spread."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.bar import Layer, Stack, Steel, drawn_length
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import PlanError
from billets.physics.spread import spread_coefficient, squeezed
from billets.physics.thermal import expansion
from tests.billets.physics.plans import BRIGHT, MM, alternating


def test_length_of_a_bar_of_given_mass():
    """Groover, Fundamentals of Modern Manufacturing, 18.1.1: constancy of volume."""
    length = drawn_length(1.500 / 7850, 40 * MM, 10 * MM)
    assert length == pytest.approx(477.7 * MM, rel=1e-3)
    assert expansion(1100 + ZERO_CELSIUS) == pytest.approx(0.0158, rel=1e-3)


def test_length_of_a_stack_drawn_flat():
    """Groover 18.1.1: 150 x 40 x 38 drawn to 40 x 10."""
    volume = 150 * 40 * 38 * MM**3
    assert drawn_length(volume, 40 * MM, 10 * MM) == pytest.approx(570 * MM)


def test_no_bar_without_a_section():
    with pytest.raises(PlanError) as refused:
        drawn_length(1e-4, 40 * MM, 0.0)
    assert refused.value.field == "thickness"


def test_stack_is_the_sum_of_its_pieces():
    """Conservation: mass of the stack is that of its pieces."""
    heavy = Steel("heavy", "heavy steel", 0.9, density=8100.0)
    stack = Stack((Layer(heavy, 2 * MM), Layer(BRIGHT, 6 * MM)), 100 * MM, 30 * MM)
    pieces = (2 * 8100 + 6 * 7850) * 100 * 30 * MM**3
    assert stack.mass == pytest.approx(pieces)
    assert stack.thickness == pytest.approx(8 * MM)
    assert stack.density == pytest.approx(7912.5)


def test_highest_carbon_rules():
    assert alternating(15, 100, 30, 30).hardest.carbon == 0.80


@pytest.mark.parametrize(
    ("bite", "coefficient"),
    [(10, 0.2266), (20, 0.3065), (30, 0.3796), (40, 0.4460), (60, 0.5585)],
)
def test_spread_coefficient(bite, coefficient):
    """Tomlinson and Stringer, J. Iron Steel Inst. 193 (1959); quoted from memory."""
    assert spread_coefficient(bite * MM, 40 * MM) == pytest.approx(
        coefficient, rel=1e-3
    )


def test_one_squeeze():
    """Tomlinson and Stringer (1959), quoted from memory: 40 high to 34, bite 30."""
    width, stretch = squeezed(40 * MM, 40 * MM, 34 * MM, 30 * MM)
    assert width == pytest.approx(42.55 * MM, rel=1e-3)
    assert stretch == pytest.approx(1.106, rel=1e-3)


@given(st.floats(0.25, 2.0), st.floats(0.5, 0.99))
def test_a_squeeze_keeps_the_volume(ratio, reduction):
    """Conservation."""
    width, stretch = squeezed(40 * MM, 30 * MM, 30 * MM * reduction, ratio * 40 * MM)
    assert width * reduction * stretch == pytest.approx(40 * MM)


def test_spread_is_not_extrapolated():
    with pytest.raises(PlanError) as refused:
        spread_coefficient(np.array([30.0, 100.0]) * MM, 40 * MM)
    assert refused.value.field == "bite"
