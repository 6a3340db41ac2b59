"""Every sensible chain over the bars of a shop: counted, bounded, sifted."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics import candidates
from billets.physics.candidates import bar_thickness, bar_widths, enumerated
from billets.physics.chains import restack_heights
from billets.physics.counting import Counted, after_cut, after_fold, after_restack
from billets.physics.equipment import Forge
from billets.physics.errors import PlanError
from billets.physics.first_stacks import MOST_SETS, BarOffer, first_stacks
from billets.physics.layers import folded, merged, restacked
from tests.billets.physics.stocks import (
    BRIGHT,
    DARK,
    GREY,
    MM,
    RACK,
    bars,
    knife,
    means,
    wish,
)  # fmt: skip


def one(layers, top, bottom):
    return Counted(
        layers=np.array([layers]), top=np.array([top]), bottom=np.array([bottom])
    )


# --- counting layers -----------------------------------------------------------------

stacks = st.lists(st.integers(0, 2), min_size=2, max_size=9)
restacks = st.lists(st.sampled_from([0, 2, 3, 4, 5]), max_size=3)


@given(stacks, restacks)
def test_layers_counted_are_the_layers_of_the_sequence(order, ways):
    """Law: the recurrence on count and outer steels is the sequence itself."""
    sequence = merged((str(steel), 1.0) for steel in order)
    book = one(len(sequence), order[0], order[-1])
    for pieces in ways:
        sequence = restacked(sequence, pieces) if pieces else folded(sequence)
        book = after_cut(book, np.array([pieces])) if pieces else after_fold(book)
        assert int(book.layers[0]) == len(sequence)
        assert str(book.bottom[0]) == sequence[-1][0]


def test_fifteen_layers_cut_in_five_and_three_are_211_apart():
    """A counting identity: fourteen joints of fifteen layers, times fifteen, plus one.

    Quoted from the trade's way of counting; common practice, no source.
    """
    book = after_cut(after_cut(one(15, 0, 0), np.array([5])), np.array([3]))
    assert int(book.layers[0]) == 14 * 15 + 1


def test_cut_and_folded_bars_stand_side_by_side():
    book = Counted(
        layers=np.array([7, 8, 9]), top=np.array([0, 0, 1]), bottom=np.array([0, 1, 1])
    )
    after = after_restack(book, np.array([3, 2, 1]), np.array([False, True, False]))
    assert after.layers.tolist() == [19, 15, 9]
    assert after.bottom.tolist() == [0, 0, 1]


# --- first stacks --------------------------------------------------------------------


def test_every_bar_on_offer_is_laid_with_every_other():
    laid = first_stacks(bars(DARK, BRIGHT))
    pairs = {tuple(bar.key for bar in kit.bars) for kit in laid.kits}
    assert len(pairs) == len(RACK[DARK]) * len(RACK[BRIGHT])


def test_stacks_hold_the_pieces_they_say():
    laid = first_stacks(bars(DARK, BRIGHT, GREY))
    for row in range(0, len(laid.kit), 7):
        kit = laid.kits[laid.kit[row]]
        order = kit.order(int(laid.pieces[row]))
        height = sum(kit.bars[bar].thickness for bar in order)
        assert laid.height[row] == pytest.approx(height)
        assert 20 * MM <= height <= 45 * MM
        assert laid.counts[row].tolist() == [order.count(bar) for bar in range(3)]
        assert (laid.top[row], laid.bottom[row]) == (order[0], order[-1])
        assert all(a != b for a, b in pairwise(order))


def test_no_stack_is_another_one_turned_over():
    laid = first_stacks(bars(DARK, BRIGHT))
    seen = set()
    for row in range(len(laid.kit)):
        kit = laid.kits[laid.kit[row]]
        order = tuple(kit.bars[b].key for b in kit.order(int(laid.pieces[row])))
        assert order not in seen
        assert order[::-1] not in seen or order == order[::-1]
        seen.add(order)


@pytest.mark.parametrize("steels", [(DARK,), (), (DARK, BRIGHT, GREY, None)])
def test_two_or_three_steels_make_a_pattern(steels):
    offered = [bar for steel in steels if steel for bar in bars(steel)]
    if None in steels:
        odd = type(DARK)("odd", "odd steel", 0.6)
        offered.append(BarOffer(key="x", steel=odd, thickness=0.003, width=0.04,
                                length=1.0))  # fmt: skip
    with pytest.raises(PlanError, match="two or three steels") as told:
        first_stacks(offered)
    assert told.value.values["count"] == len({bar.steel.key for bar in offered})


def test_a_rack_of_very_many_bars_is_laid_without_ripping():
    many = [
        BarOffer(key=f"{steel.key}{place}", steel=steel, thickness=(15 + place) * 1e-4,
                 width=width, length=1.0)
        for steel in (DARK, BRIGHT)
        for place in range(20)
        for width in (0.03, 0.04, 0.05)
    ]  # fmt: skip
    laid = first_stacks(many)
    assert len(laid.kits) <= 2 * MOST_SETS
    assert all(len({bar.width for bar in kit.bars}) == 1 for kit in laid.kits)
    assert len({kit.bars[0].thickness for kit in laid.kits}) > 5


# --- chains --------------------------------------------------------------------------


def test_an_ordinary_shop_has_thousands_of_ways():
    found = enumerated(wish(), means(), [knife()])
    assert found.considered >= 2000
    assert len(found.chains) >= 2000
    assert set(found.chains.welds.tolist()) >= {2, 3, 4, 5}


@pytest.mark.parametrize("steels", [(DARK, BRIGHT), (DARK, BRIGHT, GREY)])
@pytest.mark.parametrize("layers", [(5, 9), (40, 60), (211, 211), (400, 600)])
def test_what_is_looked_at_is_left_or_counted(steels, layers):
    found = enumerated(wish(*layers), means(*steels), [knife()])
    assert found.considered == len(found.chains) + sum(found.dropped.values())
    assert 0 < found.considered <= candidates.MOST_CHAINS


def test_chains_left_are_what_was_wished():
    asked, target = wish(90, 140), knife()
    found = enumerated(asked, means(), [target]).chains
    low, high = candidates.RESTACKED
    there = found.cuts > 0
    heights = restack_heights(found)[there]
    assert ((found.layers >= 90) & (found.layers <= 140)).all()
    assert ((heights >= low - 1e-12) & (heights <= high + 1e-12)).all()
    assert (found.bar_width >= target.width_low).all()
    assert (found.bar_width <= target.width_high).all()
    assert (np.diff(found.welds) <= 0).all()  # those of most welds stand first
    assert (there[:, :-1] >= there[:, 1:]).all()  # no restack after a gap
    assert (found.cuts[found.folded] == 2).all()
    kits = found.stacks.kits
    widest = np.array([kit.width for kit in kits])[found.stacks.kit[found.row]]
    assert (found.width <= widest).all()


def test_small_door_keeps_tall_stacks_out():
    low = enumerated(wish(), means(forge=Forge(door_height=30 * MM)), [knife()])
    assert low.dropped["door"] > 0
    heights = np.column_stack(
        (low.chains.stacks.height[low.chains.row], restack_heights(low.chains))
    )
    both = np.minimum(heights, low.chains.width[:, np.newaxis])
    assert (both <= 30 * MM).all()


def test_blade_too_wide_for_the_bars_is_counted():
    cleaver = knife(width_low=62 * MM, width_high=96 * MM)
    found = enumerated(wish(), means(), [cleaver])
    assert found.dropped["wide"] > 0
    assert (found.chains.bar_width <= 1.5 * found.chains.width).all()


def test_fewer_welds_can_be_asked_for():
    found = enumerated(wish(8, 14, most_welds=1), means(), [knife()])
    assert found.chains.cuts.shape[1] == 0
    assert set(found.chains.welds.tolist()) == {1}


@pytest.mark.parametrize(
    ("low", "high", "field", "said"),
    [
        (1, 20, "layers_low", "2 to 2000"),
        (2500, 2600, "layers_low", "not 2500"),
        (20, 2001, "layers_high", "ask for 2000 at most"),
        (200, 100, "layers_high", "wrong way round"),
    ],
)
def test_wish_that_no_stack_meets_is_refused(low, high, field, said):
    with pytest.raises(PlanError) as told:
        enumerated(wish(low, high), means(), [knife()])
    text = str(told.value).format(**told.value.values)
    assert told.value.field == field
    assert said in text


# --- the bar at the end --------------------------------------------------------------


@given(st.floats(0.0031, 0.012))
def test_bar_is_as_thick_as_the_thickest_knife_needs(thickness):
    knives = [knife(thickness=thickness), knife(thickness=0.003)]
    bar = bar_thickness(knives)
    assert thickness < bar <= thickness + 1.2e-4
    assert round(bar * 1e4, 6) == round(bar * 1e4)


def test_bar_is_as_wide_as_all_knives_allow():
    narrow, wide = knife(width_high=34.6 * MM), knife(width_low=33.2 * MM)
    stack = np.array([20.0, 33.9, 50.0]) * MM
    np.testing.assert_allclose(
        bar_widths(stack, [narrow, wide]), np.array([34.0, 34.0, 34.0]) * MM
    )
    free = bar_widths(stack, [knife(width_low=0.0, width_high=math.inf)])
    np.testing.assert_allclose(free, stack)


def test_knives_without_a_common_width_get_the_wider_one():
    petty, cleaver = knife(width_high=25 * MM), knife(width_low=50 * MM)
    assert bar_widths(np.array([40 * MM]), [petty, cleaver])[0] == pytest.approx(0.05)
