"""Drawings of a billet: true to its numbers, readable without colour or style."""

import dataclasses
import re
from xml.etree import ElementTree

import pytest

from billets.charts import BARE, INK, layer_fills, ticks
from billets.figures import figures_of
from billets.physics.bar import Steel
from billets.pictures.mass import LEFT, RIGHT, mass_chart
from billets.pictures.stack import stack_drawing

pytestmark = pytest.mark.django_db


@pytest.fixture
def found(plan):
    return figures_of(plan)


def layers_in(drawing):
    """The layers of a stack as drawn; swatches and patterns have other sides."""
    return [
        one for one in ElementTree.fromstring(drawing).iter("rect")
        if one.get("x") == "64" and one.get("fill") != "none"
    ]  # fmt: skip


def test_drawings_carry_attributes_only(found):
    for drawing in (stack_drawing(found.spec, "metric"), mass_chart(found, "metric")):
        root = ElementTree.fromstring(drawing)
        assert root.get("aria-label")
        assert not any("style" in one.attrib for one in root.iter())


def test_two_drawings_of_a_page_share_no_name(found):
    names = [
        re.findall(r'id="([^"]+)"', drawing)
        for drawing in (
            stack_drawing(found.spec, "metric"),
            mass_chart(found, "metric"),
        )
    ]
    assert not set(names[0]) & set(names[1])


def test_stack_shows_every_piece_from_the_bottom_up(found):
    layers = layers_in(stack_drawing(found.spec, "metric"))
    assert [one.get("fill") for one in layers] == [INK, BARE] * 5 + [INK]
    heights = [float(one.get("height")) for one in layers]
    assert heights[0] / heights[1] == pytest.approx(3.5 / 1.8, rel=0.01)
    feet = [float(one.get("y")) + float(one.get("height")) for one in layers]
    assert feet == sorted(feet, reverse=True)


def test_layers_differ_by_their_etch(found):
    assert layer_fills(found.spec) == {"A": INK, "B": BARE}


def test_two_steels_of_one_etch_are_told_apart(found):
    bars = {
        letter: dataclasses.replace(bar, steel=Steel(letter, letter, 0.8, etch="grey"))
        for letter, bar in found.spec.bars.items()
    }
    fills = layer_fills(dataclasses.replace(found.spec, bars=bars))
    assert fills["A"] != fills["B"]


def test_step_line_ends_at_the_mass_of_the_bar(found):
    drawing = ElementTree.fromstring(mass_chart(found, "metric"))
    line = next(one for one in drawing.iter("path") if one.get("class") == "edge")
    ends = [float(x) for x in re.findall(r"H([\d.]+)", line.get("d"))]
    assert ends == sorted(ends, reverse=True)
    assert ends[0] == RIGHT
    kept = (ends[-1] - LEFT) / (RIGHT - LEFT)
    assert kept == pytest.approx(found.plain.retained, abs=0.001)


def test_every_loss_is_written_beside_its_step(found):
    text = " ".join(ElementTree.fromstring(mass_chart(found, "metric")).itertext())
    for step in found.plain.steps[1:]:
        assert f"−{step.lost * 1000:.0f}" in text.replace("\u00a0", " ")


@pytest.mark.parametrize("most", [0.4, 3.0, 48.2, 650.0, 1790.0, 25000.0])
def test_scale_is_round_and_within_the_plot(most):
    marks = ticks(most)
    assert marks[0] == 0.0
    assert 3 <= len(marks) <= 6
    assert marks[-1] <= most * (1 + 1e-9)
