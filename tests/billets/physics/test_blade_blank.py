"""Blank, bar and what is ground off."""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon

from billets.physics.blade import shaped_blade, stations
from billets.physics.blank import (
    ALLOWANCES,
    FORGINGS,
    blank_area,
    blank_volume,
    clean_allowance,
    following_area,
    following_volume,
    needed_mass,
)
from billets.physics.constants import STEEL_DENSITY
from billets.physics.errors import PlanError
from billets.physics.families import FAMILIES, usual_thicknesses
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import default_spec
from billets.physics.section import section_area
from billets.physics.skin import decarburised_depth, skin_flags
from billets.physics.tang import neck_bar, tang_bar

TYPICAL = ALLOWANCES["typical"]


def blade_of(key):
    kind = FAMILIES[key]
    length = kind.length.typical
    return shaped_blade(
        kind.outline,
        (length, kind.height.typical),
        usual_thicknesses(kind, length),
        kind.grind,
    )


def behind(key, allowance=TYPICAL):
    """Neck and tang with their allowance."""
    kind = FAMILIES[key]
    neck = neck_bar(kind.neck, kind.heel_thickness.typical, kind.tang)[0]
    return allowance.tang * (neck + tang_bar(kind.tang)[0])


def blank_mass(key, forging, allowance=TYPICAL):
    blade = blank_volume(blade_of(key), forging, allowance)
    return STEEL_DENSITY * (blade + behind(key, allowance))


@pytest.mark.parametrize(
    ("celsius", "minutes", "expected"),
    [(1100, 30, 0.311), (1150, 30, 0.391), (900, 30, 0.10), (1000, 30, 0.19)],
)
def test_decarburised_depth(celsius, minutes, expected):
    """Callister, Rethwisch, Materials Science and Engineering, 8th ed. 2010,
    Table 5.2; quoted from memory."""
    depth = decarburised_depth(celsius + 273.15, minutes * 60.0) * 1e3
    assert depth == pytest.approx(expected, abs=0.001 if expected > 0.3 else 0.005)


def test_decarburised_depth_grows_with_the_root_of_time():
    """Law of diffusion."""
    one, four = decarburised_depth(1373.15, np.array([900.0, 3600.0]))
    assert four == pytest.approx(2 * one)


@pytest.mark.parametrize("temperature", [300.0, 1700.0, math.nan])
def test_decarburised_depth_is_not_stretched_beyond_its_range(temperature):
    with pytest.raises(PlanError) as refusal:
        decarburised_depth(temperature, 1800.0)
    assert refusal.value.field == "temperature"


def test_thin_allowance_over_a_deep_skin_is_flagged():
    """Common practice, no source: the skin and a tenth of a millimetre more."""
    assert [flag.field for flag in skin_flags(ALLOWANCES["tight"])] == ["allowance"]
    assert skin_flags(TYPICAL) == ()
    assert skin_flags(TYPICAL, 1423.15, 7200.0)[0].level == "amber"


BLANKS = [  # bar, taper, bevel, billet, all in grams
    ("chef", 381.6, 333.1, 275.5, 323),
    ("gyuto", 313.9, 267.8, 220.1, 265.7),
    ("santoku", 263.0, 228.4, 189.3, 234),
    ("petty", 127.7, 111.5, 95.7, 136),
    ("paring", 58.4, 53.1, 47.2, 86),
    ("nakiri", 291.3, 260.9, 216.3, 262),
    ("sujihiki", 305.0, 266.1, 221.2, 267),
    ("boning", 161.1, 148.3, 129.8, 172),
    ("bread", 284.9, 262.6, 228.2, 274),
    ("cleaver", 642.5, 576.5, 469.1, 525),
    ("yanagiba", 376.7, 330.6, 254.6, 302),
    ("deba", 458.9, 408.4, 301.8, 351),
]


@pytest.mark.parametrize(("key", "bar", "taper", "bevel", "billet"), BLANKS)
def test_pinned_blanks(key, bar, taper, bevel, billet):
    """Regression values of this model, not outside values."""
    masses = [blank_mass(key, forging) * 1e3 for forging in ("bar", "taper", "bevel")]
    assert masses == pytest.approx([bar, taper, bevel], abs=0.1)
    whole = needed_mass(masses[2] * 1e-3, TYPICAL) * 1e3
    assert whole == pytest.approx(billet, abs=0.1 if billet % 1 else 0.6)


@pytest.mark.parametrize(
    ("name", "bevel", "taper", "bar", "billet"),
    [
        ("tight", 1.37, 1.81, 2.17, 190),
        ("typical", 1.81, 2.20, 2.58, 266),
        ("generous", 2.32, 2.81, 3.21, 364),
    ],
)
def test_pinned_ratios_of_a_gyuto_blank(name, bevel, taper, bar, billet):
    """Regression values of this model, not outside values."""
    allowance = ALLOWANCES[name]
    steel = weigh_knife(default_spec("gyuto")).steel_mass
    ratios = [
        blank_mass("gyuto", f, allowance) / steel for f in ("bevel", "taper", "bar")
    ]
    assert ratios == pytest.approx([bevel, taper, bar], abs=0.005)
    whole = needed_mass(blank_mass("gyuto", "bevel", allowance), allowance)
    assert whole * 1e3 == pytest.approx(billet, abs=0.5)


@pytest.mark.parametrize(
    ("key", "mass", "more"), [("deba", 324, 7.4), ("yanagiba", 266, 4.5)]
)
def test_pinned_single_bevel_blanks_follow_their_section(key, mass, more):
    """Regression values of this model, not outside values."""
    volume = following_volume(blade_of(key), TYPICAL) + behind(key)
    assert STEEL_DENSITY * volume * 1e3 == pytest.approx(mass, abs=0.5)
    ratio = STEEL_DENSITY * volume / blank_mass(key, "bevel")
    assert (ratio - 1) * 100 == pytest.approx(more, abs=0.1)
    assert weigh_knife(default_spec(key)).blank.mass == pytest.approx(
        STEEL_DENSITY * volume
    )


@pytest.mark.parametrize("key", list(FAMILIES))
@pytest.mark.parametrize("forging", list(FORGINGS))
@pytest.mark.parametrize("name", list(ALLOWANCES))
def test_blank_covers_the_blade_at_every_station(key, forging, name):
    """Law: nothing can be ground that was not there."""
    blade = blade_of(key)
    x, _weight = stations(blade.length, 100)
    height = blade.spine(x) - blade.edge(x)
    finished = section_area(height, blade.thickness(x), blade.grind)
    assert np.all(blank_area(blade, x, forging, ALLOWANCES[name]) >= finished)
    assert np.all(following_area(blade, x, ALLOWANCES[name]) >= finished)


def test_bar_blank_of_a_rectangle_is_a_rectangle():
    """shapely: area of the outline grown by p, times the thickness."""
    plain = replace(
        blade_of("gyuto"),
        edge=lambda x: 0.0 * x,
        spine=lambda x: 0.0 * x + 0.040,
        thickness=lambda x: 0.0 * x + 0.003,
    )
    p = TYPICAL.profile * 1e3
    body = Polygon([(-p, -p), (210, -p), (210, 40 + p), (-p, 40 + p)])
    # the end beyond the tip is half an ellipse, p long and p either way
    area = body.area + math.pi / 2 * p**2
    volume = blank_volume(plain, "bar", TYPICAL) * 1e9
    assert volume == pytest.approx(area * (3 + 2 * TYPICAL.side * 1e3), rel=1e-6)


def test_outline_of_a_gyuto_grown_all_round():
    """shapely: a mitred buffer, 0.2 to 0.9 % more than the grown outline."""
    blade = blade_of("gyuto")
    x = blade.length * (1 - np.linspace(1, 0, 4000) ** 2)
    around = np.r_[x, x[::-1]], np.r_[blade.edge(x), blade.spine(x)[::-1]]
    buffer = Polygon(np.column_stack(around) * 1e3).buffer(2.0, join_style="mitre")
    flat = replace(blade, thickness=lambda at: 0.0 * at + 0.001)
    side = replace(TYPICAL, side=0.0)
    grown = blank_volume(flat, "bar", side) * 1e9
    assert -0.009 < grown / buffer.area - 1 < -0.002


def test_bar_holds_blank_crop_and_scale():
    """Law: what goes in comes out as blank, crop and scale."""
    bar = needed_mass(np.array([0.2, 0.3]), TYPICAL)
    assert bar * (1 - TYPICAL.scale) - TYPICAL.crop == pytest.approx([0.2, 0.3])


def test_clean_bar_needs_less():
    """Common practice, no source: 0.45 mm a side and 20 g."""
    clean = clean_allowance(TYPICAL)
    assert (clean.side, clean.crop) == (0.00045, 0.020)
    assert clean_allowance(ALLOWANCES["tight"]).side == ALLOWANCES["tight"].side
    blank = weigh_knife(default_spec("gyuto")).blank
    assert blank.clean_needed < blank.needed


@pytest.mark.parametrize("key", list(FAMILIES))
def test_the_more_is_forged_the_lighter_the_blank(key):
    """Law: tapering the spine and forging the bevel only take away."""
    masses = [blank_mass(key, forging) for forging in ("bar", "taper", "bevel")]
    assert masses == sorted(masses, reverse=True)


def test_bar_must_offer_spine_and_width():
    """Common practice, no source: 0.55 to 1.0 of the blank's height."""
    blank = weigh_knife(default_spec("gyuto")).blank
    assert blank.height == pytest.approx(0.053)
    assert blank.bar_thickness == pytest.approx(0.0042)
    assert (blank.bar_width_low, blank.bar_width_high) == pytest.approx(
        (0.02915, 0.053)
    )
    assert blank.thicknesses == pytest.approx((0.0042, 0.0034, 0.0022))
