"""The heat treatment on the build sheet: large enough, sourced, own sheets first."""

import datetime as dt
import re

import pytest

from billets.figures import figures_of
from billets.models import Equipment, Steel, TemperPoint
from billets.steel_words import steels_block
from quotes.sheets.cautions import MOST
from tests.quotes.sheets import (
    at_the_bench,
    needs_pango,
    page_sizes,
    printed,
    sheet_for,
    text_in,
)

pytestmark = pytest.mark.django_db

KELVIN = 273.15
DARK = {
    "manganese": 0.75, "silicon": 0.25, "quench_class": "fast_oil",
    "harden_min": 790 + KELVIN, "harden_max": 830 + KELVIN,
}  # fmt: skip
PALE = {
    "nickel": 2.0, "manganese": 0.4, "quench_class": "oil",
    "harden_min": 780 + KELVIN, "harden_max": 820 + KELVIN,
}  # fmt: skip


@pytest.fixture
def knife():
    knife = at_the_bench(promised_week=dt.date(2026, 6, 1))
    Steel.objects.filter(key="dark").update(**DARK)
    Steel.objects.filter(key="pale").update(**PALE)
    return knife


def rows(knife, stage):
    block = next(one for one in sheet_for(knife).stages if one.key == stage)
    return {label: text.replace("\u00a0", " ") for label, text in block.planned}


def temper_row(key, celsius, hardness, *, own):
    TemperPoint.objects.create(
        steel=Steel.objects.get(key=key), temperature=celsius + KELVIN,
        duration=4 * 3600.0, hardness=hardness, own=own,
        source="" if own else "printed",
    )  # fmt: skip


def test_hardening_block_of_the_sheet(knife):
    found = rows(knife, "harden")
    assert found["Hardness aimed at"].startswith("60 HRC")
    assert found["Harden from"] == "805 °C (790 to 820 °C), by the data sheets"
    assert found["Preheat, soak"] == "600 to 650 °C; then 5 to 10 min in the heat"
    assert found["Quench in"] == "fast oil at 40 to 65 °C"
    assert found["Temper"].startswith("2 × 2 h at 2")
    assert found["Temper"].endswith("by formula, ± 2 HRC")
    assert found["Then expect"].startswith("58 to 62 HRC")


def test_forging_and_grinding_have_their_heats(knife):
    forge = rows(knife, "forge")
    assert forge["Normalise"] == "870, 840, 810 °C, 8 min each, in air until black"
    assert forge["Soften"].startswith("2 h at 6")
    assert rows(knife, "grind")["After rough grinding"].startswith("1 h at 600 to 650")


def test_own_temper_rows_win_and_the_paper_says_so(knife):
    before = rows(knife, "harden")["Temper"]
    for celsius, hardness in ((150, 64.0), (190, 60.0), (250, 57.0)):
        temper_row("dark", celsius, hardness, own=True)
    after = rows(knife, "harden")["Temper"]
    assert after != before
    assert after.endswith("by the shop's own sheet of Dark steel")
    celsius = int(after.partition(" at ")[2].partition(" ")[0])
    assert celsius == pytest.approx(190, abs=8)


@needs_pango
def test_page_and_paper_name_the_same_source_and_temper(knife):
    for celsius, hardness in ((160, 63.5), (195, 60.0), (245, 57.5)):
        temper_row("dark", celsius, hardness, own=True)
    words = "by the shop's own sheet of Dark steel"
    temper = rows(knife, "harden")["Temper"]
    assert temper.endswith(words)
    assert words in text_in(printed(sheet_for(knife)))
    found = steels_block(figures_of(knife.target.plan).steels, "metric")
    shown = next(row for row in found.treatment if row.key == "temper")
    assert shown.source == words
    assert shown.text.replace("\u00a0", " ").startswith(temper.partition(",")[0])


def test_printed_table_wins_over_the_formula(knife):
    for celsius, hardness in ((150, 63.0), (200, 61.0), (250, 58.0)):
        temper_row("pale", celsius, hardness, own=False)
    assert rows(knife, "harden")["Temper"].endswith("by the table of Pale steel")


def test_own_window_wins_over_the_formula(knife):
    Steel.objects.update(harden_min=None, harden_max=None)
    assert rows(knife, "harden")["Harden from"].endswith("by formula")
    Steel.objects.update(harden_min=800 + KELVIN, harden_max=812 + KELVIN)
    found = rows(knife, "harden")["Harden from"]
    assert found == "806 °C (800 to 812 °C), by the data sheets"


def test_sheets_of_softening_and_normalising_are_printed(knife):
    sheet = "760 °C, then cool at most 20 °C an hour"
    Steel.objects.filter(key="dark").update(anneal=sheet, normalise_at=885 + KELVIN)
    found = rows(knife, "forge")
    assert found["Sheet of Dark steel"] == sheet
    assert found["Normalise"].startswith("885, 855, 825 °C")


def test_temper_is_for_the_hardness_of_this_knife(knife):
    soft = rows(knife, "harden")["Temper"]
    knife.target.hardness = 61.0
    knife.target.save()
    assert rows(knife, "harden")["Temper"] != soft


def test_bath_of_the_plan_is_named(knife):
    bath = Equipment.objects.create(
        name="Oil bucket", kind="bath", severity=0.5, bath_mass=9.0
    )
    plan = knife.target.plan
    plan.bath = bath
    plan.save()
    assert rows(knife, "harden")["Quench in"] == "fast oil (Oil bucket) at 40 to 65 °C"


def test_hardness_out_of_reach_is_said_on_the_sheet(knife):
    knife.target.hardness = 68.0
    knife.target.save()
    found = rows(knife, "harden")
    assert found["Temper"].startswith("68 HRC cannot be reached")
    assert "Then expect" not in found


def test_windows_apart_are_said_on_the_sheet(knife):
    Steel.objects.filter(key="pale").update(
        harden_min=860 + KELVIN, harden_max=880 + KELVIN
    )
    found = rows(knife, "harden")
    assert found["Look twice"].startswith("No heat suits all steels")


def test_window_of_one_heat_is_said_once(knife):
    Steel.objects.update(harden_min=805 + KELVIN, harden_max=805 + KELVIN)
    assert rows(knife, "harden")["Harden from"] == "805 °C, by the data sheets"


@needs_pango
def test_paper_names_no_check_by_a_code(knife):
    Steel.objects.filter(key="pale").update(quench_class="air", nickel=4.0)
    Steel.objects.filter(key="dark").update(quench_class="water", harden_max=1050.0)
    sheet = sheet_for(knife)
    assert sheet.plan.warnings
    assert not re.search(r"\bK\d", text_in(printed(sheet)))


def test_steels_that_do_not_harden_leave_it_to_their_sheets(knife):
    Steel.objects.update(quench_class="none")
    found = rows(knife, "harden")
    assert found["Heat, medium, oven"] == (
        "by the data sheets of Dark steel and Pale steel"
    )
    assert found["Look twice"].startswith("No steel of this billet hardens")


def test_cautions_stay_as_they_were(knife):
    for block in sheet_for(knife).stages:
        assert len(block.cautions) <= MOST


@needs_pango
def test_paper_carries_the_treatment(knife):
    body = printed(sheet_for(knife))
    text = text_in(body)
    assert len(page_sizes(body)) <= 5
    for word in ("Harden from", "805 °C (790 to 820 °C)", "Normalise", "Then expect"):
        assert word in text
