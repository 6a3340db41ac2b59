"""Bars and general tolerances."""

import numpy as np
import pytest

from billets.physics.bars import length_to_cut, mass_per_length
from billets.physics.errors import PlanError
from billets.physics.tolerances import general_tolerance, knife_tolerances


@pytest.mark.parametrize(
    ("width", "thickness", "expected", "within"),
    [
        (40, 4, 1.256, 0.001),
        (50, 6, 2.355, 0.001),
        (25, 25, 4.90, 0.01),
        (40, 5, 1.57, 0.005),
        (50, 5, 1.96, 0.005),
        (30, 5, 1.18, 0.005),
    ],
)
def test_bar_mass(width, thickness, expected, within):
    """EN 10058 tables; quoted from memory, the last three as printed."""
    got = mass_per_length(width * 1e-3, thickness * 1e-3)
    assert got == pytest.approx(expected, abs=within)


def test_length_to_cut_gives_the_mass_back():
    """Round trip."""
    length = length_to_cut(np.array([0.2, 0.4]), 0.045, 0.006)
    assert length * mass_per_length(0.045, 0.006) == pytest.approx([0.2, 0.4])
    assert length_to_cut(0.320, 0.045, 0.006) == pytest.approx(0.1510, abs=5e-5)


@pytest.mark.parametrize(
    ("grade", "size", "expected"),
    [
        ("v", 210, 2.5),
        ("v", 49, 1.5),
        ("c", 135, 1.2),
        ("c", 120, 0.8),
        ("f", 0.5, 0.05),
    ],
)
def test_general_tolerances(grade, size, expected):
    """ISO 2768-1, Table 1; quoted from memory."""
    assert general_tolerance(grade, size * 1e-3) == expected * 1e-3


@pytest.mark.parametrize(
    ("size", "expected"),
    [(3, 0.1), (6, 0.1), (6.1, 0.2), (30, 0.2), (120, 0.3), (400, 0.5), (401, 0.8)],
)
def test_medium_class(size, expected):
    """ISO 2768-1, row m of Table 1, as published."""
    assert general_tolerance("m", size * 1e-3) == expected * 1e-3


@pytest.mark.parametrize(
    ("grade", "size", "field"),
    [
        ("v", 0.002, "size"),
        ("m", 1.2, "size"),
        ("m", 0.0001, "size"),
        ("x", 0.1, "grade"),
    ],
)
def test_sizes_without_a_general_tolerance_are_refused(grade, size, field):
    with pytest.raises(PlanError) as refusal:
        general_tolerance(grade, size)
    assert refusal.value.field == field


def test_what_a_quote_prints_for_hand_forged_work():
    """Common practice, no source: class v for the blade, c for the handle."""
    limits = knife_tolerances(0.210, 0.049, 0.135, 0.026)
    assert (limits.length, limits.height) == (0.0025, 0.0015)
    assert (limits.handle_length, limits.handle_section) == (0.0012, 0.0005)
    assert limits.spine == 0.0003
