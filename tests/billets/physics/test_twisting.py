"""Twisting a bar: plane geometry; the defaults are common practice, no source."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.errors import PlanError
from billets.physics.twisting import (
    AMBER_SHEAR,
    corner_radius,
    corner_share,
    fibre_angle,
    fibre_slope,
    octagon_corner,
    twist_heats,
)

MM = 1e-3
sides = st.floats(5.0, 40.0).map(lambda one: one * MM)
turns = st.floats(0.25, 20.0)
lengths = st.floats(50.0, 600.0).map(lambda one: one * MM)


def test_five_turns_of_a_bar_of_sixteen():
    """Plane and solid geometry; the defaults are common practice, no source.

    A bar of 16 mm square and 120 mm long, five full turns.
    """
    corner = corner_radius(16 * MM, 16 * MM)
    slope = fibre_slope(5, 120 * MM, corner)
    assert corner / MM == pytest.approx(11.314, abs=5e-4)
    assert slope == pytest.approx(2.962, abs=5e-4)
    assert math.degrees(fibre_angle(slope)) == pytest.approx(71.34, abs=0.01)
    face = fibre_slope(5, 120 * MM, 8 * MM)
    assert face == pytest.approx(2.094, abs=5e-4)
    assert math.degrees(fibre_angle(face)) == pytest.approx(64.48, abs=0.01)


def test_octagon_of_sixteen():
    """Plane and solid geometry; the defaults are common practice, no source."""
    leg = octagon_corner(16 * MM)
    assert leg / MM == pytest.approx(4.686, abs=5e-4)
    assert corner_share(16 * MM, 16 * MM, leg) == pytest.approx(0.1716, abs=5e-5)


@given(sides)
def test_octagon_is_regular(side):
    """Law: eight equal sides, and the area of a regular octagon about its circle."""
    leg = octagon_corner(side)
    assert side - 2 * leg == pytest.approx(leg * math.sqrt(2))
    left = side**2 * (1 - corner_share(side, side, leg))
    assert left == pytest.approx(8 * (side / 2) ** 2 * math.tan(math.pi / 8))
    corners = corner_radius(side, side, leg)
    assert corners == pytest.approx(side / 2 / math.cos(math.pi / 8))


def test_shear_that_wants_a_second_look_is_a_fibre_at_sixty_degrees():
    """Common practice, no source."""
    assert math.degrees(fibre_angle(AMBER_SHEAR)) == pytest.approx(60, abs=0.6)


@given(turns, lengths, sides, st.floats(1.1, 5.0))
def test_more_turns_or_a_shorter_bar_wind_alike(count, length, radius, factor):
    """Scaling: only turns times radius over length counts."""
    plain = fibre_slope(count, length, radius)
    assert fibre_slope(count * factor, length, radius) == pytest.approx(factor * plain)
    assert fibre_slope(count, length / factor, radius) == pytest.approx(factor * plain)
    assert fibre_slope(count, factor * length, factor * radius) == pytest.approx(plain)


@pytest.mark.parametrize(
    ("count", "heats"), [(0.5, 1), (1.5, 1), (1.6, 2), (3, 2), (4.5, 3), (5, 4)]
)
def test_a_heat_gives_a_turn_and_a_half(count, heats):
    """Common practice, no source."""
    assert twist_heats(count) == heats


@pytest.mark.parametrize("given_", [(0.0, 0.1), (2.0, 0.0), (-1.0, 0.1)])
def test_no_turns_and_no_length_are_refused(given_):
    with pytest.raises(PlanError):
        fibre_slope(*given_, 0.01)


@given(st.lists(st.tuples(turns, lengths, sides), min_size=1, max_size=8))
def test_arrays_equal_scalars(rows):
    def found(count, length, side):
        leg = octagon_corner(side)
        slope = fibre_slope(count, length, corner_radius(side, side, leg))
        share = corner_share(side, side, leg)
        return slope, fibre_angle(slope), share, twist_heats(count)

    together = np.broadcast_arrays(*found(*np.array(rows).T))
    alone = np.array([found(*row) for row in rows]).T
    assert np.array(together) == pytest.approx(alone)
