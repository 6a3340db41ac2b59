"""The picture of what an order may cost: no label on another, no colour needed."""

import itertools
import re
import xml.etree.ElementTree as ET

import pytest

from quotes.risks.chart import LETTER, Mark, cost_chart

EDGES = tuple(1000.0 + 25 * place for place in range(41))
COUNTS = tuple(range(1, 21)) + tuple(range(20, 0, -1))
LINE_HEIGHT, BELOW = 11.0, 3.0


SHORT = ("€1,247.27", "€1,467.38")


def chart(floor, net, *, amounts=SHORT, edges=EDGES, counts=COUNTS):
    marks = (
        Mark(name="Floor, net", amount=amounts[0], value=floor, dashes="5 3"),
        Mark(name="Net price", amount=amounts[1], value=net),
    )
    drawn = cost_chart(edges, counts, marks, label='a "word" & more', loss_from=net)
    return ET.fromstring(drawn)


def boxes(svg):
    """Where each text stands: left, right, top, bottom."""
    found = {}
    for text in svg.iter("text"):
        x, y = float(text.get("x")), float(text.get("y"))
        wide = LETTER * len(text.text)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}
        start = left[text.get("text-anchor")]
        found[text.text] = (start, start + wide, y - LINE_HEIGHT, y + BELOW)
    return found


def lines(svg):
    """The lines of both marks: x, top, foot."""
    for path in svg.iter("path"):
        if path.get("stroke") == "currentColor":
            yield tuple(map(float, re.findall(r"[\d.]+", path.get("d"))))


SPREAD = [*range(1010, 2000, 90), 1500, 1501]


@pytest.mark.parametrize("amounts", [SHORT, ("1.247.270,00 Ft", "1.467.380,00 Ft")])
@pytest.mark.parametrize("floor", SPREAD)
def test_no_label_stands_on_another_or_on_a_line(floor, amounts):
    for net in SPREAD:
        svg = chart(floor, net, amounts=amounts)
        found = boxes(svg)
        for one, other in itertools.combinations(found.values(), 2):
            apart = one[1] <= other[0] or other[1] <= one[0]
            assert apart or one[3] <= other[2] or other[3] <= one[2]
        for (x, top, _foot), (start, end, _above, below) in itertools.product(
            lines(svg), found.values()
        ):
            if below < 100:  # a number of the scale may stand under a mark
                assert not (start < x < end and top < below)


@pytest.mark.parametrize("floor", SPREAD)
def test_labels_stay_inside_the_drawing(floor):
    for net in SPREAD:
        for start, end, above, _below in boxes(chart(floor, net)).values():
            assert start >= 0
            assert end <= 360
            assert above >= 0


def test_what_lies_beyond_the_price_is_filled():
    """Read without colour: all of it below the least cost, none above the most."""

    def filled(net):
        return len(list(chart(1400, net).iter("rect")))

    assert filled(900) == len(COUNTS)
    assert filled(2100) == 0
    assert filled(1500) == 20
    widths = [float(one.get("width")) for one in chart(1400, 1510).iter("rect")]
    assert widths[0] == pytest.approx(0.6 * widths[1], abs=0.11)


def test_a_mark_far_off_stands_at_the_edge_with_an_arrow():
    found = boxes(chart(1247, 99_000))
    assert "€1,467.38 →" in found
    assert "€1,247.27" in found
    assert "€1,467.38 ←" in boxes(chart(1247, -99_000))


def test_a_cost_without_spread_is_drawn_too():
    for amount in (0.0, 1166.21):
        svg = chart(amount, amount, edges=(amount, amount), counts=(4000,))
        assert len(list(lines(svg))) == 2


def test_it_is_drawn_with_attributes_only_and_says_what_it_shows():
    svg = chart(1247, 1467)
    assert svg.get("role") == "img"
    assert svg.get("aria-label") == 'a "word" & more'
    assert not [one for one in svg.iter() if "style" in one.attrib]
    dashes = [one.get("stroke-dasharray") for one in svg.iter("path")]
    assert {"5 3", "none"} <= set(dashes)
