"""One cut across a blade: closed forms, and polygons measured by shapely."""

import math

import numpy as np
import pytest
from shapely.geometry import Polygon

from billets.physics.blade import shaped_blade
from billets.physics.families import FAMILIES, usual_thicknesses
from billets.physics.section import (
    Grind,
    edge_bevel_height,
    section_area,
    section_moment,
    section_sides,
    section_stiffness,
    section_width,
)


def grind(behind=0.0, angle=15.0, **more):
    return Grind(behind_edge=behind, edge_angle=math.radians(angle), **more)


def area(height, thickness, shape):
    return float(section_area(np.array(height), np.array(thickness), shape))


def middle(height, thickness, shape):
    moment = section_moment(np.array(height), np.array(thickness), shape)
    return float(moment) / area(height, thickness, shape)


@pytest.mark.parametrize(
    ("crown", "expected"), [(0.25, 80.0), (-0.25, 40.0), (0.1, 68.0)]
)
def test_parabolic_section(crown, expected):
    """Parabola segment: Bronshtein, Handbook of Mathematics; quoted from memory."""
    got = area(0.040, 0.003, grind(crown=crown)) * 1e6
    assert got == pytest.approx(expected, rel=1e-9)


def test_flat_section_with_an_edge_bevel():
    """Triangle and trapezium: Bronshtein, Handbook of Mathematics; from memory."""
    shape = grind(0.00030, 15)
    assert edge_bevel_height(shape) * 1e3 == pytest.approx(0.559808, rel=1e-6)
    assert area(0.045, 0.0028, shape) * 1e6 == pytest.approx(68.96627, rel=1e-6)
    assert middle(0.045, 0.0028, shape) * 1e3 == pytest.approx(28.71849, rel=1e-6)


def test_single_bevel_section():
    """Triangle, trapezium, parabola segment: Bronshtein; quoted from memory."""
    shape = grind(
        0.00015, 20, bevel=0.45, shoulder=0.85, single=True, hollow=0.00025, rim=0.003
    )
    assert edge_bevel_height(shape) * 1e3 == pytest.approx(0.412122, rel=1e-6)
    assert area(0.034, 0.004, shape) * 1e6 == pytest.approx(90.98023, rel=1e-6)
    assert middle(0.034, 0.004, shape) * 1e3 == pytest.approx(21.00816, rel=1e-6)


def test_stiffness_of_a_wedge_and_of_a_bar():
    """h T^3 / 48 and h T^3 / 12: texts on strength of materials; from memory."""
    wedge = section_stiffness(0.045, 0.003, grind())
    assert wedge * 1e12 == pytest.approx(25.3125, rel=1e-9)
    bar = section_stiffness(0.045, 0.003, grind(0.003, 89.999, bevel=0.0))
    assert bar * 1e12 == pytest.approx(101.25, rel=1e-5)


def test_stiffness_of_a_gyuto_lies_between_wedge_and_bar():
    """Bounds h T^3/48 and h T^3/12; the value itself is a regression."""
    kind = FAMILIES["gyuto"]
    got = section_stiffness(0.0436820, 0.0022, kind.grind) * 1e12
    assert 9.690 < got < 38.76
    assert got == pytest.approx(19.12, abs=0.01)


def test_where_the_edge_bevel_takes_all_the_section_is_a_triangle():
    """Triangle: elementary."""
    shape = grind(0.0004, 17)
    low = edge_bevel_height(shape) / 2
    expected = low**2 * math.tan(math.radians(17))
    assert area(low, 0.001, shape) == pytest.approx(expected)
    assert middle(low, 0.001, shape) == pytest.approx(2 * low / 3)


@pytest.mark.parametrize("key", list(FAMILIES))
@pytest.mark.parametrize("place", [0.0, 0.3, 0.5, 0.8, 0.95])
def test_sections_match_polygons(key, place):
    """shapely: area and centroid of a polygon through 2 000 points."""
    kind = FAMILIES[key]
    length, height = kind.length.typical, kind.height.typical
    blade = shaped_blade(
        kind.outline, (length, height), usual_thicknesses(kind, length), kind.grind
    )
    x = np.array([place * length])
    tall = float((blade.spine(x) - blade.edge(x))[0])
    thick = float(blade.thickness(x)[0])
    above, left, right = section_sides(tall, thick, kind.grind, 1000)
    around = np.r_[left, right[::-1]], np.r_[above, above[::-1]]
    polygon = Polygon(np.column_stack(around) * 1e3)
    assert polygon.area == pytest.approx(area(tall, thick, kind.grind) * 1e6, rel=2e-6)
    assert polygon.centroid.y == pytest.approx(
        middle(tall, thick, kind.grind) * 1e3, rel=2e-6
    )
    if not kind.grind.single:
        assert polygon.centroid.x == pytest.approx(0.0, abs=1e-9)


def test_width_at_the_shoulders():
    """By definition of the section's numbers."""
    shape = grind(0.0002, 12, crown=0.08, bevel=0.75, shoulder=0.9)
    tall, thick = np.array(0.040), np.array(0.003)
    at = np.array([0.0, edge_bevel_height(shape), 0.030, 0.040])
    width = section_width(at, tall, thick, shape)
    assert width * 1e3 == pytest.approx([0.0, 0.2, 2.7, 3.0])


MIDDLES = [  # height, spine, area, centroid above the edge, at half the length
    ("gyuto", 43.6820, 2.2, 66.2657, 27.0602),
    ("chef", 40.7452, 2.6, 62.0314, 25.4073),
    ("deba", 43.9442, 5.0, 146.7280, 27.0286),
    ("yanagiba", 30.5491, 3.3, 66.4488, 18.9414),
]


@pytest.mark.parametrize(("key", "height", "thickness", "size", "up"), MIDDLES)
def test_pinned_sections_at_half_the_length(key, height, thickness, size, up):
    """Regression values of this model, not outside values."""
    kind = FAMILIES[key]
    length = kind.length.typical
    blade = shaped_blade(
        kind.outline,
        (length, kind.height.typical),
        usual_thicknesses(kind, length),
        kind.grind,
    )
    x = np.array(length / 2)
    tall = float(blade.spine(x) - blade.edge(x))
    thick = float(blade.thickness(x))
    assert tall * 1e3 == pytest.approx(height, abs=1e-4)
    assert thick * 1e3 == pytest.approx(thickness, abs=1e-4)
    assert area(tall, thick, kind.grind) * 1e6 == pytest.approx(size, abs=1e-4)
    assert middle(tall, thick, kind.grind) * 1e3 == pytest.approx(up, abs=1e-4)
