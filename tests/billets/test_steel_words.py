"""The steels of a billet in words: every check a sentence, every row sourced."""

import re

import pytest
from django.template.loader import render_to_string
from django.utils import translation

from billets.physics.bar import Layer, Stack
from billets.physics.checks import Check
from billets.physics.compatibility import check_steels
from billets.physics.constants import ZERO_CELSIUS as ZERO
from billets.physics.errors import Flag
from billets.physics.plan import PlanInput, run_plan
from billets.physics.quenching import Bath
from billets.physics.steels_report import steels_report
from billets.physics.steps import Draw, Weld
from billets.physics.verdict import Target
from billets.steel_words import CHECK_NAMES, MARKS, STOPS, steels_block
from billets.treatment_words import treatment_rows
from tests.billets.physics.plans import MM
from tests.billets.physics.steel_pairs import steel, welded
from tests.billets.physics.steels import table

OWN = table((150, 64), (200, 61.5), (250, 58), hours=4.0, own=True)
KNIFE = Target(
    label="knife", needed=0.3, spine=0.0028, behind_edge=0.0003, hardness=60.5
)


def report(*steels, targets=(KNIFE,), bath=None):
    found = [steel(one) if isinstance(one, str) else one for one in steels]
    layers = tuple(Layer(found[place % len(found)], 2.5 * MM) for place in range(15))
    steps = (Weld(), Draw(width=40 * MM, thickness=6 * MM))
    plan = PlanInput(stack=Stack(layers, 150 * MM, 40 * MM), steps=steps)
    return steels_report(plan, run_plan(plan), targets, bath)


def block(*steels, system="metric", **given):
    return steels_block(report(*steels, **given), system)


def plain(text):
    return text.replace("\u00a0", " ")


def rows(*steels, system="metric", **given):
    found = report(*steels, **given).treatment
    return {row.key: row for row in treatment_rows(found, system)}


# --- the checks ----------------------------------------------------------------------


def test_every_check_has_a_name_and_every_name_a_check():
    names = {one.name for one in check_steels(welded("1084", "75Ni8"))}
    assert set(CHECK_NAMES) == names
    assert set(STOPS) < names


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize(
    "steels",
    [("1084", "75Ni8"), ("W2", "1.2767"), ("1095", "mild"), ("mild", "nickel")],
)
def test_every_check_is_a_whole_sentence(steels, system):
    found = block(*steels, system=system)
    assert len(found.checks) == 12
    for row in found.checks:
        assert row.mark
        assert row.sentence.endswith(".")
        assert "{" not in row.sentence
        assert "_" not in row.sentence


def test_levels_are_words_and_not_colours_alone():
    assert [str(MARKS[level]) for level in ("ok", "warn", "stop", "unknown")] == [
        "fine", "look twice", "do not weld these together", "not checked",
    ]  # fmt: skip


def test_stop_of_a_pair_and_of_a_heat_are_said_apart():
    found = {row.name: row for row in block("W2", "1.2767").checks}
    assert found["Quench"].mark == "do not weld these together"
    assert found["Hardening window"].mark == "do not weld these together"
    assert "W2" in found["Quench"].sentence
    pale = {row.name: row for row in block("1084", "1095").checks}
    assert pale["Contrast"].mark == "no pattern"


def test_verdict_counts_what_speaks_against_and_what_is_not_known():
    bad = block("W2", "1.2767").verdict
    assert bad.level == "stop"
    assert bad.first == "3 things speak against this billet"
    twice = block("1095", "75Ni8").verdict
    assert twice.level == "warn"
    assert "could not be checked" in twice.rest


def test_nothing_against_is_not_yet_belonging_together():
    found = block("O1", "L6", targets=(KNIFE,))
    marks = {row.mark for row in found.checks}
    assert "not checked" in marks
    assert found.verdict.first != "These steels belong together"


def test_temperatures_are_shown_in_the_shops_unit():
    metric, inch = (block("1084", "75Ni8", system=one) for one in ("metric", "inch"))
    assert "790 °C" in plain(metric.checks[0].sentence)
    assert "1,454 °F" in plain(inch.checks[0].sentence)


# --- carbon and pattern --------------------------------------------------------------


def test_thick_layers_keep_a_range_of_their_own():
    found = block("1095", "mild")
    assert not found.carbon[0].startswith("Carbon is level")
    assert "0.02 % to 0.05 %" in plain(found.carbon[1])
    own = {row.steel: plain(row.own) for row in found.layers}
    assert own["1095"] == "0.96 %"
    assert any(" to " in row.now for row in found.layers)


def test_pattern_life_names_what_is_left():
    found = block("1084", "75Ni8")
    assert "nickel more than 99 %" in plain(found.pattern)


def test_blade_heats_are_counted_only_with_a_knife():
    assert "12 heats to forge the blade" in block("1084", "75Ni8").counted
    assert "not among them" in block("1084", "75Ni8", targets=()).counted


# --- the treatment -------------------------------------------------------------------


def test_treatment_row_by_row():
    found = {key: plain(row.text) for key, row in rows("1084", "75Ni8").items()}
    assert found["normalise"] == "870, 840, 810 °C, 8 min each, in air until black"
    assert found["soften"] == "2 h at 665 °C, cool in the closed oven"
    assert found["preheat"] == "600 to 650 °C"
    assert found["harden"] == "805 °C, window 790 to 820 °C"
    assert found["soak"] == "5 to 10 min"
    assert found["medium"] == "fast oil at 40 to 65 °C"
    assert found["temper"].startswith("2 × 2 h at ")
    assert found["expected"].startswith("60.5 HRC")


def test_rows_say_what_they_rest_on():
    shipped = rows("1084", "75Ni8")
    assert shipped["harden"].source == "by the data sheets"
    assert shipped["normalise"].source == "common practice"
    assert shipped["temper"].source == "by the table of 1084"
    own = rows(steel("1084", tempers=OWN), "75Ni8")
    assert own["temper"].source == "by the shop's own sheet of 1084"
    bare = rows(steel("1084", tempers=()), steel("75Ni8", tempers=()))
    assert bare["temper"].source == "by formula, ± 2 HRC"


def test_bath_is_named_with_how_far_it_warms():
    found = rows(
        "1084", "75Ni8", bath=Bath(severity=20.0, mass=9.0, name="canola bucket")
    )
    assert plain(found["medium"].text).startswith("fast oil (canola bucket) at 40")


def test_hardness_out_of_reach_is_said_in_place_of_a_temper():
    hard = Target(label="knife", needed=0.3, spine=0.0028, hardness=67.0)
    found = rows("1084", "75Ni8", targets=(hard,))
    assert found["temper"].text == "no temper gives 67 HRC"
    assert "expected" not in found
    told = page_of(block("1084", "75Ni8", targets=(hard,)))
    assert told.count("67 HRC cannot be reached") == 1


def test_window_without_room_is_not_called_one():
    narrow = steel("1084", harden_low=810 + ZERO, harden_high=810 + ZERO)
    found = rows(narrow, "75Ni8")["harden"]
    assert plain(found.text) == "810 °C, no more and no less"


def test_temper_says_between_which_heats_it_may_lie():
    own = rows(steel("1084", tempers=OWN), "75Ni8")["temper"]
    low, high = re.search(r"\((\d+) to (\d+) °C may do it\)", plain(own.text)).groups()
    chosen = re.search(r" at (\d+) °C", plain(own.text))[1]
    assert int(low) < int(chosen) < int(high)


def test_treatment_in_fahrenheit():
    found = rows("1084", "75Ni8", system="inch")
    assert plain(found["harden"].text) == "1,481 °F, window 1,454 to 1,508 °F"


# --- the page ------------------------------------------------------------------------


def page_of(found):
    parts = ("billets/_steels.html", "billets/_treatment.html")
    return plain("".join(render_to_string(one, {"found": found}) for one in parts))


@pytest.mark.parametrize(
    "steels",
    [("1084", "75Ni8"), ("W2", "1.2767"), ("1095", "mild"), ("mild", "nickel"),
     ("1084", "75Ni8", "52100"), ("1095", "1.2842", "1.2767")],
)  # fmt: skip
def test_no_check_is_ever_called_by_a_code(steels):
    assert not re.search(r"\bK\d", page_of(block(*steels)))


def test_hot_oil_has_its_caution_where_there_is_oil():
    assert "Lid at hand" in page_of(block("1084", "75Ni8"))
    assert "Lid at hand" not in page_of(block("mild", "nickel"))


def test_page_shows_every_check_and_every_row():
    found = block("1084", "75Ni8")
    page = page_of(found)
    for row in found.checks:
        assert row.name in page
        assert row.mark in page
    for row in found.treatment:
        assert row.label in page
        assert row.source in page
    assert "style=" not in page


def test_page_without_treatment_says_why():
    found = block("mild", "nickel")
    assert not [row for row in found.treatment if row.key == "temper"]
    page = render_to_string("billets/_treatment.html", {"found": found})
    assert "No steel of this billet hardens" in page


def test_german_page_has_german_numbers():
    with translation.override("de"):
        found = block("1095", "mild")
    assert "0,96" in next(row.own for row in found.layers if row.steel == "1095")


def test_check_is_said_like_a_flag():
    """`messages.sentence` takes whatever has a message, values and a field."""
    assert Check(name="quench", level="ok", message="Fine.").field is None
    assert Flag(message="Fine.").field is None
