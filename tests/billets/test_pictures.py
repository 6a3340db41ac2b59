"""Pictures of a billet, measured as a smith would measure them on paper."""

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from billets.pictures.all import pictures_of
from billets.pictures.bar import bar_picture
from billets.pictures.mass import blade_rows, mass_chart, mass_stages
from billets.pictures.section import section_picture
from billets.pictures.stack import merge_words, stack_drawing, stack_rows, stack_runs
from tests.billets.pictured import (
    CORED,
    FEW,
    KNIVES,
    MORE,
    TREATMENT,
    box,
    elements,
    parsed,
    plain,
    planned,
    target,
    texts,
)


@pytest.fixture(scope="module")
def knives():
    return planned(targets=[target("gyuto"), target("petty")], length=0.190)


def drawings(figures, system="metric"):
    """Every picture a page of a plan shows."""
    told = pictures_of(figures, system, TREATMENT)
    return [
        stack_drawing(figures.spec, system),
        mass_chart(figures, system),
        *(one.svg for one in (told.section, told.bar, told.treatment) if one),
    ]


# --- all of them ---------------------------------------------------------------------


def test_every_picture_is_an_image_with_a_name(knives):
    for drawing in drawings(knives):
        root = parsed(drawing)
        assert root.get("role") == "img"
        ids = {one.get("id"): one for one in root.iter()}
        named = root.get("aria-labelledby", "").split()
        assert root.get("aria-label") or named
        assert all("".join(ids[one].itertext()).strip() for one in named)


def test_pictures_carry_attributes_only(knives):
    for drawing in drawings(knives):
        tags = {plain(one.tag) for one in parsed(drawing).iter()}
        assert not tags & {"style", "script", "image", "use", "foreignObject"}
        assert "style=" not in drawing


def test_pictures_of_one_page_share_no_name(knives):
    ids = [re.findall(r'\bid="([^"]+)"', one) for one in drawings(knives)]
    every = [name for names in ids for name in names]
    assert len(set(every)) == len(every)
    for drawing, own in zip(drawings(knives), ids, strict=True):
        assert set(re.findall(r"url\(#([^)]+)\)", drawing)) <= set(own)


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("key", KNIVES)
@pytest.mark.parametrize("steps", [FEW, MORE, CORED], ids=["few", "more", "cored"])
def test_nothing_lies_outside_its_paper(system, key, steps):
    figures = planned(steps=steps, targets=[target(key)], length=0.33)
    told = pictures_of(figures, system, TREATMENT)
    for picture in (told.section, told.bar):
        root = parsed(picture.svg)
        _left, _top, width, height = map(float, root.get("viewBox").split())
        assert root.get("width") == f"{width:g}mm"
        for path in elements(root, "path"):
            if "," not in path.get("d"):
                continue  # the marks of a pattern
            left, right, top, low = box(path)
            assert -0.01 <= left <= right <= width + 0.01
            assert -0.01 <= top <= low <= height + 0.01
        for text in elements(root, "text"):
            assert 0.0 <= float(text.get("x")) <= width
            assert 0.0 <= float(text.get("y")) <= height


def test_pictures_say_in_rows_what_they_show(knives):
    told = pictures_of(knives, "metric", TREATMENT)
    for picture in (told.section, told.bar, told.treatment):
        assert picture.title
        assert picture.notes
        assert all(label and text for label, text in picture.rows)
        # read out with the drawing, too
        said = picture.svg.replace("&#x27;", "'")
        assert all(text in said for _label, text in picture.rows)


def test_letters_on_paper_are_large_enough(knives):
    """DejaVu Sans: capitals of 3.5 mm letters are 2.5 mm high (ISO 3098, memory)."""
    for picture in (section_picture(knives, "metric"), bar_picture(knives, "metric")):
        sizes = {float(one.get("font-size")) for one in
                 elements(parsed(picture.svg), "text")}  # fmt: skip
        assert min(sizes) * 1493 / 2048 >= 2.5


# --- stack ---------------------------------------------------------------------------


def test_touching_pieces_of_one_steel_are_one_layer():
    spec = planned("ABBBAAC").spec
    assert [run.letters for run in stack_runs(spec)] == ["A", "BBB", "AA", "C"]
    assert sum(run.thickness for run in stack_runs(spec)) == pytest.approx(0.0213)
    root = parsed(stack_drawing(spec, "metric"))
    marks = [one for one in elements(root, "path") if "4 4" in
             one.get("stroke-dasharray", "")]  # fmt: skip
    assert len(marks) == 2 * 3  # black and white, at each of three meetings
    assert len(elements(root, "path", "edge")) == 2
    said = texts(root)
    assert "5.7 mm, 3 as one" in said
    assert "6.4 mm, 2 as one" in said
    assert "7 pieces make 4 layers" in merge_words(spec)
    assert "7 pieces make 4 layers" in root.get("aria-label")


def test_stack_without_equal_faces_says_so():
    spec = planned("ABABA", FEW).spec
    root = parsed(stack_drawing(spec, "metric"))
    assert not elements(root, "path", "edge")
    assert "no two of one steel touch" in merge_words(spec)


def test_each_layer_with_room_has_its_thickness_and_each_steel_a_row():
    spec = replace(planned("ABCAB", FEW).spec, width=0.020)
    said = texts(parsed(stack_drawing(spec, "metric")))
    assert {"3.2 mm", "1.9 mm", "6 mm"} <= set(said)
    rows = dict(stack_rows(spec, "metric"))
    assert rows["A  Dark steel"].replace("\u00a0", " ") == (
        "2 pieces of 3.2 mm, 6.4 mm in all"
    )


# --- mass ----------------------------------------------------------------------------


@pytest.mark.parametrize("steps", [FEW, MORE, CORED], ids=["few", "more", "cored"])
def test_what_a_step_takes_and_adds_makes_up_the_mass(steps):
    """Conservation of mass, from the stack to the finished steel."""
    figures = planned(steps=steps, targets=[target("petty")], length=0.2)
    stages = mass_stages(figures)
    assert stages[0].mass == pytest.approx(figures.plain.start_mass)
    for before, after in pairwise(stages):
        taken = sum(one.lost for one in after.taken)
        assert after.mass == pytest.approx(before.mass + after.added - taken, abs=1e-9)
    assert stages[-1].name == "Blade"
    for stage in stages[-3:]:
        assert stage.low <= stage.mass <= stage.high


def test_chart_ends_at_the_bar_where_that_is_short_or_no_knife_is_known():
    bare = planned(targets=[])
    short = planned(steps=FEW, targets=[target("cleaver")], length=0.07)
    unknown = planned(targets=[replace(target("petty"), knife=None)])
    for figures in (bare, short, unknown):
        assert len(mass_stages(figures)) == len(figures.plain.steps)
        assert blade_rows(figures, "metric") == ()
        assert "to bar" in mass_chart(figures, "metric")


def test_segments_of_the_chart_join_its_line(knives):
    """By definition: a segment begins where the step before it ended."""
    root = parsed(mass_chart(knives, "metric"))
    thick = [one.get("d") for one in elements(root, "path") if
             one.get("stroke-width") == "6"]  # fmt: skip
    ends = [tuple(map(float, re.findall(r"[MH]([\d.]+)", one))) for one in thick]
    for (_start, end), (start, _end) in pairwise(ends):
        assert start == pytest.approx(end, abs=0.11)
    assert "to blade" in root.get("aria-label")
