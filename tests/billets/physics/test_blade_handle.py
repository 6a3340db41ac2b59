"""Tang, handle and the knife put together."""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from billets.physics.assembly import Fittings, assembled_parts
from billets.physics.blade import shaped_blade, sum_blade
from billets.physics.constants import STEEL_DENSITY
from billets.physics.families import FAMILIES, usual_thicknesses
from billets.physics.handle import (
    Handle,
    block_needed,
    d_area,
    loft,
    octagon_area,
)
from billets.physics.materials import MATERIALS
from billets.physics.parts import Part, balance_point, balance_spread, total_mass
from billets.physics.tang import Tang, drilled, tang_bar, tapered_bar

OCTAGON = Handle(
    kind="octagon", length=0.135, front=(0.018, 0.023), butt=(0.020, 0.026)
)


def test_tang_frustum():
    """Bronshtein, Handbook of Mathematics, stereometry; quoted from memory."""
    volume, centre = tapered_bar(0.095, (0.013, 0.007), (0.003, 0.002))
    assert volume * 1e9 == pytest.approx(2422.5, rel=1e-6)
    assert STEEL_DENSITY * volume * 1e3 == pytest.approx(19.01663, rel=1e-6)
    assert centre * 1e3 == pytest.approx(39.73856, rel=1e-6)


def test_octagon_handle():
    """Sizes are common practice, no source; Simpson's rule: Bronshtein, from memory."""
    volume, centre = loft(OCTAGON, 0.0, 0.135)
    assert volume * 1e9 == pytest.approx(56160, rel=1e-6)
    assert centre * 1e3 == pytest.approx(70.3666, rel=1e-6)
    mass = volume * MATERIALS["walnut"].density
    assert mass * 1e3 == pytest.approx(34.59, abs=0.01)


@pytest.mark.parametrize(
    ("width", "height", "expected"),
    [(18, 23, 364.0), (19, 24.5, 415.5), (20, 26, 470.0)],
)
def test_octagon_section_is_a_rectangle_with_its_corners_cut(width, height, expected):
    """shapely: area of the polygon, which is also elementary."""
    w, h, c = width, height, 5
    corners = [(c, 0), (w - c, 0), (w, c), (w, h - c), (w - c, h), (c, h), (0, h - c)]
    polygon = Polygon([*corners, (0, c)])
    got = octagon_area(width * 1e-3, height * 1e-3) * 1e6
    assert got == pytest.approx(polygon.area) == pytest.approx(expected)


def test_d_section():
    """Ellipse and the two tangents from a point: elementary; hull by shapely."""
    assert d_area(0.018, 0.023) * 1e6 == pytest.approx(334.488, abs=0.001)
    turn = np.linspace(0, 2 * math.pi, 20001)
    ellipse = Polygon(np.column_stack((9 * np.cos(turn), 11.5 * np.sin(turn))))
    hull = ellipse.union(Point(11, 0)).convex_hull
    assert d_area(0.018, 0.023) * 1e6 == pytest.approx(hull.area, rel=1e-6)


def test_d_handle_volume():
    """Common practice, no source, for the sizes; the loft is Simpson's rule."""
    handle = Handle(kind="d", length=0.142, front=(0.018, 0.023), butt=(0.020, 0.026))
    assert loft(handle, 0.0, 0.142)[0] * 1e9 == pytest.approx(53351, abs=0.5)


def test_stretches_of_a_handle_add_up():
    """Law: volume and moment are sums."""
    whole, centre = loft(OCTAGON, 0.0, 0.135)
    (first, near), (second, far) = (
        loft(OCTAGON, 0.0, 0.028),
        loft(OCTAGON, 0.028, 0.135),
    )
    assert first + second == pytest.approx(whole)
    assert first * near + second * far == pytest.approx(whole * centre)


def test_holes_take_steel_out_of_a_tang():
    """Cylinders: elementary."""
    tang = Tang(
        kind="full",
        length=0.1,
        heights=(0.02, 0.02),
        thicknesses=(0.004, 0.002),
        fill=0.9,
        holes=((2, 0.010),),
    )
    assert drilled(tang) == pytest.approx(2 * math.pi * 0.005**2 * 0.003)
    assert tang_bar(tang)[0] == pytest.approx(0.9 * 0.1 * 0.02 * 0.003)


def test_block_to_buy_is_larger_than_the_handle():
    """Common practice, no source: 145 x 30 x 32 is sold for such a handle."""
    length, height, width = block_needed(OCTAGON)
    assert length == pytest.approx(0.145)
    assert 0.026 < height <= 0.032
    assert 0.020 < width <= 0.030


def whole(key, *, wood=None, tang=None):
    kind = FAMILIES[key]
    length = kind.length.typical
    thicknesses = usual_thicknesses(kind, length)
    blade = shaped_blade(
        kind.outline, (length, kind.height.typical), thicknesses, kind.grind
    )
    hidden = kind.tang.kind == "hidden"
    fittings = Fittings(
        neck=kind.neck,
        tang=tang or kind.tang,
        handle=kind.handle,
        wood=MATERIALS[wood or kind.material],
        ferrule=MATERIALS["horn"] if hidden else None,
    )
    return assembled_parts(sum_blade(blade), thicknesses[0], fittings, STEEL_DENSITY)


GYUTO_PARTS = [
    ("blade", 97.44, 73.03),
    ("neck", 5.228, -5.622),
    ("tang", 19.02, -51.74),
    ("ferrule", 10.17, -26.18),
    ("handle", 24.21, -98.80),
    ("glue", 5.318, -59.50),
]


def test_pinned_parts_of_a_gyuto():
    """Regression values of this model, not outside values."""
    for part, (name, mass, centre) in zip(whole("gyuto"), GYUTO_PARTS, strict=True):
        assert part.name == name
        assert part.mass * 1e3 == pytest.approx(mass, rel=5e-4)
        assert part.centre * 1e3 == pytest.approx(centre, abs=0.005)


def test_pinned_whole_gyuto():
    """Regression values of this model, not outside values."""
    parts = whole("gyuto")
    assert total_mass(parts) * 1e3 == pytest.approx(161.385, abs=0.001)
    assert balance_point(parts) * 1e3 == pytest.approx(19.381, abs=0.001)


def test_pinned_parts_of_a_chefs_knife_with_scales():
    """Regression values of this model, not outside values."""
    parts = {part.name: part for part in whole("chef")}
    masses = [parts[n].mass * 1e3 for n in ("neck", "tang", "handle", "pins", "glue")]
    assert masses == pytest.approx([5.06, 56.87, 19.79, 13.09, 0.3], abs=0.006)
    places = [parts[n].centre * 1e3 for n in ("neck", "tang", "handle")]
    assert places == pytest.approx([-3.94, -65.46, -66.0], abs=0.006)


@pytest.mark.parametrize(
    ("wood", "moved"),
    [
        ("ho", 3.4),
        ("white_oak", -4.1),
        ("ebony", -11.3),
        ("stabilised_maple", -12.5),
        ("glass_laminate", -26.5),
    ],
)
def test_pinned_balance_with_another_handle(wood, moved):
    """Regression values of this model, not outside values."""
    shift = balance_point(whole("gyuto", wood=wood)) - balance_point(whole("gyuto"))
    assert shift * 1e3 == pytest.approx(moved, abs=0.06)


@pytest.mark.parametrize(("length", "moved"), [(0.060, 4.0), (0.120, -3.4)])
def test_pinned_balance_with_another_tang(length, moved):
    """Regression values of this model, not outside values; the bore stays."""
    tang = replace(FAMILIES["gyuto"].tang, length=length)
    shift = balance_point(whole("gyuto", tang=tang)) - balance_point(whole("gyuto"))
    assert shift * 1e3 == pytest.approx(moved, abs=0.06)


def test_balance_of_two_equal_masses_is_halfway():
    """Law of the lever."""
    parts = [
        Part(name="front", mass=0.1, centre=0.050, spread=0.1),
        Part(name="back", mass=0.1, centre=-0.030, spread=0.1),
    ]
    assert balance_point(parts) == pytest.approx(0.010)
    # each end moves it by 0.1 x 0.5 x 40 mm, independently
    assert balance_spread(parts) == pytest.approx(0.002 * math.sqrt(2))


def test_balance_spread_matches_a_sample_of_masses():
    """Law: linear propagation of small independent errors, against 40 000 draws."""
    parts = [replace(part, spread=part.spread / 10) for part in whole("gyuto")]
    rng = np.random.default_rng(7)
    error = rng.normal(size=(40000, len(parts)))
    masses = np.array([p.mass for p in parts])
    masses = masses * (1 + error * np.array([p.spread for p in parts]))
    drawn = masses @ np.array([p.centre for p in parts]) / masses.sum(axis=1)
    assert drawn.std() == pytest.approx(balance_spread(parts), rel=0.02)
