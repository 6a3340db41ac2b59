"""Blanks along the bar: nothing overlaps, nothing sticks out, no steel is made."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.bar_layout import Bar, bar_layout, piece_length
from billets.physics.blank import ALLOWANCES, clean_allowance
from billets.physics.cutting import cut_line
from billets.physics.errors import PlanError
from billets.physics.families import FAMILIES
from billets.physics.finishing import finishing
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import default_spec, spec_fittings
from billets.physics.verdict import Target

BAR = Bar(length=0.437, mass=0.612, kerf=0.0013)


def target(key, forging="bevel", *, clean=False):
    spec = replace(default_spec(key), forging=forging)
    blank = weigh_knife(spec).blank
    flat = blank.length + spec.neck_length + spec_fittings(spec).tang.length
    return Target(
        label=key,
        needed=blank.clean_needed if clean else blank.needed,
        thickness=blank.bar_thickness,
        length=flat if forging == "bar" else 0.0,
        knife=spec,
    )


def wants(*lengths):
    one = st.tuples(st.floats(0.03, 0.6), st.sampled_from([0.0, *lengths]))
    return st.lists(one, min_size=1, max_size=9).map(
        lambda told: [
            Target(label=f"K{place}", needed=mass, length=length)
            for place, (mass, length) in enumerate(told)
        ]
    )


ANY_BAR = st.builds(
    Bar,
    length=st.floats(0.1, 1.5),
    mass=st.floats(0.1, 4.0),
    kerf=st.floats(0.0005, 0.004),
)


@given(ANY_BAR, wants(0.18, 0.31))
def test_pieces_never_overlap_and_lie_in_the_bar(bar, targets):
    """Plane facts: a kerf between two pieces, all of them inside the bar."""
    layout = bar_layout(bar, targets)
    for one, other in pairwise(layout.pieces):
        assert other.start == pytest.approx(one.end + bar.kerf)
    for piece in layout.pieces:
        assert piece.start >= 0.0
        assert piece.end <= bar.length + 1e-9
        assert {piece.tang_end, piece.tip} == {piece.start, piece.end}


@given(ANY_BAR, wants())
def test_pieces_cuts_and_rest_make_up_the_bar(bar, targets):
    """Conservation of length; a last cut may run out of the bar."""
    layout = bar_layout(bar, targets)
    used = sum(piece.length for piece in layout.pieces)
    total = used + layout.left + bar.kerf * len(layout.cuts)
    over = bar.kerf if layout.cuts and not layout.left else 0.0
    assert bar.length - 1e-9 <= total <= bar.length + over + 1e-9


@given(ANY_BAR, wants())
def test_every_knife_is_placed_or_missing(bar, targets):
    layout = bar_layout(bar, targets)
    placed = [targets[piece.target].label for piece in layout.pieces]
    assert placed == [piece.label for piece in layout.pieces]
    missing = [label for label, _length in layout.missing]
    assert sorted(placed + missing) == [one.label for one in targets]
    assert all(lacking > 0.0 for _label, lacking in layout.missing)


@given(ANY_BAR, st.floats(0.05, 0.9))
def test_as_many_fit_alone_as_a_saw_gives(bar, needed):
    """The same count as of pieces cut from stock: both lay kerfs between pieces."""
    one = Target(label="K", needed=needed)
    length = piece_length(bar, one)
    (alone,) = bar_layout(bar, [one]).alone
    if length > bar.length + 1e-6:
        assert alone == ("K", 0)
    else:
        length = min(length, bar.length)  # but for rounding
        assert alone[1] == cut_line(1, length, bar.length, bar.kerf).per_bar


def test_forged_piece_has_the_mass_it_needs():
    """Conservation of mass: a piece's share of the bar is its share of the length."""
    layout = bar_layout(BAR, [target("petty"), target("paring")])
    for piece, key in zip(layout.pieces, ("petty", "paring"), strict=True):
        mass = BAR.mass * piece.length / BAR.length
        assert mass == pytest.approx(target(key).needed)
        assert not piece.flat
        assert not piece.turned


def test_outlines_from_flat_bar_lie_head_to_tail():
    bar = replace(BAR, length=1.2, mass=2.0)
    layout = bar_layout(bar, [target("paring", "bar")] * 3)
    assert [piece.turned for piece in layout.pieces] == [False, True, False]
    assert layout.pieces[0].tip < layout.pieces[1].tip < layout.pieces[1].tang_end


@pytest.mark.parametrize("key", list(FAMILIES))
def test_outline_from_flat_bar_lies_whole_in_its_piece(key):
    """By definition of the allowance: it stays on all sides of blade and tang."""
    bar = Bar(length=1.2, mass=9.0, kerf=0.0013)
    (piece,) = bar_layout(bar, [target(key, "bar")]).pieces
    spec = default_spec(key)
    profile = ALLOWANCES[spec.allowance].profile
    assert piece.tip - piece.heel == pytest.approx(spec.length + profile)
    behind = spec.neck_length + spec_fittings(spec).tang.length
    assert piece.heel - piece.tang_end - piece.stub == pytest.approx(behind + profile)


@pytest.mark.parametrize("key", list(FAMILIES))
@pytest.mark.parametrize("clean", [False, True])
def test_stub_tang_and_blade_share_the_piece(key, clean):
    """Conservation: stub and tang by mass leave the rest for the blade."""
    bar = Bar(length=1.2, mass=9.0, kerf=0.0013, clean=clean)
    one = target(key, clean=clean)
    (piece,) = bar_layout(bar, [one]).pieces
    assert piece.start < piece.stub < piece.heel < piece.tip
    allowance = ALLOWANCES["typical"]
    crop = (clean_allowance(allowance) if clean else allowance).crop
    assert bar.mass * piece.stub / bar.length == pytest.approx(crop)


def test_knife_that_is_not_known_has_no_heel():
    (piece,) = bar_layout(BAR, [Target(label="K", needed=0.2)]).pieces
    assert piece.heel is None
    assert piece.stub == piece.tang == 0.0


def test_a_wider_cut_leaves_no_more():
    """Law: what the saw takes is not left over."""
    targets = [target("paring"), target("petty")]
    left = [bar_layout(replace(BAR, kerf=k), targets).left for k in (0.001, 0.003)]
    assert left[1] < left[0]


def test_twice_the_bar_is_laid_out_twice_as_long():
    """Similar figures: lengths and kerf doubled, masses alike."""
    targets = [target("paring"), target("petty")]
    large = replace(BAR, length=2 * BAR.length, kerf=2 * BAR.kerf)
    small, twice = bar_layout(BAR, targets), bar_layout(large, targets)
    for one, other in zip(small.pieces, twice.pieces, strict=True):
        assert other.start == pytest.approx(2 * one.start)
        assert other.end == pytest.approx(2 * one.end)
    assert twice.left == pytest.approx(2 * small.left)


@pytest.mark.parametrize("change", [{"length": 0.0}, {"mass": 0.0}])
def test_bar_without_steel_is_refused(change):
    with pytest.raises(PlanError):
        bar_layout(replace(BAR, **change), [target("paring")])


# --- from the bar to the blade -------------------------------------------------------


@pytest.mark.parametrize("key", list(FAMILIES))
@pytest.mark.parametrize("clean", [False, True])
def test_steel_only_gets_less_toward_the_blade(key, clean):
    """Conservation of mass: bar, blank, blade."""
    found = finishing([target(key, clean=clean)], clean=clean)
    assert found.needed > found.blank > found.steel > 0.0
    assert found.blank_low <= found.blank <= found.blank_high
    assert found.steel_low < found.steel < found.steel_high


def test_knives_of_one_bar_add_up():
    one, other = target("petty"), target("nakiri")
    both = finishing([one, other], clean=False)
    apart = [finishing([each], clean=False) for each in (one, other)]
    assert both.steel == pytest.approx(sum(each.steel for each in apart))
    assert both.blank == pytest.approx(sum(each.blank for each in apart))


def test_nothing_is_said_of_knives_that_are_not_known():
    assert finishing([], clean=False) is None
    unknown = replace(target("petty"), knife=None)
    assert finishing([target("nakiri"), unknown], clean=False) is None
