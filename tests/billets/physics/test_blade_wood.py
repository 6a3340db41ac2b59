"""Densities of handles, and wood that swells and shrinks."""

import numpy as np
import pytest

from billets.physics.errors import PlanError
from billets.physics.materials import MATERIALS, material
from billets.physics.wood import wood_density, wood_movement


def test_density_at_twelve_percent():
    """University of Missouri, forestry page quoting the Wood Handbook GTR-190."""
    assert wood_density(0.40, 12.0) == pytest.approx(448, abs=0.5)


@pytest.mark.parametrize(
    ("gravity", "moisture", "expected"),
    [(0.55, 12, 616), (0.55, 8, 606), (0.68, 8, 752), (0.63, 8, 696), (0.50, 8, 550)],
)
def test_density_at_other_moistures(gravity, moisture, expected):
    """Wood Handbook, chapter 4; quoted from memory."""
    assert wood_density(gravity, moisture) == pytest.approx(expected, abs=0.5)


def test_density_of_many_boards_is_that_of_each():
    """Law: one value or one for each draw."""
    gravity = np.array([0.4, 0.55])
    many = wood_density(gravity, np.array([12.0, 8.0]))
    assert many == pytest.approx([wood_density(0.4, 12.0), wood_density(0.55, 8.0)])


@pytest.mark.parametrize(
    ("width", "shrinkage", "before", "after", "expected"),
    [
        (26, 10.5, 12, 8, 0.364),
        (26, 10.5, 14, 6, 0.728),
        (26, 7.8, 12, 8, 0.270),
        (26, 7.1, 12, 8, 0.246),
    ],
    ids=["white oak", "white oak, winter", "walnut", "cherry"],
)
def test_wood_movement(width, shrinkage, before, after, expected):
    """Shrinkage: Wood Handbook GTR-190 Table 4-3; rule: chapter 4, from memory."""
    got = wood_movement(width * 1e-3, shrinkage, before, after)
    assert got * 1e3 == pytest.approx(expected, abs=0.001)


def test_wood_that_dries_and_wets_again_is_as_wide_as_before():
    """Round trip."""
    there = wood_movement(0.026, 10.5, 12.0, 8.0)
    assert there + wood_movement(0.026, 10.5, 8.0, 12.0) == pytest.approx(0.0)


@pytest.mark.parametrize("moisture", [-1.0, 30.5, float("nan")])
def test_moisture_out_of_range_is_refused(moisture):
    with pytest.raises(PlanError) as refusal:
        wood_density(0.5, moisture)
    assert refusal.value.field == "moisture"


@pytest.mark.parametrize(
    ("key", "density"),
    [
        ("walnut", 616),
        ("white_oak", 762),
        ("maple", 706),
        ("cherry", 560),
        ("ash", 672),
    ],
)
def test_densities_of_woods(key, density):
    """Wood Handbook FPL-GTR-282 (2021), Table 5-3a, at 12 %; quoted from memory."""
    assert MATERIALS[key].density == pytest.approx(density, abs=0.7)


@pytest.mark.parametrize("key", list(MATERIALS))
def test_every_material_lies_in_its_range_and_names_its_source(key):
    """By definition of the registry."""
    stuff = MATERIALS[key]
    assert stuff.low < stuff.density < stuff.high
    assert stuff.source
    assert stuff.body or stuff.ferrule
    assert bool(stuff.tangential) == bool(stuff.shrinkage_source)


def test_unknown_material_is_refused_by_the_field_that_named_it():
    with pytest.raises(PlanError) as refusal:
        material("", field="ferrule")
    assert refusal.value.field == "ferrule"
