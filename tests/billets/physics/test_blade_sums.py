"""Blades summed up: closed forms, scaling, and the families as they are now."""

import math
from dataclasses import replace

import numpy as np
import pytest

from billets.physics.blade import Blade, shaped_blade, stations, sum_blade
from billets.physics.constants import STEEL_DENSITY
from billets.physics.families import FAMILIES, usual_thicknesses
from billets.physics.section import Grind

FLAT = Grind(behind_edge=0.0, edge_angle=math.radians(15))


def straight(start, end, length=0.200):
    """A straight line from heel to tip."""
    return lambda x: start + (end - start) * x / length


def wedge(heights, thicknesses):
    return Blade(
        length=0.200,
        edge=lambda x: 0.0 * x,
        spine=straight(*heights),
        thickness=straight(*thicknesses),
        grind=FLAT,
    )


@pytest.mark.parametrize(
    ("heights", "thicknesses", "volume", "centre"),
    [
        ((0.045, 0.045), (0.0030, 0.0030), 13500e-9, 0.100),
        ((0.045, 0.045), (0.0030, 0.0010), 9000e-9, 0.0833333333),
        ((0.045, 0.0), (0.0030, 0.0), 4500e-9, 0.050),
        ((0.048, 0.020), (0.0030, 0.0012), 7560e-9, 0.0735449735),
    ],
    ids=["triangular prism", "wedge", "pyramid", "two-way taper"],
)
def test_straight_solids_have_their_closed_form(heights, thicknesses, volume, centre):
    """Bronshtein, Semendyayev, Handbook of Mathematics; quoted from memory."""
    sums = sum_blade(wedge(heights, thicknesses))
    assert sums.volume == pytest.approx(volume, rel=1e-6)
    assert sums.centre == pytest.approx(centre, rel=1e-6)


@pytest.mark.parametrize(
    ("heights", "thicknesses", "mass"),
    [
        ((0.045, 0.045), (0.0030, 0.0030), 0.105975),
        ((0.048, 0.020), (0.0030, 0.0012), 0.059346),
    ],
)
def test_mass_of_straight_solids(heights, thicknesses, mass):
    """Bronshtein, from memory; 7850 kg/m^3 is the constant of EN 1993."""
    volume = sum_blade(wedge(heights, thicknesses)).volume
    assert STEEL_DENSITY * volume == pytest.approx(mass, rel=1e-6)


@pytest.mark.parametrize("heights", [(0.045, 0.020), (0.030, 0.0)])
@pytest.mark.parametrize("thicknesses", [(0.004, 0.001), (0.003, 0.003)])
def test_frustum_formula_for_any_taper(heights, thicknesses):
    """Bronshtein, from memory: L/12 (2 H0 T0 + H0 T1 + H1 T0 + 2 H1 T1)."""
    (h, g), (t, s) = heights, thicknesses
    total = 2 * h * t + h * s + g * t + 2 * g * s
    later = h * t + h * s + g * t + 3 * g * s
    sums = sum_blade(wedge(heights, thicknesses))
    assert sums.volume == pytest.approx(0.200 / 12 * total, rel=1e-6)
    assert sums.centre == pytest.approx(0.200 * later / (2 * total), rel=1e-6)


def test_centroid_of_a_wedge_lies_two_thirds_up():
    """Centroid of a triangle: elementary."""
    sums = sum_blade(wedge((0.045, 0.045), (0.003, 0.003)))
    assert sums.centre_height == pytest.approx(0.030, rel=1e-6)


def test_rounded_nose_does_not_spoil_the_sum():
    """A quarter ellipse, area pi a b / 4: elementary."""
    length, height = 0.200, 0.040
    blade = Blade(
        length=length,
        edge=lambda x: 0.0 * x,
        spine=lambda x: height * np.sqrt(np.maximum(1.0 - (x / length) ** 2, 0.0)),
        thickness=straight(0.003, 0.003),
        grind=FLAT,
    )
    area = sum_blade(blade, 100).outline_area
    assert area == pytest.approx(math.pi * length * height / 4, rel=5e-7)


def test_weights_sum_to_the_length():
    """The integral of one: elementary."""
    x, weight = stations(0.210, 100)
    assert weight.sum() == pytest.approx(0.210)
    assert (x[0], x[-1]) == (0.0, pytest.approx(0.210))


def family_blade(key, scale=1.0, tip_station=0.010):
    kind = FAMILIES[key]
    length, height = kind.length.typical, kind.height.typical
    thicknesses = usual_thicknesses(kind, length)
    grind = replace(
        kind.grind,
        behind_edge=scale * kind.grind.behind_edge,
        hollow=scale * kind.grind.hollow,
        rim=scale * kind.grind.rim,
    )
    return shaped_blade(
        kind.outline,
        (scale * length, scale * height),
        tuple(scale * thickness for thickness in thicknesses),
        grind,
        tip_station=tip_station,
    )


@pytest.mark.parametrize("key", list(FAMILIES))
def test_volume_grows_with_the_cube_of_the_size(key):
    """Similar bodies: elementary. Every length scales, the last station too."""
    small = sum_blade(family_blade(key))
    large = sum_blade(family_blade(key, 1.3, tip_station=0.013))
    assert large.volume / small.volume == pytest.approx(2.1970, abs=1e-4)
    assert large.outline_area / small.outline_area == pytest.approx(1.69, abs=1e-4)


def test_pinned_scaling_with_the_last_station_left_where_it_is():
    """Regression value of this model, not an outside value."""
    ratio = sum_blade(family_blade("gyuto", 1.3)).volume
    ratio /= sum_blade(family_blade("gyuto")).volume
    assert ratio == pytest.approx(2.1986, abs=1e-4)


FAMILY_SUMS = [  # outline mm^2, volume mm^3, centroid mm in front and up
    ("chef", 7247.61, 11641.93, 73.042, 27.756),
    ("gyuto", 7721.44, 12412.52, 73.031, 28.705),
    ("santoku", 6828.03, 10517.88, 66.379, 27.899),
    ("petty", 3340.72, 3946.37, 52.425, 17.959),
    ("paring", 1503.06, 1458.99, 31.518, 13.919),
    ("nakiri", 8226.26, 12360.85, 74.260, 31.283),
    ("sujihiki", 7981.75, 11944.51, 98.099, 22.768),
    ("boning", 3078.53, 3924.25, 54.281, 16.564),
    ("bread", 7791.26, 11502.25, 102.916, 20.315),
    ("cleaver", 19051.17, 29745.76, 97.469, 56.494),
    ("yanagiba", 6998.94, 15761.40, 98.220, 21.058),
    ("deba", 6141.73, 20946.80, 58.916, 29.445),
]


@pytest.mark.parametrize(("key", "area", "volume", "ahead", "up"), FAMILY_SUMS)
def test_pinned_family_blades(key, area, volume, ahead, up):
    """Regression values of this model, not outside values."""
    sums = sum_blade(family_blade(key))
    assert sums.outline_area * 1e6 == pytest.approx(area, rel=1e-4)
    assert sums.volume * 1e9 == pytest.approx(volume, rel=1e-4)
    assert sums.centre * 1e3 == pytest.approx(ahead, rel=1e-4)
    assert sums.centre_height * 1e3 == pytest.approx(up, rel=1e-4)


@pytest.mark.parametrize(("key", "solid"), [("yanagiba", 16665.70), ("deba", 21918.91)])
def test_pinned_single_bevels_without_their_hollow(key, solid):
    """Regression values of this model, not outside values."""
    blade = family_blade(key)
    full = replace(blade, grind=replace(blade.grind, hollow=0.0))
    assert sum_blade(full).volume * 1e9 == pytest.approx(solid, rel=1e-4)


@pytest.mark.parametrize("key", list(FAMILIES))
def test_a_hundred_panels_suffice(key):
    """Convergence of Simpson's rule: the sum does not hang on the step."""
    coarse, fine = (sum_blade(family_blade(key), n).volume for n in (100, 1600))
    assert coarse == pytest.approx(fine, rel=2e-6)
