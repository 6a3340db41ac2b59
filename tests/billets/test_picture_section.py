"""The etched section on paper: true to scale, each layer where the geometry puts it."""

import re
from dataclasses import replace

import pytest
from shapely import union_all
from shapely.geometry import Polygon

from billets.physics.blade_cut import knife_cut
from billets.physics.etched import etched
from billets.physics.layers import shares
from billets.physics.steps import Cut
from billets.pictures.bar import bar_picture
from billets.pictures.section import section_picture
from billets.pictures.section_words import seen_of
from tests.billets.pictured import (
    CORED,
    FEW,
    KNIVES,
    MORE,
    box,
    corners,
    elements,
    parsed,
    planned,
    target,
    texts,
)


@pytest.fixture(scope="module")
def knives():
    return planned(targets=[target("gyuto"), target("petty")], length=0.190)


def views(picture):
    """The layers of each view of a section, with the scale above it."""
    root = parsed(picture.svg)
    groups = elements(root, "g", "view")
    named = [re.search(r"(\d+):(\d+)$", one) for one in texts(root)]
    scales = [int(one[1]) / int(one[2]) for one in named if one]
    assert len(scales) == len(groups)
    return [
        (scale, elements(group, "path", "layer"))
        for scale, group in zip(scales, groups, strict=True)
    ]


def bounds(paths):
    boxes = [box(path) for path in paths]
    return (
        max(one[1] for one in boxes) - min(one[0] for one in boxes),
        max(one[3] for one in boxes) - min(one[2] for one in boxes),
    )


@pytest.mark.parametrize("key", KNIVES)
@pytest.mark.parametrize("forging", ["bevel", "taper"])
def test_section_is_as_high_and_thick_as_its_scale_says(key, forging):
    """To 0.05 mm on paper, common practice."""
    knife = target(key, forging)
    figures = planned(targets=[knife], length=0.3)
    (whole, layers), (detail, spine), *_rest = views(section_picture(figures, "metric"))
    wide, high = bounds(layers)
    assert high == pytest.approx(1e3 * whole * knife.blade_height, abs=0.05)
    assert wide == pytest.approx(1e3 * whole * knife.spine, abs=0.05)
    assert bounds(spine)[0] == pytest.approx(1e3 * detail * knife.spine, abs=0.05)


@pytest.mark.parametrize("key", KNIVES)
def test_drawn_layers_fill_the_section_and_overlap_nowhere(key):
    """shapely: union and sum of what is drawn, against the section at that scale."""
    figures = planned(targets=[target(key, "taper")], length=0.3)
    scale, paths = views(section_picture(figures, "metric"))[0]
    drawn = [Polygon(corners(path)).buffer(0) for path in paths]
    cut = seen_of(figures).cut
    area = 1e6 * scale**2 * cut.area
    assert union_all(drawn).area == pytest.approx(area, rel=5e-3)
    assert sum(one.area for one in drawn) == pytest.approx(area, rel=5e-3)


@pytest.mark.parametrize("key", ["gyuto", "chef", "petty", "deba", "yanagiba"])
def test_each_steel_has_the_area_that_its_layers_have(key):
    """shapely measures the paths, of knives whose nine layers are all drawn."""
    figures = planned(steps=FEW, targets=[target(key, "taper")], length=0.3)
    scale, paths = views(section_picture(figures, "metric"))[0]
    by_fill = {}
    for path in paths:
        area = Polygon(corners(path)).buffer(0).area / scale**2
        by_fill[path.get("fill")] = by_fill.get(path.get("fill"), 0.0) + area
    seen = seen_of(figures)
    expected = etched(seen.sequence, seen.cut).steel_areas().values()
    assert sorted(by_fill.values()) == pytest.approx(
        sorted(1e6 * area for area in expected), rel=0.01
    )


def test_layers_of_the_picture_are_those_of_the_sequence():
    """Nine layers, all of them thick enough to be drawn where the spine is large."""
    figures = planned(steps=FEW, targets=[target("chef", "taper")], length=0.3)
    scale, paths = views(section_picture(figures, "metric"))[1]
    seen = seen_of(figures)
    laid = etched(seen.sequence, seen.cut)
    shown = [
        (steel, width)
        for steel, width in zip(laid.steels, laid.widths()[:, -1], strict=True)
        if width > 1e-9
    ]
    assert len(paths) == len(shown)
    fills = {"dark": "#1c2126", "pale": "#fbfaf7"}
    assert [one.get("fill") for one in paths] == [fills[steel] for steel, _w in shown]
    for path, (_steel, width) in zip(paths, shown, strict=True):
        left, right, _top, _low = box(path)
        assert right - left == pytest.approx(1e3 * scale * width, abs=0.05)


def test_layers_finer_than_the_pen_are_drawn_true_in_the_closest_look():
    """More than a hundred layers: in the lens each is as thick as it is."""
    again = (*MORE[:4], Cut(pieces=5))
    figures = planned(
        steps=(*again, *again, *MORE[5:]),
        targets=[target("gyuto", "taper")],
        length=0.4,
    )
    picture = section_picture(figures, "metric")
    *_wide, (scale, paths) = views(picture)
    assert len(figures.plain.sequence) > 150
    seen = seen_of(figures)
    told = {round(seen.cut.blank * share, 9) for _key, share in seen.sequence}
    for path in paths[1:-1]:
        left, right, _top, _low = box(path)
        thick = 1e-3 * (right - left) / scale
        assert min(abs(thick - one) for one in told) < 0.05e-3 / scale
    assert any("Finer than the pen: at 20:1" in note for note in picture.notes)
    mean = seen.cut.blank / len(seen.sequence)
    rows = dict(picture.rows)
    assert f"{1e3 * mean:.3f}" in rows["Mean thickness of a layer"]


def test_bars_of_scale_are_as_long_as_they_say(knives):
    for picture in (section_picture(knives, "metric"), bar_picture(knives, "metric")):
        root = parsed(picture.svg)
        marks = elements(root, "path", "scale-bar")
        lengths = [one for one in texts(root) if re.fullmatch(r"[\d.]+ mm", one)]
        scales = re.findall(r"(\d+):(\d+)", " ".join([picture.title, *texts(root)]))
        assert marks
        for mark, said in zip(marks, lengths, strict=True):
            left, right, _top, _low = box(mark)
            size = float(said.removesuffix(" mm"))
            assert any(
                right - left == pytest.approx(size * int(a) / int(b), abs=0.01)
                for a, b in scales
            )


def test_core_is_told_with_line_and_margin():
    """The rows say what the geometry gives; the line lies across the section."""
    figures = planned(steps=CORED, targets=[target("gyuto", "taper")], length=0.3)
    picture = section_picture(figures, "metric")
    rows = dict(picture.rows)
    assert "above the edge" in rows["Line between core and jackets"]
    assert "on the thinner side" in rows["Core beside the edge"]
    assert any(label == "Grey steel" for label in rows)
    chain = [one for one in elements(parsed(picture.svg), "path") if
             one.get("stroke-dasharray") == "6 1.5 0.6 1.5"]  # fmt: skip
    assert len(chain) == 1
    whole, layers = views(picture)[0]
    low = max(box(path)[3] for path in layers)
    height = float(re.match(r"\d+", rows["Line between core and jackets"])[0])
    assert low - corners(chain[0])[0][1] == pytest.approx(whole * height, abs=whole)


def test_knife_of_which_only_sizes_are_known_is_a_wedge():
    figures = planned(targets=[replace(target("petty"), knife=None)])
    picture = section_picture(figures, "metric")
    assert any("flat wedge" in note for note in picture.notes)


def test_bar_is_drawn_where_no_knife_is_planned():
    picture = section_picture(planned(), "metric")
    assert "bar" in picture.title
    assert len(views(picture)) >= 2
    assert bar_picture(planned(), "metric") is None


def test_the_knife_asked_for_is_drawn(knives):
    rows = dict(section_picture(knives, "metric", label="K-petty").rows)
    assert rows["Knife"] == "K-petty"


def test_thinner_bar_makes_a_thinner_blank():
    """Conservation: a bar of 3.4 mm gives no blank of 4."""
    spec = target("gyuto").knife
    assert knife_cut(spec, bar=0.0034).blank < knife_cut(spec, bar=0.0062).blank


def test_rows_of_steels_add_up_to_the_whole(knives):
    """Conservation: shares of the thickness make one."""
    sequence = seen_of(knives).sequence
    assert sum(share for _key, share in shares(sequence)) == pytest.approx(1.0)
    text = " ".join(text for _label, text in section_picture(knives, "metric").rows)
    found = re.findall(r"(\d+)\s% of the thickness", text)
    assert sum(map(int, found)) == pytest.approx(100, abs=1)
