"""The order of layers in letters: read, written, refused with the way out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.letters import LETTERS, read_order, write_order
from billets.physics.bar import MOST_PIECES
from billets.physics.errors import PlanError

READ = [
    ("ABA", "ABA"), ("a b a", "ABA"), ("AB, AB; A", "ABABA"), ("4(AB)A", "ABABABABA"),
    ("3x(AB)", "ABABAB"), ("3 × (A B), A", "ABABABA"), ("2A 3B", "AABBB"),
    ("2(A2(BC))", "ABCBCABCBC"), ("5 (AB)", "ABABABABAB"), ("AB\nAB", "ABAB"),
]  # fmt: skip
REFUSED = [
    ("", "no pieces"), ("0(AB)", "no pieces"), ("()", "no pieces"),
    ("5", "no order of layers"), ("5×", "no order of layers"),
    ("(AB", "no order of layers"), ("AB)", "no order of layers"),
    ("A-B", "no order of layers"), ("3A2", "no order of layers"),
    ("½A", "no order of layers"), ("²A", "no order of layers"),
    ("ABF", "no bar has the letter"), ("AXB", "no order of layers"),
    ("4 AB", "two ways"), ("4×AB", "two ways"),
    ("999(AB)", "more than"), ("9" * 300 + "A", "more than"),
    ("40(20(AB))", "more than"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "order"), READ)
def test_order_is_read_as_a_smith_writes_it(text, order):
    assert read_order(text) == order


@pytest.mark.parametrize(("text", "why"), REFUSED)
def test_what_is_no_order_is_refused_with_the_way_out(text, why):
    with pytest.raises(PlanError) as caught:
        read_order(text)
    sentence = caught.value.message.format(**caught.value.values)
    assert why in sentence[0].lower() + sentence[1:]
    assert caught.value.field == "order"


orders = st.one_of(
    st.text(alphabet=LETTERS, min_size=1, max_size=60),
    st.builds(
        lambda unit, count, rest: unit * count + unit[:rest],
        st.text(alphabet="ABC", min_size=1, max_size=6),
        st.integers(1, 30),
        st.integers(0, 6),
    ),
)


@given(orders)
def test_what_is_written_short_is_read_back_in_full(order):
    assert read_order(write_order(order)) == order


@given(st.text(max_size=60))
def test_any_text_is_an_order_or_a_refusal(text):
    try:
        order = read_order(text)
    except PlanError:
        return
    assert 0 < len(order) <= MOST_PIECES
    assert set(order) <= set(LETTERS)
