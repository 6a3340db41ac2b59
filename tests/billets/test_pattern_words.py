"""What makes the figure of a billet, and its core, on the page."""

from dataclasses import replace

import pytest
from django.template.loader import render_to_string
from django.utils import translation

from billets.messages import sentence
from billets.pattern_words import FROM, pattern_block
from billets.physics.core_line import core_lines
from billets.physics.figure_flags import pattern_flags_of
from billets.physics.steps import Core, Dimple, Draw, Grind, Ladder, Twist, Weld
from billets.pictures.section_words import core_seen, section_rows, seen_of
from tests.billets.pictured import CORED, FEW, GREY, planned, target
from tests.billets.typing_in import plain

SQUARE = Draw(width=0.02, thickness=0.02)
TWISTED = (Weld(), SQUARE, Twist(turns=3.0), Draw(width=0.03, thickness=0.008))
LADDER = (
    Weld(), Draw(width=0.04, thickness=0.010),
    Ladder(depth=0.003, groove=0.004, pitch=0.012),
)  # fmt: skip
DIMPLED = (*LADDER[:-1], Dimple(drill=0.010, depth=0.002, pitch=0.012))


def page(figures, system="metric"):
    block = pattern_block(figures, system)
    return plain(render_to_string("billets/_pattern.html", {"found": block}))


def only(figures, system="metric"):
    (figure,) = pattern_block(figures, system).figures
    return figure


# --- figure --------------------------------------------------------------------------


def test_straight_layers_have_nothing_to_say():
    assert pattern_block(planned(steps=FEW), "metric") is None


def test_twist_says_its_layers_angle_and_shear():
    figures = planned(steps=TWISTED)
    (made,) = figures.plain.pattern
    figure = only(figures)
    assert "9 layers" in figure.label
    assert figure.value.endswith("°")
    assert f"a shear of {made.shear:.1f}" in plain(figure.source)
    assert "grinds 0 %" in plain(figure.source)
    ground = planned(steps=(*TWISTED, Grind(face=0.0008)))
    assert "grinds 20 %" in plain(only(ground).source)


@pytest.mark.parametrize(
    ("steps", "depth", "name"), [(LADDER, "30", "Ladder"), (DIMPLED, "20", "Dimples")]
)
def test_cuts_say_their_layers_and_depth(steps, depth, name):
    figure = only(planned(steps=steps))
    assert name in figure.label
    assert "from 9 layers" in figure.label
    assert abs(int(figure.value) - int(depth)) <= 1
    assert "cut from each face" in figure.source


def test_every_figure_of_layers_has_its_words():
    assert set(FROM) == {"twist", "ladder", "dimple"}


# --- core ----------------------------------------------------------------------------


@pytest.mark.parametrize("forging", ["bevel", "bar"])
def test_core_says_one_number_with_its_picture(forging):
    """Picture, table and flag are read from the same cut."""
    figures = planned(steps=CORED, targets=(target("gyuto", forging),))
    (row,) = pattern_block(figures, "metric").rows
    seen = seen_of(figures)
    (line,) = core_lines(figures.plain, figures.targets)
    shown = core_seen(seen)
    assert (line.near, line.far, line.margin) == (shown.near, shown.far, shown.margin)
    words = " ".join(text for _label, text in section_rows(figures, seen, "metric"))
    assert row.line in words
    assert row.margin in words
    assert row.thin is bool(pattern_flags_of(figures.plain, figures.targets))


def test_core_says_its_share_and_steel():
    figure = only(planned(steps=CORED))
    assert figure.label == f"Core of {GREY.name}"
    assert "25 to 40" in plain(figure.source)


def test_every_knife_has_its_row():
    knives = (target("gyuto"), target("petty"), target("chef", "bar"))
    block = pattern_block(planned(steps=CORED, targets=knives), "metric")
    assert [row.label for row in block.rows] == [one.label for one in knives]


def test_too_thin_a_core_is_said_in_words_not_in_colour():
    thin = (*CORED[:-3], replace(CORED[-3], thickness=0.0012), *CORED[-2:])
    figures = planned(steps=thin, targets=(target("gyuto"),))
    assert "too little" in page(figures)
    (flag,) = pattern_flags_of(figures.plain, figures.targets)
    assert flag.level == "red"
    assert "0.15 mm" in plain(sentence(flag))


def test_without_a_knife_of_known_size_that_is_said():
    assert "No knife of known height" in page(planned(steps=CORED))


def test_a_core_that_was_twisted_has_no_line():
    steps = (
        Weld(), Draw(width=0.03, thickness=0.010), Core(steel=GREY, thickness=0.007),
        Weld(), SQUARE, Twist(turns=2.0), Draw(width=0.03, thickness=0.008),
    )  # fmt: skip
    figures = planned(steps=steps, targets=(target("petty"),))
    block = pattern_block(figures, "metric")
    assert not block.core
    assert not block.rows
    assert "no line can be told" in plain(page(figures))
    assert "Line above the edge" not in page(figures)


# --- units and languages -------------------------------------------------------------


def test_inches_for_a_shop_in_inches():
    knife = (target("gyuto", "bar"),)
    (row,) = pattern_block(planned(steps=CORED, targets=knife), "inch").rows
    assert "in" in row.line
    assert "mm" not in f"{row.line}{row.margin}{row.uneven}"


def test_decimal_mark_of_the_language():
    with translation.override("de"):
        figure = only(planned(steps=TWISTED))
    assert "," in figure.value


def test_page_has_no_style_and_reads_as_a_table():
    shown = render_to_string(
        "billets/_pattern.html",
        {
            "found": pattern_block(
                planned(steps=CORED, targets=(target("gyuto"),)), "metric"
            )
        },
    )
    assert "style=" not in shown
    assert 'scope="row"' in shown
    assert "<caption" in shown
