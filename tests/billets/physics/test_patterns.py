"""Ladder cuts and drilled dimples: plane and solid geometry; the defaults are common
practice, no source."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.errors import PlanError
from billets.physics.patterns import (
    GROOVES,
    cone_height,
    dimple_share,
    dimple_volume,
    dimple_width,
    flat_thickness,
    floors_meet,
    groove_area,
    ladder_share,
    too_deep,
)

MM = 1e-3
USUAL = math.radians(118)

sizes = st.floats(0.2, 20.0).map(lambda one: one * MM)
points = st.floats(60, 150).map(math.radians)


# --- ladder --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("shape", "area", "share", "flat"),
    [("vee", 6.0, 0.1000, 9.00), ("round", 9.425, 0.1571, 8.43),
     ("square", 12.0, 0.2000, 8.00)],
)  # fmt: skip
def test_ladder_on_a_bar_of_ten(shape, area, share, flat):
    """Plane and solid geometry; the defaults are common practice, no source.

    Grooves 3 mm deep and 4 mm wide, every 12 mm, in both faces of a bar of 10 mm.
    """
    found = groove_area(shape, 4 * MM, 3 * MM)
    part = ladder_share(found, 12 * MM, 10 * MM)
    assert found / MM**2 == pytest.approx(area, abs=5e-4)
    assert part == pytest.approx(share, abs=5e-5)
    assert flat_thickness(10 * MM, part) / MM == pytest.approx(flat, abs=5e-3)


@given(st.sampled_from(sorted(GROOVES)), sizes, sizes, st.floats(1.0, 4.0), sizes)
def test_ladder_keeps_volume(shape, groove, depth, spacing, thickness):
    """Volume kept: what is left is as thick as what was not cut away."""
    pitch = spacing * groove
    area = groove_area(shape, groove, depth)
    flat = flat_thickness(thickness, ladder_share(area, pitch, thickness))
    assert flat * pitch + 2 * area == pytest.approx(thickness * pitch)


@given(sizes, sizes)
def test_groove_takes_no_more_than_its_rectangle(groove, depth):
    """Bounds: a vee half of it, half an ellipse between that and all of it."""
    vee, round_, square = (
        groove_area(shape, groove, depth) for shape in ("vee", "round", "square")
    )
    assert vee < round_ < square == pytest.approx(groove * depth)


def test_grooves_are_refused_by_name_and_size():
    for given_, field in (
        (("oval", MM, MM), "groove_shape"), (("vee", 0.0, MM), "groove"),
        (("vee", MM, -MM), "depth"),
    ):  # fmt: skip
        with pytest.raises(PlanError) as caught:
            groove_area(*given_)
        assert caught.value.field == field
    with pytest.raises(PlanError):
        ladder_share(1e-6, 0.0, MM)


# --- dimples -------------------------------------------------------------------------


def test_dimple_of_a_cone_only():
    """Plane and solid geometry; the defaults are common practice, no source.

    Drill of 10 mm and 118 degrees, 2 mm deep, every 10 mm in a bar of 8 mm.
    """
    volume = dimple_volume(10 * MM, 2 * MM, USUAL)
    assert math.tan(USUAL / 2) == pytest.approx(1.6643, abs=5e-5)
    assert dimple_width(10 * MM, 2 * MM, USUAL) / 2 / MM == pytest.approx(
        3.3286, abs=5e-5
    )
    assert volume / MM**3 == pytest.approx(23.20, abs=0.01)
    assert dimple_share(volume, 10 * MM, 8 * MM) == pytest.approx(0.0580, abs=5e-5)


def test_dimple_deeper_than_its_cone():
    """Plane and solid geometry; the defaults are common practice, no source.

    The same drill 5 mm deep: a cone of 78.65 and a cylinder of 156.7 cubic mm.
    """
    cone = cone_height(10 * MM, USUAL)
    assert cone / MM == pytest.approx(3.0043, abs=5e-5)
    assert dimple_volume(10 * MM, cone, USUAL) / MM**3 == pytest.approx(78.65, abs=0.01)
    assert dimple_volume(10 * MM, 5 * MM, USUAL) / MM**3 == pytest.approx(
        235.4, abs=0.05
    )
    assert dimple_width(10 * MM, 5 * MM, USUAL) == pytest.approx(10 * MM)


@given(sizes, sizes, points)
def test_dimple_is_what_its_depth_adds_up_to(drill, depth, point):
    """Volume as the sum of its slices, whatever the depth."""
    up = (np.arange(4000) + 0.5) / 4000 * depth
    radius = np.minimum(up * math.tan(point / 2), drill / 2)
    assert dimple_volume(drill, depth, point) == pytest.approx(
        np.sum(math.pi * radius**2) * depth / 4000, rel=1e-4
    )


@pytest.mark.parametrize("degrees", [10, 179, 0.0, -118])
def test_point_of_no_drill_is_refused(degrees):
    with pytest.raises(PlanError) as caught:
        dimple_volume(5 * MM, MM, math.radians(degrees))
    assert caught.value.field == "point"


# --- both ----------------------------------------------------------------------------


def test_depth_is_four_tenths_and_floors_must_not_meet():
    """Common practice, no source: depth to 0.4 of the thickness, 2 g below H."""
    depths = np.array([3.9, 4.0, 4.1, 4.99, 5.0, 6.0]) * MM
    assert too_deep(depths, 10 * MM).tolist() == [False, False, *4 * [True]]
    assert floors_meet(depths, 10 * MM).tolist() == [*4 * [False], True, True]


@given(st.lists(st.tuples(sizes, sizes, sizes), min_size=1, max_size=8), points)
def test_arrays_equal_scalars(rows, point):
    wide, deep, thick = np.array(rows).T

    def shares(wide, deep, thick):
        area = groove_area("round", wide, deep)
        volume = dimple_volume(wide, deep, point)
        return (
            ladder_share(area, 2 * wide, thick), dimple_share(volume, 2 * wide, thick),
            dimple_width(wide, deep, point), flat_thickness(thick, 0.1),
            too_deep(deep, thick), floors_meet(deep, thick),
        )  # fmt: skip

    together = np.array(shares(wide, deep, thick))
    alone = np.array([shares(*row) for row in rows]).T
    assert together == pytest.approx(alone)
