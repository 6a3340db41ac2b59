"""Layers by sequence, against counting identities."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.errors import PlanError
from billets.physics.layers import (
    MOST_LAYERS,
    book_folded,
    book_restacked,
    distinct_count,
    distinct_count_folded,
    folded,
    joined,
    layer_thickness,
    merged,
    nominal_count,
    of_stack,
    open_book,
    restacked,
    shares,
    without_skin,
)
from tests.billets.physics.plans import alternating


def stacked(layers):
    return of_stack(alternating(layers, 100, 30, layers))


def whole(sequence):
    return sum(thickness for _key, thickness in sequence)


def test_fifteen_layers_cut_in_five_and_three_count_as_the_trade_does():
    """Counting identity: 15 layers, 5 pieces, 3 pieces give 225, of which 211 show."""
    assert nominal_count(15, 5, 3) == 225
    once = restacked(stacked(15), 5)
    assert len(once) == distinct_count(15, 5, same_faces_meet=True) == 71
    twice = restacked(once, 3)
    assert len(twice) == distinct_count(71, 3, same_faces_meet=True) == 211


def test_even_stack_keeps_all_layers_unless_pieces_are_turned():
    """Counting identity: 16 layers in four pieces, 64 the same way up, 61 turned."""
    assert len(restacked(stacked(16), 4)) == 64
    assert len(restacked(stacked(16), 4, turned=True)) == 61
    assert distinct_count(16, 4, same_faces_meet=False) == 64
    assert distinct_count(16, 4, same_faces_meet=True) == 61


def test_fold_doubles_and_loses_one():
    """Counting identity: 2n - 1; fifteen layers folded five times make 449."""
    assert len(folded(stacked(16))) == distinct_count_folded(16, 1) == 31
    sequence = stacked(15)
    for _fold in range(5):
        sequence = folded(sequence)
    assert len(sequence) == distinct_count_folded(15, 5) == 449


@given(st.integers(2, 40), st.integers(2, 9), st.booleans())
def test_sequence_and_formula_agree_for_alternating_stacks(layers, pieces, turned):
    meets = layers % 2 == 1 or turned
    sequence = restacked(stacked(layers), pieces, turned=turned)
    assert len(sequence) == distinct_count(layers, pieces, same_faces_meet=meets)


sequences = st.lists(
    st.tuples(st.sampled_from("abc"), st.floats(0.1, 10.0)), min_size=2, max_size=30
).map(merged)


@given(sequences, st.integers(2, 6), st.booleans())
def test_no_restack_makes_or_loses_thickness(sequence, pieces, turned):
    pile = restacked(sequence, pieces, turned=turned)
    assert whole(pile) == pytest.approx(pieces * whole(sequence))
    assert len(pile) <= pieces * len(sequence)


@given(sequences, st.integers(2, 6))
def test_no_two_neighbours_are_alike_after_a_restack(sequence, pieces):
    pile = restacked(sequence, pieces)
    assert merged(pile) == pile


@given(sequences, st.floats(0.01, 1.0))
def test_skin_comes_off_both_faces_and_leaves_the_core(sequence, core):
    left = without_skin(sequence, core)
    assert whole(left) == pytest.approx(core * whole(sequence))
    assert len(left) <= len(sequence)


def test_grinding_takes_whole_outer_layers():
    """Ten layers of one millimetre lose 2.5 on each face: six are left, two thin."""
    left = without_skin(stacked(10), 0.5)
    assert len(left) == 6
    assert left[0][1] == pytest.approx(left[2][1] / 2)


def test_nothing_ground_leaves_the_sequence_alone():
    assert without_skin(stacked(15), 1.0) == stacked(15)


def test_touching_layers_of_one_steel_are_one():
    assert merged([("a", 1.0), ("a", 1.0), ("b", 1.0)]) == (("a", 2.0), ("b", 1.0))
    assert joined([(("a", 1.0),), (("a", 2.0),)]) == (("a", 3.0),)


def test_shares_add_to_one():
    assert whole(shares(stacked(15))) == pytest.approx(1.0)


def test_layer_thickness_of_a_ground_bar():
    """Arithmetic: 2.5 mm through 211 layers is 0.01185 mm each."""
    assert layer_thickness(2.5e-3, 211) == pytest.approx(0.01185e-3, rel=1e-3)


def test_more_layers_than_anyone_can_tell_apart_are_refused():
    book = open_book(alternating(16, 100, 30, 30))
    with pytest.raises(PlanError) as refused:
        book_restacked(book, MOST_LAYERS, turned=False)
    assert refused.value.field == "pieces"


def test_book_counts_both_ways_after_a_fold():
    book = book_folded(open_book(alternating(15, 100, 30, 30)))
    assert (book.nominal, book.distinct, len(book.left)) == (30, 29, 29)
