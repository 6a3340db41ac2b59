"""The build sheet on paper: true to scale, complete, readable, closed."""

import datetime as dt
import re

import pytest
from django.conf import settings

from billets.models import PlanStep, Steel
from billets.physics.knife_spec import spec_fittings
from quotes import pdf
from quotes.sheets.documents import Stamp, mark_drawing, print_sheet, sheet_html
from shop import stages
from shop.models import Knife
from shop.services import spec_of
from tests.quotes.sheets import (
    POINTS,
    at_the_bench,
    family_values,
    needs_pango,
    needs_pdftoppm,
    page_sizes,
    paths_on,
    printed,
    quiet_weasyprint,
    raster,
    reader_of,
    sheet_for,
    text_in,
)

pytestmark = pytest.mark.django_db

NOON = dt.datetime(2026, 3, 9, 11, 2, tzinfo=dt.UTC)
STYLE = (settings.BASE_DIR / "quotes/static/quotes/sheet.css").read_text("utf-8")
DARK = 128
INCH = 25.4


@pytest.fixture
def knife():
    return at_the_bench(promised_week=dt.date(2026, 6, 1))


def across(body):
    """Return the numbers of the pages that lie across, from 1."""
    return [
        place
        for place, (wide, high) in enumerate(page_sizes(body), start=1)
        if wide > high
    ]


# --- true to scale ----------------------------------------------------------------


def span(corners, axis):
    values = [corner[axis] for corner in corners]
    return max(values) - min(values)


def blade_on(page):
    """Return the outline of the blade: of the paths of a drawing the one with most
    corners."""
    return max(paths_on(page), key=len)


@needs_pango
@pytest.mark.parametrize(
    ("family", "length", "paper", "sheets"),
    [("petty", 0.137, "A4", 1), ("petty", 0.137, "letter", 1),
     ("santoku", 0.163, "A4", 1), ("gyuto", 0.243, "letter", 2),
     ("yanagiba", 0.294, "A4", 2), ("cleaver", 0.172, "A4", 2)],
)  # fmt: skip
def test_drawing_is_true_to_scale(family, length, paper, sheets):
    """The blade on paper is as long as asked for, and every sheet's bar is 100 mm."""
    knife = at_the_bench(**family_values(family, length))
    body = printed(sheet_for(knife, paper=paper))
    reader, pages = reader_of(body), across(body)
    assert len(pages) == sheets
    for page in (reader.pages[place - 1] for place in pages):
        assert span(blade_on(page), 0) / POINTS == pytest.approx(1e3 * length, abs=0.3)
        lengths = [span(path, 0) / POINTS for path in paths_on(page) if len(path) == 2]
        assert any(one == pytest.approx(100.0, abs=0.01) for one in lengths)


@needs_pango
@needs_pdftoppm
def test_check_bar_measures_100_mm_when_drawn(knife, tmp_path):
    """Drawn at 300 dots an inch by poppler: the lowest long stroke is the bar."""
    body = printed(sheet_for(knife))
    rows = raster(body, across(body)[0], tmp_path)
    lengths = (INCH * longest_run(row) / 300 for row in reversed(rows))
    bar = next(length for length in lengths if length > 50)
    assert bar == pytest.approx(100.0, abs=0.2)


@needs_pango
@needs_pdftoppm
def test_blade_and_tang_measure_what_was_asked_for_when_drawn(knife, tmp_path):
    """The longest level stroke is the dimension of blade, neck and tang together, with
    a slanting tick of 0.5 mm at either end."""
    body = printed(sheet_for(knife))
    rows = raster(body, across(body)[0], tmp_path)
    longest = max(INCH * longest_run(row) / 300 for row in rows)
    tang = spec_fittings(spec_of(knife)).tang.length
    assert longest == pytest.approx(163 + 11 + 1e3 * tang, abs=0.8)


def longest_run(row):
    """Return the longest run of dark dots in a row."""
    dark = bytes(one < DARK for one in row)
    return max((len(run) for run in dark.split(b"\0")), default=0)


@needs_pango
def test_sheets_of_a_long_knife_carry_marks_and_numbers():
    knife = at_the_bench(**family_values("yanagiba", 0.294))
    sheet = sheet_for(knife)
    text = text_in(printed(sheet))
    for place in (1, 2):
        assert f"Sheet {place} of 2. Lay mark on mark." in text
    assert all(one.count('class="registration"') == 2 for one in sheet.drawings)


# --- what is on it ----------------------------------------------------------------


@needs_pango
def test_paper_says_what_the_sheet_says(knife):
    sheet = sheet_for(knife, extinguisher="by the water butt")
    text = text_in(printed(sheet))
    for row in sheet.plan.rows:
        for said in (row.name, row.mass, row.band, row.cold, row.hot):
            assert said.replace("\u00a0", " ") in text
    for block in sheet.stages:
        for said in (block.label, *block.gate, *block.cautions, *block.blanks):
            assert said.replace("\u00a0", " ") in text
    for row in sheet.stack.rows:
        assert row.steel in text
        assert row.size.replace("\u00a0", " ") in text
    for line in (*sheet.foot, *sheet.needed, *sheet.stack.cuts):
        assert line.replace("\u00a0", " ") in text
    assert text.count("Extinguisher: by the water butt") == 2
    assert "Outside the band? Stop and plan again before the next weld." in text


@needs_pango
def test_each_row_of_hours_of_a_stage_has_its_ticks(knife):
    """Forge and finish ask for two rows on the knife's page; so does the paper."""
    sheet = sheet_for(knife)
    text = text_in(printed(sheet))
    for block in sheet.stages:
        assert len(block.hours) == len(stages.stage_of(block.key).hours)
    ticks = "¼ ½ 1 2 3 4+"
    assert f"Hours: billet {ticks} blade {ticks}" in text
    assert f"Hours: grinding {ticks} hand finish {ticks}" in text
    assert text.count(ticks) == 8


@needs_pango
def test_every_page_says_its_number_revision_and_time(knife):
    """11:02 in Greenwich is 12:02 in Berlin, the time zone of the settings."""
    sheet = sheet_for(knife)
    pages = reader_of(printed(sheet, 3, NOON)).pages
    for place, page in enumerate(pages, start=1):
        text = " ".join(page.extract_text().replace("\u00a0", " ").split())
        assert f"page {place} of {len(pages)}" in text
        assert "printed 9 Mar 2026, 12:02" in text
        assert f"{knife.serial}, revision C" in text


@needs_pango
def test_later_revision_voids_the_one_before(knife):
    sheet = sheet_for(knife)
    assert "Voids" not in text_in(printed(sheet, 1))
    assert "Voids revision A: take the old sheet down." in text_in(printed(sheet, 2))


@needs_pango
def test_customer_is_not_named(knife):
    body = printed(sheet_for(knife))
    assert b"Grauwacke" not in body
    assert "Grauwacke" not in text_in(body)
    assert "for TG" in text_in(body)


@pytest.fixture
def known_steels(knife):
    """Steels that harden and show a pattern, so no warning takes room."""
    Steel.objects.filter(key="dark").update(manganese=0.75, quench_class="fast_oil")
    Steel.objects.filter(key="pale").update(manganese=0.4, nickel=2.0)
    Steel.objects.update(harden_min=1060.0, harden_max=1090.0)


@needs_pango
@pytest.mark.usefixtures("known_steels")
def test_few_pages(knife):
    """A plan of five steps: two sheets to the bar, two for the rest, one to draw."""
    assert len(page_sizes(printed(sheet_for(knife)))) <= 5


@needs_pango
@pytest.mark.usefixtures("known_steels")
def test_long_plan_adds_pages_and_keeps_every_step(knife):
    plan = knife.target.plan
    for place in range(6, 16):
        kind = {"kind": "grind", "face": 0.00005, "edge": 0.00005}
        PlanStep.objects.create(plan=plan, position=place, **kind)
    sheet = sheet_for(knife)
    body = printed(sheet)
    assert len(sheet.plan.rows) == 15
    assert text_in(body).count("Grind clean") == 10
    assert len(page_sizes(body)) <= 6


@needs_pango
@pytest.mark.parametrize(
    ("paper", "upright"), [("A4", (210.0, 297.0)), ("letter", (215.9, 279.4))]
)
def test_paper_is_the_shops_own(knife, paper, upright):
    """ISO 216 A4 and ANSI Letter (from memory); drawings lie across."""
    sizes = page_sizes(printed(sheet_for(knife, paper=paper)))
    assert sizes[0] == pytest.approx(upright, abs=0.1)
    assert sizes[-1] == pytest.approx(upright[::-1], abs=0.1)


def test_scratch_mark_is_drawn_stroke_by_stroke():
    """Each sign is two strokes, so that a punch or scriber makes it at once."""
    drawn = re.findall(r' d="([^"]+)"', mark_drawing("TX"))
    assert len(drawn) == 2
    assert all(one.count("M") == 2 for one in drawn)
    assert 'width="40mm"' in mark_drawing("TX")


# --- readable at the forge --------------------------------------------------------


def points_of(selector):
    """Return the type size of a rule."""
    rule = re.search(rf"^{re.escape(selector)} {{(.*?)}}", STYLE, re.MULTILINE)
    return float(re.search(r"font(?:-size)?: (\d+)pt", rule[1])[1])


def test_type_sizes_for_the_reading_distance():
    """Letters of the distance over 200 (human-factors handbooks, from memory): text
    14 pt, gates 20 pt, what is read from two metres 40 pt."""
    assert points_of(".sheet") >= 14
    assert points_of(".sheet .gate li") >= 20
    assert points_of(".sheet .far") >= 40
    assert points_of(".sheet :is(.id, .revision strong)") >= 40


def test_boxes_to_write_in_are_high_enough():
    for height in re.findall(r" height: ([\d.]+)mm", STYLE):
        assert float(height) >= 8


def test_black_on_white_only():
    body = STYLE.replace("color: #fff; }", "", 1)
    assert set(re.findall(r"#[0-9a-f]{3,6}\b", body)) <= {"#000", "#fff"}
    assert "opacity" not in STYLE


def test_few_enough_rules_for_a_quick_pdf():
    assert STYLE.count("{") < 60


# --- closed and repeatable --------------------------------------------------------

HOSTILE = (
    '<img src="http://127.0.0.1:9/x.png"> <a rel="attachment" '
    'href="file:///etc/hostname">x</a> <style>@import url(http://127.0.0.1:9/)</style> '
    "{{ 7|add:7 }}"
)


@needs_pango
def test_what_people_typed_is_printed_as_typed(knife, caplog):
    quiet_weasyprint(caplog)
    Knife.objects.update(note=HOSTILE)
    body = printed(sheet_for(knife, name='<b onload="x">Forge</b>'))
    assert '<img src="http://127.0.0.1:9/x.png">' in text_in(body)
    assert "{{ 7|add:7 }}" in text_in(body)
    assert not reader_of(body).attachments
    assert not any(page.images for page in reader_of(body).pages)
    assert not caplog.records


@needs_pango
def test_nothing_is_logged(knife, caplog):
    quiet_weasyprint(caplog)
    printed(sheet_for(knife))
    assert not caplog.records


@needs_pango
def test_same_sheet_prints_the_same_bytes(knife):
    stamp = Stamp(revision=1, printed=NOON)
    first, second = (print_sheet(sheet_for(knife), stamp) for _once in range(2))
    assert first == second
    assert first.media == "pdf"


def test_without_pango_the_page_is_kept_and_says_why(knife, monkeypatch):
    def missing(*_args, **_kwargs):
        raise pdf.PdfUnavailable

    monkeypatch.setattr(pdf, "render", missing)
    kept = print_sheet(sheet_for(knife), Stamp(revision=1, printed=NOON))
    page = kept.body.decode()
    assert kept.media == "html"
    assert '<link rel="stylesheet" href="/static/quotes/sheet.css">' in page
    assert "PDF needs the library Pango" in page
    assert "printed 9 Mar 2026, 12:02" in page
    assert '<p class="foot">' not in page
    assert "<style" not in page
    assert " style=" not in page


def test_page_is_in_the_shops_language(knife):
    page = sheet_html(sheet_for(knife, language="de"), Stamp(revision=1, printed=NOON))
    assert '<html lang="de">' in page
