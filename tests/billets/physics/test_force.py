"""Forces of the press, against a textbook's worked example and plain laws."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.constants import GRAVITY, ZERO_CELSIUS
from billets.physics.errors import PlanError
from billets.physics.flow_stress import shida
from billets.physics.force import (
    cogging_factor,
    cogging_force,
    largest_bite,
    strengthened,
    upset_force,
)

MM = 1e-3
TONNE = 1000 * GRAVITY


@pytest.mark.parametrize(
    ("height", "strain", "printed"),
    [
        (75.0, 0.002, 245410),
        (62.0, None, 649303),
        (49.0, None, 955642),
        (36.0, None, 1467422),
    ],
)
def test_upsetting_as_in_the_textbook(height, strain, printed):
    """Groover, Fundamentals of Modern Manufacturing, Example 18.2."""
    strain = strain or math.log(75.0 / height)
    volume = 75.0 * math.pi * 50.0**2 / 4
    area = volume / height
    diameter = math.sqrt(4 * area / math.pi)
    stress = strengthened(350e6, 0.17, strain)
    found = upset_force(stress, area * MM**2, diameter * MM, height * MM, 0.1)
    assert found == pytest.approx(printed, rel=1e-3)


def test_cogging_one_bite():
    """Slab and slip-line method as in Dieter, Mechanical Metallurgy, and Hill; quoted
    from memory, verify."""
    assert cogging_factor(30 * MM, 36 * MM) == pytest.approx(1.136, abs=5e-4)
    found = cogging_force(61.90e6, 40 * MM, 30 * MM, 36 * MM)
    assert found == pytest.approx(97.47e3, rel=1e-3)
    assert found / TONNE == pytest.approx(9.939, rel=1e-3)


def test_pressing_deep_into_a_block_takes_the_flat_punch_factor():
    """Hill's flat punch: 1 + pi/2 where the block is 8.6 bites high; quoted from
    memory, verify."""
    assert cogging_factor(1.0, 8.6) == pytest.approx(1 + math.pi / 2, rel=2e-3)


BITES = {
    (40, 36, 1150): (3.5, 12.2, 27.4, 35.3, 46.2, 57.7, 72.2),
    (50, 45, 1150): (0.0, 5.5, 19.3, 29.7, 38.4, 46.7, 57.7),
    (25, 25, 1150): (14.2, 23.7, 42.3, 56.4, 75.2, 94.0, 117.6),
    (40, 10, 1000): (5.6, 9.4, 15.4, 19.3, 23.8, 27.8, 32.3),
}


@pytest.mark.parametrize(("section", "printed"), BITES.items())
def test_pinned_largest_bites(section, printed):
    width, height, hot = section
    stress = shida(0.8, 0.2, 1.0, hot + ZERO_CELSIUS)
    found = [
        largest_bite(one * TONNE, stress, width * MM, height * MM) / MM
        for one in (3, 5, 9, 12, 16, 20, 25)
    ]
    assert found == pytest.approx(printed, abs=0.2)


def test_pinned_whole_face_of_a_weld():
    found = cogging_force(31.74e6, 40 * MM, 150 * MM, 38 * MM)
    assert found == pytest.approx(258.7e3, rel=5e-3)


forces = st.floats(20e3, 400e3)
sides = st.floats(15 * MM, 60 * MM)
stresses = st.floats(30e6, 150e6)


@given(forces, stresses, sides, sides, st.floats(0.05, 0.7))
def test_largest_bite_takes_all_the_force(force, stress, width, height, friction):
    """There and back: the bite of a force is pressed by just that force."""
    bite = float(largest_bite(force, stress, width, height, friction))
    if bite > 0.0:
        found = cogging_force(stress, width, bite, height, friction)
        assert found == pytest.approx(force)
    else:
        assert force <= 1.155 * stress * width * 0.207 * height * (1 + 1e-12)


@given(forces, stresses, sides, sides)
def test_largest_bite_agrees_with_halving(force, stress, width, height):
    low, high = 0.0, 5.0
    for _turn in range(60):
        middle = (low + high) / 2
        if cogging_force(stress, width, middle, height) > force:
            high = middle
        else:
            low = middle
    found = float(largest_bite(force, stress, width, height))
    assert found == pytest.approx(low, abs=1e-12)


@given(forces, stresses, sides, sides, st.floats(1.01, 3.0))
def test_more_force_bites_more_and_harder_steel_less(
    force, stress, width, height, times
):
    now = largest_bite(force, stress, width, height)
    assert largest_bite(times * force, stress, width, height) >= now
    assert largest_bite(force, times * stress, width, height) <= now


@given(
    st.floats(920, 1180), st.floats(0.5, 1.1), sides, sides, st.floats(5 * MM, 80 * MM)
)
def test_force_rises_as_the_steel_cools(hot, carbon, width, height, bite):
    """A third or more for each 100 K: the law of Shida 1968, by a transcription."""
    warm, cool = (
        cogging_force(shida(carbon, 0.2, 1.0, heat + ZERO_CELSIUS), width, bite, height)
        for heat in (hot, hot - 20.0)
    )
    assert cool > warm * 1.04


@given(forces, stresses, sides, sides, st.floats(0.2, 5.0))
def test_a_press_twice_as_long_in_everything(force, stress, width, height, times):
    """Similarity: lengths by a factor, force by its square, bite by the factor."""
    bite = largest_bite(force, stress, width, height)
    grown = largest_bite(times**2 * force, stress, times * width, times * height)
    assert grown == pytest.approx(times * bite, rel=1e-9, abs=1e-12)


def test_draws_give_what_single_values_give():
    widths = np.array([20, 40, 50]) * MM
    one_by_one = [float(largest_bite(70e3, 70e6, w, 30 * MM)) for w in widths]
    assert largest_bite(70e3, 70e6, widths, 30 * MM) == pytest.approx(one_by_one)


def test_friction_that_cannot_be_is_refused():
    with pytest.raises(PlanError):
        largest_bite(70e3, 70e6, 40 * MM, 30 * MM, friction=0.0)
