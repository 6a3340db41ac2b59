"""What a build sheet says, held against the plan, the knife and the stages."""

import datetime as dt
import re

import pytest

from billets.figures import figures_of
from billets.models import ShopFactor, Steel
from billets.physics.errors import PlanError
from billets.physics.knife import weigh_knife
from quotes.errors import QuoteError
from quotes.sheets.stack import order_text
from shop import services, stages
from shop.models import Knife, Order
from shop.services import spec_of
from tests.factories import KnifeFactory, PlanFactory
from tests.quotes.sheets import at_the_bench, found, saved_shop, sheet_for

pytestmark = pytest.mark.django_db


@pytest.fixture
def knife():
    return at_the_bench(promised_week=dt.date(2026, 6, 1))


def numbers(text):
    """Return the numbers in a text, thousands without their comma."""
    return [float(one.replace(",", "")) for one in re.findall(r"\d[\d,]*\.?\d*", text)]


def grams(text):
    assert text.endswith("\u00a0g")
    return numbers(text)[0]


# --- when there is a sheet --------------------------------------------------------


def test_knife_without_a_billet_has_no_sheet(knife):
    services.assign_plan(knife, None)
    with pytest.raises(QuoteError) as caught:
        sheet_for(knife)
    assert caught.value.field == "plan"
    assert "plan one" in caught.value.message


@pytest.mark.parametrize("stage", ["", "delivered", "scrapped", "cancelled"])
def test_knife_that_is_not_at_the_bench_has_no_sheet(knife, stage):
    Knife.objects.filter(pk=knife.pk).update(stage=stage)
    with pytest.raises(QuoteError) as caught:
        sheet_for(knife)
    assert caught.value.field == "stage"


def test_billet_that_cannot_be_forged_has_no_sheet(knife):
    knife.target.plan.steps.filter(kind="weld").update(temperature=1900.0)
    with pytest.raises(PlanError):
        sheet_for(knife)


# --- the head ---------------------------------------------------------------------


def test_customer_is_named_by_initials_only(knife):
    sheet = sheet_for(knife)
    assert sheet.head.initials == "TG"
    assert "Grauwacke" not in str(sheet)
    assert "Tilda" not in str(sheet)


def test_head_names_knife_order_and_week(knife):
    """1 June 2026 is the Monday of week 23 by ISO 8601 (counted from 1 January)."""
    head = sheet_for(knife, name="Ashhill forge").head
    assert head.serial == knife.serial
    assert head.mark == knife.mark
    assert (head.kind, head.length) == ("Santoku", "163\u00a0mm")
    assert head.due == "Due week 23"
    assert head.order == knife.order.number
    assert head.shop == "Ashhill forge"


def test_week_that_is_not_promised_is_said(knife):
    Order.objects.update(promised_week=None)
    assert sheet_for(knife).head.due == "No week promised"


# --- the stack --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("order", "text"),
    [
        ("ABABABA", "A B A B A B A"),
        ("AB" * 14 + "A", "14 × (A B), A"),
        ("ABC" * 7, "7 × (A B C)"),
        ("A" * 20, "20 × A"),
        ("A" * 8 + "BCB" + "A" * 8, "8 × A, B, C, B, 8 × A"),
    ],
)
def test_order_can_be_counted_at_the_anvil(order, text):
    assert order_text(order) == text


def test_stack_adds_up_to_what_the_plan_starts_with(knife):
    """No steel is made or lost by stacking; whole grams are printed."""
    sheet, figures = sheet_for(knife), figures_of(knife.target.plan)
    parts = [grams(row.mass) for row in sheet.stack.rows]
    assert sum(parts) == pytest.approx(1e3 * figures.plain.start_mass, abs=1.0)
    assert grams(sheet.stack.total) == pytest.approx(sum(parts), abs=1.0)


def test_stack_lists_every_bar_with_piece_and_count(knife):
    rows = sheet_for(knife).stack.rows
    said = [(row.letter, row.steel, row.pieces, row.size) for row in rows]
    assert said == [
        ("A", "Dark steel", "6", "137 × 33 × 3.5\u00a0mm"),
        ("B", "Pale steel", "5", "137 × 33 × 1.8\u00a0mm"),
    ]


def test_cut_list_says_pieces_bars_and_what_is_left(knife):
    """6 × 137 mm with a kerf of 1.6 mm each leave 168 mm of a metre, by hand."""
    first = sheet_for(knife).stack.cuts[0].replace("\u00a0", " ")
    assert "6 × 137 mm from 1 × 35 × 3.5 mm of 1,000 mm" in first
    assert "7 a bar; 168 mm left over" in first
    assert "Rip to 33 mm" in first


# --- the billet -------------------------------------------------------------------


def test_every_step_stands_with_its_planned_mass_in_its_band(knife):
    sheet, figures = sheet_for(knife), figures_of(knife.target.plan)
    results = figures.plain.steps[1:]
    assert [row.name for row in sheet.plan.rows] == [
        "Weld", "Draw out", "Cut and restack", "Weld", "Draw out",
    ]  # fmt: skip
    for row, result in zip(sheet.plan.rows, results, strict=True):
        assert grams(row.mass) == round(1e3 * result.mass)
        low, high = numbers(row.band)
        assert low <= grams(row.mass) <= high


def test_hot_steps_say_what_calipers_show_at_heat(knife):
    """Steel is 1.5 to 2.5 % longer at forging heat (EN 1993-1-2, 3.4.1.1)."""
    hot = [row for row in sheet_for(knife).plan.rows if row.hot]
    assert [row.name for row in hot] == ["Weld", "Draw out", "Weld", "Draw out"]
    for row in hot:
        longer = numbers(row.hot)[0] / numbers(row.cold)[0]
        assert 1.01 < longer < 1.03
        assert row.minutes.endswith("min")
        count, heats = row.heats.split()
        assert heats == ("heat" if count == "1" else "heats")


def test_cold_steps_say_no_heat(knife):
    (cut,) = (row for row in sheet_for(knife).plan.rows if not row.hot)
    assert (cut.heats, cut.minutes, cut.detail) == ("", "", "3 pieces")
    assert cut.layers == "33"


def test_sheet_says_what_knife_and_bar_need(knife):
    said = " ".join(sheet_for(knife).needed).replace("\u00a0", " ")
    needed = weigh_knife(spec_of(knife)).needed_mass
    assert f"This knife needs {1e3 * needed:.0f} g of the bar." in said
    assert "Also from this billet" not in said


def test_other_knives_of_the_billet_stand_by_number_only(knife):
    other = KnifeFactory(name="Secret gift")
    services.assign_plan(other, knife.target.plan)
    sheet = sheet_for(knife)
    assert f"Also from this billet: {other.serial}." in sheet.needed
    assert "Secret gift" not in str(sheet)


def test_chance_is_never_said_to_be_certain(knife):
    assert "more than 99\u00a0%" in sheet_for(knife).needed[-1]


def test_red_warnings_of_the_plan_stand_on_the_sheet(knife):
    Steel.objects.update(carbon=1.4)
    assert sheet_for(knife).plan.warnings


def test_bar_ground_clean_leaves_less_to_grind(knife):
    before = sheet_for(knife)
    plan = knife.target.plan
    plan.steps.create(position=6, kind="grind", face=0.0005, edge=0.0002)
    after = sheet_for(knife)
    rows = [dict(one.stages[0].planned) for one in (before, after)]
    blanks = [numbers(one["Blank"])[0] for one in rows]
    assert blanks[1] < blanks[0]
    spines = [numbers(one["Spine heel, middle, tip"])[0] for one in rows]
    assert spines[0] - spines[1] == pytest.approx(2 * (0.6 - 0.45), abs=0.06)


# --- the stages -------------------------------------------------------------------


def test_stages_stand_in_order_with_gate_and_work(knife):
    blocks = sheet_for(knife).stages
    assert [block.key for block in blocks] == list(stages.bench())
    for block in blocks:
        assert block.gate == stages.stage_of(block.key).gate
        assert block.blanks
        assert 1 <= len(block.cautions) <= 3


def test_blank_is_forged_larger_all_round(knife):
    """Usual allowance: 2 mm of outline, 0.6 mm a side (common practice, no source)."""
    rows = dict(sheet_for(knife).stages[0].planned)
    assert rows["Forge to, cold"] == "167 × 50\u00a0mm"
    assert rows["Spine heel, middle, tip"].startswith("3.9 – 3.3 – 2.3\u00a0mm")


def test_slow_cooling_is_a_quiet_wait_after_forging(knife):
    """Slow cooling in the closed oven softens a blade for grinding (fact of the trade,
    common practice, no source)."""
    forge = sheet_for(knife).stages[0]
    (note,) = (one for one in forge.notes if "oven" in one)
    for word in ("closed oven", "waiting", "quiet", "soften"):
        assert word in note
    assert "oven" not in forge.work


@pytest.mark.parametrize(
    ("tool", "word"), [("press", "middling loud"), ("hammer", "loud")]
)
def test_press_is_quieter_than_hammer(knife, tool, word):
    """A press is quieter than the hammer (fact of the trade, common practice)."""
    knife.target.plan.tool.kind = tool
    knife.target.plan.tool.save()
    forge = sheet_for(knife).stages[0]
    assert forge.loudness == word
    assert "Quieter: the press or a small anvil." in forge.notes


def test_extinguisher_is_named_where_there_is_fire(knife):
    blocks = sheet_for(knife, extinguisher="by the water butt").stages
    said = {block.key: block.extinguisher for block in blocks if block.extinguisher}
    assert set(said) == {"forge", "harden"}
    assert set(said.values()) == {"Extinguisher: by the water butt"}


def test_hardening_says_heat_medium_and_temper(knife):
    rows = dict(sheet_for(knife).stages[2].planned)
    assert rows["Hardness aimed at"].replace("\u00a0", " ").startswith("60 HRC")
    assert {"Harden from", "Quench in", "Temper", "Then expect"} <= set(rows)


def test_no_price_is_on_the_sheet(knife):
    assert not re.search(r"EUR|€|price|cost", str(sheet_for(knife)), re.IGNORECASE)


# --- foot, language, units --------------------------------------------------------


def test_foot_says_where_numbers_come_from_and_what_comes_first(knife):
    foot = " ".join(sheet_for(knife).foot)
    assert "Uncalibrated" in foot
    assert str(knife.target.plan.seed) in foot
    for word in ("Local codes", "makers' instructions", "licensed practice"):
        assert word in foot


def test_foot_counts_the_billets_of_a_calibrated_shop(knife):
    ShopFactor.objects.create(name="scale_strength", median=0.7, ln_sd=0.2, billets=5)
    foot = " ".join(sheet_for(knife).foot)
    assert "Uncalibrated" not in foot
    assert "5 weighed billets" in foot


def test_inches_and_ounces(knife):
    sheet = sheet_for(knife, units="inch")
    assert sheet.head.length == "6.42\u00a0in"
    assert all(row.mass.endswith("\u00a0oz") for row in sheet.plan.rows)
    assert "mm" not in " ".join(sheet.stages[0].blanks)


def test_numbers_in_the_shops_language(knife):
    """A decimal comma and a point for thousands are German custom (CLDR)."""
    sheet = sheet_for(knife, language="de")
    assert sheet.stack.rows[0].size == "137 × 33 × 3,5\u00a0mm"


# --- what makes a new revision ----------------------------------------------------


def test_same_knife_gives_the_same_content(knife):
    assert sheet_for(knife).content == sheet_for(knife).content


def test_stage_of_the_knife_is_no_part_of_the_content(knife):
    before = sheet_for(knife).content
    Knife.objects.update(stage="grind")
    assert sheet_for(knife).content == before


def _longer_knife(knife):
    Knife.objects.filter(pk=knife.pk).update(length=0.165)


def _thinner_bar(knife):
    knife.target.plan.steps.filter(position=5).update(thickness=0.005)


def _new_neighbour(knife):
    services.assign_plan(KnifeFactory(), knife.target.plan)


def _other_billet(knife):
    services.assign_plan(found(knife), PlanFactory(length=0.15))


def _note(knife):
    Knife.objects.filter(pk=knife.pk).update(note="Left-handed cook.")


def _moved_extinguisher(_knife):
    saved_shop(extinguisher="at the gate")


@pytest.mark.parametrize(
    "change",
    [
        _longer_knife, _thinner_bar, _new_neighbour, _other_billet, _note,
        _moved_extinguisher,
    ],
)  # fmt: skip
def test_whatever_the_sheet_says_makes_a_new_content(knife, change):
    before = sheet_for(knife).content
    change(knife)
    assert sheet_for(knife).content != before
