"""Drawings measured as a smith would measure them on paper."""

import itertools
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from billets.physics.drawing import (
    OVERLAP,
    blade_drawing,
    drawing_rows,
    drawing_width,
    tiles,
)
from billets.physics.drawing_section import section_drawing
from billets.physics.drawing_words import DrawingWords
from billets.physics.errors import PlanError
from billets.physics.families import FAMILIES
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import default_spec

SVG = "{http://www.w3.org/2000/svg}"
CAPITALS = 1493 / 2048  # height of H in DejaVu Sans over its em
EVERY_WAY = list(itertools.product(FAMILIES, (1.0, 0.5), (False, True)))


def parsed(text):
    return ElementTree.fromstring(text)


def points(path):
    pairs = re.findall(r"(-?[\d.]+),(-?[\d.]+)", path.get("d"))
    return [(float(x), float(y)) for x, y in pairs]


def box(path):
    across, down = zip(*points(path), strict=True)
    return min(across), max(across), min(down), max(down)


def named(root, name):
    found = [path for path in root.iter(SVG + "path") if path.get("class") == name]
    assert len(found) == 1
    return found[0]


def size(path):
    left, right, top, bottom = box(path)
    return right - left, bottom - top


@pytest.mark.parametrize("key", list(FAMILIES))
@pytest.mark.parametrize("scale", [1.0, 0.5])
def test_blade_is_as_long_and_high_as_it_says(key, scale):
    """Common practice, no source: to 0.05 mm on paper at true size."""
    spec = default_spec(key)
    blade = named(parsed(blade_drawing(spec, scale=scale)), "blade")
    expected = (1e3 * scale * spec.length, 1e3 * scale * spec.height)
    assert size(blade) == pytest.approx(expected, abs=0.05)


def test_odd_blade_is_as_long_and_high_as_it_says():
    """Common practice, no source: also for a bread knife's scallops at any length."""
    spec = replace(default_spec("bread", 0.2537), height=0.0391)
    blade = named(parsed(blade_drawing(spec)), "blade")
    assert size(blade) == pytest.approx((253.7, 39.1), abs=0.05)


@pytest.mark.parametrize("key", list(FAMILIES))
def test_spine_view_is_as_thick_as_it_says(key):
    """Common practice, no source."""
    spec = default_spec(key)
    spine = named(parsed(blade_drawing(spec)), "spine")
    expected = (1e3 * spec.length, 1e3 * spec.heel_thickness)
    assert size(spine) == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("key", list(FAMILIES))
def test_balance_mark_stands_at_the_balance_point(key):
    """By definition of the mark."""
    spec = default_spec(key)
    root = parsed(blade_drawing(spec, scale=0.5))
    heel = box(named(root, "blade"))[0]
    mark = next(c for c in root.iter(SVG + "circle") if c.get("class") == "balance")
    place = float(mark.get("cx")) - heel
    assert place == pytest.approx(500 * weigh_knife(spec).balance, abs=0.01)


def sheets():
    spec = default_spec("gyuto")
    return [
        *[blade_drawing(spec, scale=scale) for scale in (0.5, 1.0, 2.0)],
        *tiles(spec),
        section_drawing(spec),
    ]


@pytest.mark.parametrize("sheet", sheets())
def test_check_bar_is_100_mm_on_paper_at_any_scale(sheet):
    """Common practice, no source: printed at its size it measures 100 mm."""
    bar = named(parsed(sheet), "check-bar")
    assert size(bar) == pytest.approx((100.0, 0.0), abs=1e-9)
    assert "must measure 100 mm; print at 100 %" in sheet


@pytest.mark.parametrize("sheet", sheets())
def test_user_unit_is_one_millimetre(sheet):
    """CSS absolute lengths: 1 in is 25.4 mm and 96 px, so 100 mm is 377.953 px."""
    root = parsed(sheet)
    wide, high = (root.get(side).removesuffix("mm") for side in ("width", "height"))
    _left, _top, across, down = root.get("viewBox").split()
    assert (wide, high) == (across, down)
    pixels = 100 * float(wide) * 96 / 25.4 / float(across)
    assert pixels == pytest.approx(377.953, abs=0.001)


@pytest.mark.parametrize("sheet", sheets())
def test_nothing_in_it_needs_a_style_or_a_script(sheet):
    """A page's policy forbids inline styles and scripts."""
    for element in parsed(sheet).iter():
        assert element.tag.removeprefix(SVG) not in {"style", "script", "image", "a"}
        assert not [name for name in element.attrib if name.startswith(("on", "style"))]


@pytest.mark.parametrize("sheet", sheets())
def test_letters_are_at_least_2_5_mm_high(sheet):
    """ISO 3098, lettering 2.5 mm; quoted from memory. Capitals of DejaVu Sans."""
    texts = list(parsed(sheet).iter(SVG + "text"))
    assert texts
    assert all(float(text.get("font-size")) * CAPITALS >= 2.5 for text in texts)


@pytest.mark.parametrize("sheet", sheets())
def test_lines_have_the_widths_of_the_drawing_office(sheet):
    """ISO 128, pens 0.25 and 0.5; quoted from memory."""
    widths = {path.get("stroke-width") for path in parsed(sheet).iter(SVG + "path")}
    assert widths - {None} == {"0.5", "0.25"}


@pytest.mark.parametrize("sheet", sheets())
def test_whoever_cannot_see_it_is_told(sheet):
    """Title and description carry what is drawn."""
    root = parsed(sheet)
    told = {child.get("id"): child.text for child in root[:2]}
    assert root.get("role") == "img"
    assert list(told) == root.get("aria-labelledby").split()
    assert all(told.values())
    assert "49 mm" in list(told.values())[1]


def text_boxes(root):
    """Each text's box on paper, a little tight so that touching is no overlap."""
    for text in root.iter(SVG + "text"):
        x, y = float(text.get("x")), float(text.get("y"))
        # digits of DejaVu Sans are 0.636 em wide, words narrower
        em = float(text.get("font-size"))
        wide, high = 0.60 * em * len(text.text), 2.5
        shift = {"start": 0.0, "middle": -wide / 2, "end": -wide}[
            text.get("text-anchor")
        ]
        if text.get("transform"):
            yield text.text, (x - high, x, y - shift - wide, y - shift)
        else:
            yield text.text, (x + shift, x + shift + wide, y - high, y)


@pytest.mark.parametrize(("key", "scale", "steel_only"), EVERY_WAY)
def test_no_words_overlap(key, scale, steel_only):
    """Law of reading: two boxes of text share no paper."""
    root = parsed(blade_drawing(default_spec(key), scale=scale, steel_only=steel_only))
    for (one, a), (two, b) in itertools.combinations(text_boxes(root), 2):
        apart = a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2]
        assert apart, (one, two)


@pytest.mark.parametrize(("key", "scale", "steel_only"), EVERY_WAY)
def test_nothing_is_clipped(key, scale, steel_only):
    """Everything drawn lies on the sheet."""
    root = parsed(blade_drawing(default_spec(key), scale=scale, steel_only=steel_only))
    wide, high = (float(value) for value in root.get("viewBox").split()[2:])
    boxes = [box(path) for path in root.iter(SVG + "path")]
    boxes += [place for _text, place in text_boxes(root)]
    for left, right, top, bottom in boxes:
        assert left >= 0.0
        assert right <= wide
        assert top >= 0.0
        assert bottom <= high


@pytest.mark.parametrize("key", list(FAMILIES))
def test_balance_mark_and_height_keep_clear_of_each_other(key):
    """The height's line and figure stand beside the mark, not on it."""
    root = parsed(blade_drawing(default_spec(key), scale=0.5))
    mark = next(c for c in root.iter(SVG + "circle") if c.get("class") == "balance")
    x, y = float(mark.get("cx")), float(mark.get("cy"))
    turned = [
        b
        for t, b in zip(root.iter(SVG + "text"), text_boxes(root), strict=True)
        if t.get("transform")
    ]
    for _text, (left, right, top, bottom) in turned:
        beside = x + 1.8 <= left - 1.0 or x - 1.8 >= right
        assert beside or y + 1.8 <= top or y - 1.8 >= bottom


def test_whole_knife_fits_a4_at_half_size_and_a3_at_full_size():
    """ISO 5457 drawing space, quoted from memory: A4 across 267, A3 across 390."""
    assert all(drawing_width(default_spec(key), scale=0.5) <= 267 for key in FAMILIES)
    wide = {key for key in FAMILIES if drawing_width(default_spec(key)) > 390}
    assert wide == {"sujihiki", "yanagiba"}


@pytest.mark.parametrize("page_width", [267.0, 180.0])
@pytest.mark.parametrize("key", list(FAMILIES))
def test_sheets_meet_mark_on_mark(key, page_width):
    """Each pair of sheets shows the same two marks, and no steel is lost between."""
    spec = default_spec(key)
    roots = [parsed(sheet) for sheet in tiles(spec, page_width=page_width)]
    places = [[float(v) for v in root.get("viewBox").split()] for root in roots]
    assert places[0][0] == 0.0
    assert places[-1][0] + places[-1][2] >= drawing_width(spec, steel_only=True)
    for (left, here), (right, there) in itertools.pairwise(
        zip(roots, places, strict=True)
    ):
        assert here[0] + here[2] == pytest.approx(there[0] + OVERLAP)
        shared = [
            {(c.get("cx"), c.get("cy")) for c in marks(root, place)}
            for root, place in ((left, here), (right, there))
        ]
        assert len(shared[0] & shared[1]) == 2


def marks(root, place):
    """Registration marks that lie whole on a sheet."""
    for circle in root.iter(SVG + "circle"):
        at = float(circle.get("cx"))
        whole = place[0] + 2.0 <= at <= place[0] + place[2] - 2.0
        if circle.get("class") == "registration" and whole:
            yield circle


def test_each_sheet_shows_its_own_check_bar():
    """The bar lies on the sheet it checks."""
    for sheet in tiles(default_spec("gyuto"), page_width=180.0):
        root = parsed(sheet)
        left, _top, wide, _high = (float(v) for v in root.get("viewBox").split())
        start, end, _up, _down = box(named(root, "check-bar"))
        assert left <= start
        assert end <= left + wide


def test_what_fits_stays_on_one_sheet():
    assert len(tiles(default_spec("paring"))) == 1
    assert len(tiles(default_spec("gyuto"))) == 2


def test_ids_differ_between_drawings_of_a_page():
    """An id stands once on a page."""
    spec = default_spec("gyuto")
    page = [
        blade_drawing(spec, name="a"),
        blade_drawing(spec, name="b"),
        *tiles(spec, name="c"),
        section_drawing(spec, name="d"),
    ]
    ids = [e.get("id") for sheet in page for e in parsed(sheet).iter() if e.get("id")]
    assert len(ids) == len(set(ids)) == 15


def test_steel_only_leaves_the_handle_out():
    whole, bare = (
        parsed(blade_drawing(default_spec("gyuto"), steel_only=steel))
        for steel in (False, True)
    )
    names = [
        [path.get("class") for path in root.iter(SVG + "path")]
        for root in (whole, bare)
    ]
    assert "hidden" in names[0]
    assert "hidden" not in names[1]
    assert "balance" not in [c.get("class") for c in bare.iter(SVG + "circle")]


def test_full_bevel_has_no_bevel_line():
    """Common practice, no source: a full flat grind ends at the spine."""
    flat = blade_drawing(default_spec("chef"))
    assert 'class="bevel"' not in flat
    named(parsed(blade_drawing(default_spec("deba"))), "bevel")


@pytest.mark.parametrize(
    ("key", "scale"), [("gyuto", 5), ("yanagiba", 5), ("cleaver", 2)]
)
def test_section_is_drawn_to_the_scale_that_fits(key, scale):
    """ISO 5455 scales, quoted from memory; the section measured as drawn."""
    spec = default_spec(key)
    drawn = section_drawing(spec)
    assert f"Scale {scale}:1" in drawn
    expected = (1e3 * scale * spec.height, 1e3 * scale * spec.heel_thickness)
    assert size(named(parsed(drawn), "section")) == pytest.approx(expected, abs=0.05)


def test_words_and_numbers_are_handed_in():
    """The core knows no language: what a page says in German or inches is printed."""
    said = DrawingWords(
        check="muss 100 mm messen <b>&",
        size=lambda value: f"{value / 0.0254:.2f}",
        unit="in",
        in_front="Schwerpunkt {place} vor der Ferse",
    )
    drawn = blade_drawing(default_spec("gyuto"), words=said)
    texts = [text.text for text in parsed(drawn).iter(SVG + "text")]
    assert "muss 100 mm messen <b>&" in texts
    assert "8.27" in texts
    assert "Schwerpunkt 0.76 in vor der Ferse" in texts


def test_rows_say_what_is_drawn():
    rows = dict(drawing_rows(default_spec("deba")))
    assert rows["Blade, heel to tip"] == "165 mm"
    assert rows["Spine above the heel"] == "6.0 mm"
    assert rows["Edge angle, one side"] == "24°"
    assert rows["Whole length"] == "319 mm"
    assert rows["Balance"] == "balances 16 mm in front of the heel"


def test_longer_words_take_more_lines():
    """A small knife leaves little width; no word is cut off."""
    said = DrawingWords(stations="Rückenstärke " * 20)
    root = parsed(blade_drawing(default_spec("paring"), scale=0.5, words=said))
    wide = float(root.get("viewBox").split()[2])
    lines = [place for text, place in text_boxes(root) if "Rücken" in text]
    assert len(lines) > 2
    assert all(right <= wide for _left, right, _top, _bottom in lines)


def test_scale_of_no_standard_is_refused():
    with pytest.raises(PlanError) as refusal:
        blade_drawing(default_spec("gyuto"), scale=0.3)
    assert refusal.value.field == "scale"


def test_sheet_too_narrow_for_its_check_bar_is_refused():
    with pytest.raises(PlanError) as refusal:
        tiles(default_spec("gyuto"), page_width=120.0)
    assert refusal.value.field == "page_width"


def test_knife_that_cannot_be_made_is_not_drawn():
    spec = replace(default_spec("gyuto"), height=0.106)
    for draw in (blade_drawing, tiles, section_drawing):
        with pytest.raises(PlanError):
            draw(spec)
