"""Layers in a cut across the blade: areas by shapely, closed forms, conservation."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import Polygon, box

from billets.physics.blade_cut import BladeCut, bar_cut, knife_cut, wedge_cut
from billets.physics.core_shown import core_shown, middle_layer
from billets.physics.errors import PlanError
from billets.physics.etched import (
    MOST_BANDS,
    Window,
    coarser,
    etched,
    focused,
    layers_shown,
)
from billets.physics.families import FAMILIES
from billets.physics.knife_spec import default_spec, spec_blade
from billets.physics.layers import restacked, shares
from billets.physics.section import section_area, section_sides

FEW = (("a", 3.0), ("b", 2.0)) * 4 + (("a", 3.0),)
"""Nine layers, dark ones thicker; all numbers here are our own."""

MANY = restacked(FEW, 5)
THICK = 0.02
"""A bar thicker than any blank."""


def cut_of(key, forging):
    return knife_cut(replace(default_spec(key), forging=forging), bar=THICK)


def polygon(above, left, right):
    around = np.r_[left, right[::-1]], np.r_[above, above[::-1]]
    return Polygon(np.column_stack(around) * 1e3)


def shapes(found):
    """Each layer as shapely sees it; what shows nowhere is left out."""
    told = [polygon(found.above, *pair).buffer(0) for pair in pairwise(found.bounds)]
    return [one for one in told if one.area > 1e-9]


def per_steel(sequence, areas):
    totals = dict.fromkeys((key for key, _share in sequence), 0.0)
    for (key, _share), area in zip(sequence, areas, strict=True):
        totals[key] += area
    return totals


# --- where layers lie ----------------------------------------------------------------


@pytest.mark.parametrize("key", list(FAMILIES))
@pytest.mark.parametrize("sequence", [FEW, MANY], ids=["few", "many"])
def test_flat_layers_are_strips_of_the_section(key, sequence):
    """shapely: the section, through 4,000 points, cut by one upright strip a layer."""
    spec = replace(default_spec(key), forging="taper")
    cut = cut_of(key, "taper")
    grind = spec_blade(spec).grind
    sides = section_sides(spec.height, spec.heel_thickness, grind, 1300)
    whole = polygon(*sides)
    ends = np.cumsum([0.0, *(share for _key, share in shares(sequence))])
    places = 1e3 * (cut.near[-1] + ends * cut.blank)
    strips = [
        whole.intersection(box(a, -1.0, b, 1e3 * spec.height + 1.0)).area
        for a, b in pairwise(places)
    ]
    found = etched(sequence, cut).steel_areas()
    for steel, area in per_steel(sequence, strips).items():
        assert 1e6 * found[steel] == pytest.approx(area, rel=2e-4)


@pytest.mark.parametrize("key", list(FAMILIES))
def test_a_blade_forged_to_shape_keeps_the_shares_of_its_bar(key):
    """Law: where nothing is ground, each steel has its share of the area."""
    cut = cut_of(key, "bevel")
    closed = replace(cut, near=cut.left, far=cut.right)
    found = etched(MANY, closed).steel_areas()
    for steel in ("a", "b"):
        part = sum(share for key, share in shares(MANY) if key == steel)
        assert found[steel] == pytest.approx(part * closed.area, rel=1e-9)


@pytest.mark.parametrize("key", list(FAMILIES))
@pytest.mark.parametrize("forging", ["bar", "taper", "bevel"])
def test_layers_fill_the_section_and_overlap_nowhere(key, forging):
    """shapely: the union of all layers is as large as their sum, and as the section."""
    spec, cut = default_spec(key), cut_of(key, forging)
    drawn = shapes(etched(MANY, cut))
    section = float(
        section_area(
            np.array([spec.height]),
            np.array([spec.heel_thickness]),
            spec_blade(spec).grind,
        )[0]
    )
    total = sum(one.area for one in drawn)
    assert union_all(drawn).area == pytest.approx(total, rel=1e-9)
    assert total == pytest.approx(1e6 * section, rel=1e-4)


@pytest.mark.parametrize("forging", ["taper", "bevel"])
def test_layers_lie_in_the_order_of_the_sequence(forging):
    """By definition; layers that show nowhere keep their place in the list."""
    found = etched(MANY, cut_of("gyuto", forging))
    assert found.steels == tuple(key for key, _share in MANY)
    assert np.all(found.widths() >= 0.0)
    assert np.all(np.diff(found.above) > 0.0)


def test_blank_is_no_thinner_than_the_blade_and_no_thicker_than_the_bar():
    """Conservation: a bar is not forged thicker; too thin a one is drawn as asked."""
    spec = default_spec("chef")
    for bar in (0.002, spec.heel_thickness, 0.0040, THICK):
        cut = knife_cut(replace(spec, forging="taper"), bar=bar)
        assert np.all(cut.near <= cut.left + 1e-12)
        assert np.all(cut.far >= cut.right - 1e-12)
        assert spec.heel_thickness - 1e-12 <= cut.blank
        assert cut.blank <= max(bar, spec.heel_thickness) + 1e-12


def test_clean_bar_leaves_less_to_grind():
    spec = replace(default_spec("gyuto"), forging="taper")
    clean, forged = (knife_cut(spec, bar=THICK, clean=one) for one in (True, False))
    assert clean.blank < forged.blank


def test_bar_shows_every_layer_at_its_share():
    """Rectangles: elementary."""
    found = etched(FEW, bar_cut(0.040, 0.005))
    expected = [share * 0.040 * 0.005 for _key, share in shares(FEW)]
    assert found.areas() == pytest.approx(expected, rel=1e-12)


def test_twice_the_size_has_four_times_the_area():
    """Similar figures: elementary."""
    small = wedge_cut(0.040, 0.003, behind_edge=0.0002, blank=0.004, bar=THICK)
    large = wedge_cut(0.080, 0.006, behind_edge=0.0004, blank=0.008, bar=2 * THICK)
    expected = 4.0 * etched(MANY, small).areas()
    assert etched(MANY, large).areas() == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("part", "expected"), [(1.0, 21), (0.5, 11), (0.25, 7), (0.02, 1)]
)
def test_layers_shown_in_a_wedge(part, expected):
    """Counting: of 21 equal layers those that reach into the middle part show.

    Half the thickness is 10.5 layers about the middle of the eleventh: 4.75 more on
    either side, five of them at least in part.
    """
    sequence = (("a", 1.0), ("b", 1.0)) * 10 + (("a", 1.0),)
    height, spine = 0.050, 0.0042
    cut = wedge_cut(height, spine, behind_edge=0.0, blank=spine, bar=THICK)
    assert layers_shown(sequence, cut, part * height) == expected


def test_a_window_is_part_of_the_whole():
    """Conservation: two windows above each other hold what the whole does."""
    cut = cut_of("nakiri", "taper")
    low, high = (
        etched(MANY, cut, window).areas()
        for window in (Window(high=0.013), Window(low=0.013))
    )
    assert low + high == pytest.approx(etched(MANY, cut).areas(), rel=1e-9)


def test_a_window_across_cuts_layers_off():
    """Rectangle of the window: elementary."""
    cut = bar_cut(0.040, 0.005)
    window = Window(low=0.010, high=0.012, near=-0.001, far=0.0015)
    area = etched(FEW, cut, window).areas().sum()
    assert area == pytest.approx(0.002 * 0.0025, rel=1e-9)


def test_more_layers_than_can_be_drawn_are_refused():
    many = (("a", 1.0), ("b", 1.0)) * MOST_BANDS
    with pytest.raises(PlanError) as caught:
        etched(many, bar_cut(0.040, 0.005))
    assert caught.value.field == "layers"


# --- coarser, focused ----------------------------------------------------------------


def sequences(size=60):
    layer = st.tuples(st.sampled_from("abc"), st.floats(0.2, 5.0))
    return st.lists(layer, min_size=1, max_size=size).map(tuple)


def steel_shares(sequence):
    return per_steel(sequence, [share for _key, share in sequence])


@given(sequences(), st.floats(1e-5, 2e-3))
def test_coarser_layers_keep_each_steels_share(sequence, least):
    """Conservation."""
    coarse, held = coarser(sequence, 0.004, least)
    assert held >= 1
    assert len(coarse) <= len(sequence)
    before, after = steel_shares(shares(sequence)), steel_shares(coarse)
    assert after == pytest.approx(before, rel=1e-9)


def test_layers_thick_enough_are_all_drawn():
    coarse, held = coarser(FEW, 0.004, 0.0002)
    assert (coarse, held) == (shares(FEW), 1)


def test_coarse_bands_are_as_thick_as_the_pen():
    coarse, held = coarser(MANY, 0.004, 0.0005)
    assert held > 1
    assert 0.004 / len(coarse) >= 0.0005
    steels = [key for key, _share in coarse]
    assert all(one != other for one, other in pairwise(steels))


def test_a_core_stays_as_thick_as_it_is():
    """A core of a third between jackets of many layers, whose bands alone grow."""
    jacket = tuple((key, share / 3) for key, share in shares(MANY))
    coarse, held = coarser((*jacket, ("c", 1 / 3), *jacket), 0.004, 0.0002)
    assert held > 1
    assert [share for key, share in coarse if key == "c"] == pytest.approx([1 / 3])


@given(sequences(30), st.floats(0.0, 0.9), st.floats(0.02, 0.5))
def test_focus_keeps_the_thickness_and_what_is_inside(sequence, low, wide):
    """Conservation; boundaries inside the part looked at stay where they are."""
    high = min(1.0, low + wide)
    part = focused(sequence, low, high)
    assert sum(share for _key, share in part) == pytest.approx(1.0)
    ends, kept = (
        np.cumsum([0.0, *(share for _key, share in told)])
        for told in (shares(sequence), part)
    )
    inside = ends[(ends > low + 1e-9) & (ends < high - 1e-9)]
    assert all(np.min(np.abs(kept - end)) < 1e-9 for end in inside)


# --- a core --------------------------------------------------------------------------

CORE = (("j", 0.35), ("k", 0.30), ("j", 0.35))


def flat_wedge(height, spine, behind, blank):
    return wedge_cut(height, spine, behind_edge=behind, blank=blank, bar=THICK)


def test_core_shows_where_the_wedge_is_as_thick_as_it():
    """Similar triangles: elementary. A blank ground no thinner than it was forged."""
    cut = flat_wedge(0.048, 0.0030, 0.0002, 0.0030)
    core = core_shown(CORE, cut, middle_layer(CORE))
    # measured from the edge line, where the wedge is as thick as behind the edge
    part = (core.near - cut.shoulder) / (cut.height - cut.shoulder)
    assert part == pytest.approx((0.9 - 0.2) / (3.0 - 0.2), rel=1e-9)
    assert core.near == pytest.approx(core.far, rel=1e-9)
    assert core.margin == pytest.approx(0.00045 - 0.00010, rel=1e-9)
    assert core.steel == "k"


def test_core_off_the_middle_has_less_on_one_side():
    """Plane geometry: the margin shrinks by the offset from the middle."""
    aside = (("j", 0.30), ("k", 0.30), ("j", 0.40))
    cut = flat_wedge(0.048, 0.0030, 0.0002, 0.0030)
    core = core_shown(aside, cut, middle_layer(aside))
    assert core.margin == pytest.approx(0.00035 - 0.05 * 0.0030, rel=1e-9)
    assert core.near > core.far


def test_core_line_rises_as_the_blank_is_ground_thinner():
    """Flat layers: what is ground off is jacket, so more of the core shows."""
    thin, thick = (
        core_shown(CORE, flat_wedge(0.048, 0.0030, 0.0002, blank), 1)
        for blank in (0.0030, 0.0042)
    )
    assert thick.near > thin.near
    assert thick.margin > thin.margin


def test_edge_in_a_jacket_has_a_margin_below_zero():
    off = (("j", 0.75), ("k", 0.20), ("j", 0.05))
    assert core_shown(off, flat_wedge(0.048, 0.0030, 0.0002, 0.0030), 1).margin < 0.0


def test_forged_bevel_thins_the_core_toward_the_edge():
    """Shares stay equal under forging, so a core forged thin is thin at the edge."""
    flat, forged = (
        core_shown(CORE, cut_of("gyuto", forging), 1) for forging in ("taper", "bevel")
    )
    assert forged.margin < flat.margin
    assert forged.near < flat.near


def test_cut_is_what_it_says():
    cut = cut_of("gyuto", "taper")
    assert isinstance(cut, BladeCut)
    spec = default_spec("gyuto")
    assert cut.height == pytest.approx(spec.height)
    assert cut.spine == pytest.approx(spec.heel_thickness)
