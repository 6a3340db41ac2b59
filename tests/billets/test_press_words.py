"""What the press can move, on the page of a billet."""

import pytest
from django.template.loader import render_to_string

from billets.figures import figures_of
from billets.models import Equipment
from billets.press_words import press_block
from tests.billets.typing_in import plain

pytestmark = pytest.mark.django_db


def told(plan, **values):
    Equipment.objects.filter(pk=plan.tool_id).update(**values)
    plan.tool.refresh_from_db()
    return figures_of(plan)


def text(block):
    return plain(render_to_string("billets/_press.html", {"found": block}))


def test_known_force_is_said_in_both_units(plan):
    block = press_block(told(plan, kind="press", force=69e3), "metric")
    assert "69 kN, about 7 t" in plain(block.tool)
    assert "lbf" in press_block(figures_of(plan), "inch").tool
    assert "Largest bite" in text(block)
    assert len(block.rows) == sum(
        step.kind in ("weld", "draw") for step in figures_of(plan).spec.steps
    )


def test_press_of_unknown_force_says_so(plan):
    block = press_block(told(plan, kind="press", force=None), "metric")
    assert not block.known
    assert "not known" in text(block)


@pytest.mark.parametrize("kind", ["hammer", "hand"])
def test_hammer_and_hand_have_words_of_their_own(plan, kind):
    shown = text(press_block(told(plan, kind=kind, force=None), "metric"))
    assert "hammer" in shown
    assert "No force to compare" in shown
    assert "Largest bite" not in shown


def test_welds_say_how_they_are_set(plan):
    block = press_block(told(plan, kind="press", force=50e3), "metric")
    assert any("set in" in row.way for row in block.rows)


def test_draw_is_told_at_its_start_and_its_end(plan):
    block = press_block(told(plan, kind="press", force=69e3), "metric")
    draw = next(row for row in block.rows if row.name == "Draw out")
    start, end = draw.ends
    assert start.section != end.section
    assert all((start.force, start.cold_force, end.largest, end.cold_largest))
    weld = next(row for row in block.rows if row.name == "Weld")
    assert [one.force for one in weld.ends] == [""]


def test_hours_on_a_small_press_stand_beside_what_is_told(plan):
    """About two days alone, common practice, no source: the page says that its hours
    may be short of it."""
    small = press_block(told(plan, kind="press", force=69e3), "metric")
    large = press_block(told(plan, kind="press", force=245e3), "metric")
    assert "two days" in text(small)
    assert "two days" not in text(large)


def test_tons_are_those_of_the_country(plan):
    figures = told(plan, kind="press", force=178e3)
    assert "about 18 t" in plain(press_block(figures, "metric").tool)
    assert "about 20 US tons" in plain(press_block(figures, "inch").tool)


def test_middle_that_is_hardly_worked_stands_in_the_row(plan):
    block = press_block(told(plan, kind="press", force=25e3), "metric")
    assert any("hardly worked" in row.way for row in block.rows)
