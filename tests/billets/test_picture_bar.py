"""The bar and the heat treatment on paper, measured."""

import re

import pytest

from billets.physics.treatment import HeatSegment
from billets.pictures.bar import bar_picture
from billets.pictures.treatment import PARTS, treatment_picture
from tests.billets.pictured import (
    FEW,
    TREATMENT,
    ZERO,
    box,
    elements,
    parsed,
    planned,
    target,
    texts,
)


@pytest.fixture(scope="module")
def knives():
    return planned(targets=[target("gyuto"), target("petty")], length=0.190)


# --- bar -----------------------------------------------------------------------------


def pieces(root):
    return [one for one in elements(root, "path") if
            (one.get("class") or "").startswith("piece-")]  # fmt: skip


def scale_of(picture):
    over, under = re.search(r"(\d+):(\d+)", picture.title).groups()
    return int(over) / int(under)


def test_pieces_are_as_long_as_the_scale_says_and_overlap_nowhere(knives):
    picture = bar_picture(knives, "metric")
    root, scale = parsed(picture.svg), scale_of(picture)
    boxes = [box(one) for one in pieces(root)]
    assert len(boxes) == 2
    bar = knives.plain
    for (left, right, top, low), one in zip(boxes, knives.targets, strict=True):
        length = bar.clean_length * one.needed / bar.clean_mass
        assert right - left == pytest.approx(1e3 * scale * length, abs=0.05)
        assert low - top == pytest.approx(1e3 * scale * bar.clean_width, abs=0.05)
    kerf = 1e3 * scale * knives.spec.saw.kerf
    assert boxes[1][0] - boxes[0][1] == pytest.approx(kerf, abs=0.05)
    left, right, *_rest = box(elements(root, "path", "left-over")[0])
    whole = right - boxes[0][0]
    assert whole == pytest.approx(1e3 * scale * bar.clean_length, abs=0.05)
    cuts = elements(root, "path", "cut")
    assert len(cuts) == 2


def test_outlines_of_flat_bar_lie_in_their_pieces():
    targets = [target("paring", "bar"), target("petty", "bar")]
    picture = bar_picture(planned(targets=targets, length=0.157), "metric")
    root = parsed(picture.svg)
    outlines = elements(root, "path", "outline")
    assert len(outlines) == 2
    for outline, piece in zip(outlines, pieces(root), strict=True):
        inner, outer = box(outline), box(piece)
        assert outer[0] - 0.01 <= inner[0] <= inner[1] <= outer[1] + 0.01
    tips = [re.findall(r"tang|tip", one) for one in texts(root)]
    assert [one[0] for one in tips if one] == ["tang", "tip", "tip", "tang"]


def test_knife_that_does_not_fit_is_told():
    figures = planned(
        steps=FEW, targets=[target("cleaver"), target("gyuto")], length=0.08
    )
    rows = bar_picture(figures, "metric").rows
    assert any(label == "Does not fit" for label, _text in rows)


def test_paper_leaves_out_what_the_bar_could_give(knives):
    rows = dict(bar_picture(knives, "metric", alone=False).rows)
    assert not any("alone" in label for label in rows)


# --- heat treatment ------------------------------------------------------------------


def test_line_goes_through_every_temperature():
    """By definition: hotter is higher, in proportion."""
    root = parsed(treatment_picture(TREATMENT, "metric").svg)
    lines = [one for one in elements(root, "path") if one.get("stroke-width") == "2"]
    assert len(lines) == len(TREATMENT)
    ends = [re.findall(r"[ML]([\d.]+) ([\d.]+)", one.get("d")) for one in lines]
    heights = [(float(a[1]), float(b[1])) for a, b in ends]
    zero = 232.0  # where 0 degrees lies
    for (start, end), one in zip(heights, TREATMENT, strict=True):
        rise = (zero - 44.0) / 865
        assert zero - start == pytest.approx(rise * (one.start - ZERO), abs=0.06)
        assert zero - end == pytest.approx(rise * (one.end - ZERO), abs=0.06)
    for one, line in zip(TREATMENT, lines, strict=True):
        assert bool(line.get("stroke-dasharray")) != one.known


def test_treatment_says_its_temperatures_and_that_times_are_not_to_scale():
    picture = treatment_picture(TREATMENT, "metric")
    assert {"865", "812", "184"} <= set(texts(parsed(picture.svg)))
    said = {label: text.replace("\u00a0", " ") for label, text in picture.rows}
    assert said["1  Normalise"] == "865 °C for 9 min, to 20 °C"
    assert said["2  Harden"] == "812 °C for 7 min"
    assert said["3  Quench"] == "to 60 °C"
    assert said["4  Temper"].count("184 °C for 2.0 h") == 2
    assert "not to scale" in picture.notes[0]
    assert treatment_picture((), "metric") is None


def test_treatment_in_fahrenheit_keeps_its_shape():
    picture = treatment_picture(TREATMENT, "inch")
    assert "1,589 °F for 9 min" in picture.rows[0][1].replace("\u00a0", " ")


def test_every_part_of_a_treatment_has_a_word():
    kinds = set(re.findall(r'"(\w+)"', (HeatSegment.__doc__ or "").split("start")[0]))
    assert kinds == set(PARTS)
