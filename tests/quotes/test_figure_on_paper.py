"""Twist and core all the way: job file, price, build sheet, the customer's words."""

import pytest

from billets.figures import figures_of
from billets.models import Plan, PlanStep
from quotes.offer.specification import steel_sentence
from quotes.pricing import Prices, billet_job
from shop import services
from tests.factories import BarSizeFactory, KnifeFactory, PlanFactory, SteelFactory
from tests.quotes.estimates import JOB, as_json, changed, run  # noqa: F401  fixtures
from tests.quotes.sheets import at_the_bench, found, printed, sheet_for, text_in
from tests.quotes.sheets import needs_pango as needs_pango

CORE = 'bars.C = { steel = "52100", thickness = "5 mm", width = "40 mm" }\n'
LAID = """
[[steps]]
do = "grind"
[[steps]]
do = "core"
core = "C"
[[steps]]
do = "weld"
temperature = "1150 °C"
[[steps]]
do = "draw"
width = "30 mm"
thickness = "5 mm"
"""
CORED = changed("\n[[steps]]", f"{CORE}\n[[steps]]", JOB) + LAID
TWISTED = changed(
    'thickness = "10 mm"\n',
    'thickness = "10 mm"\n[[steps]]\ndo = "draw"\nwidth = "15 mm"\n'
    'thickness = "15 mm"\n[[steps]]\ndo = "twist"\nturns = 2.5\n',
)


# --- job file ------------------------------------------------------------------------


def test_core_of_a_job_file_is_laid_in_charged_and_accounted_for(as_json):  # noqa: F811
    """Conservation: stack and core are the bar and all that was lost."""
    done = as_json(CORED)
    plan = done["plan"]
    assert plan["added_g"] > 0
    assert plan["start_g"] + plan["added_g"] == pytest.approx(
        plan["bar_g"] + sum(plan["loss_g"].values())
    )
    assert plan["retained"] == pytest.approx(
        plan["bar_g"] / (plan["start_g"] + plan["added_g"])
    )
    (laid,) = (step for step in plan["steps"] if step["name"] == "core")
    steel = {line["subject"]: line for line in done["cost"]["lines"]
             if line["key"] == "steel"}  # fmt: skip
    (name,) = set(steel) - {line["subject"] for line in as_json(JOB)["cost"]["lines"]}
    assert "100Cr6" in name or "52100" in name
    # The bar is bought 40 mm wide, whatever is ripped off it.
    bought = laid["length_mm"] * 40 * 5 * 7.81e-6
    assert float(steel[name]["quantity"]) == pytest.approx(bought, rel=0.01)


def test_steps_of_a_job_file_tell_each_loss(as_json):  # noqa: F811
    plan = as_json(TWISTED)["plan"]
    (twist,) = (step for step in plan["steps"] if step["name"] == "twist")
    assert twist["lost_to"] == "pattern"
    assert set(twist["lost_by_g"]) == {"pattern", "draw_scale"}
    assert sum(twist["lost_by_g"].values()) == pytest.approx(twist["lost_g"])


def test_estimate_names_the_core_in_text(run):  # noqa: F811
    status, out, _err = run(CORED)
    assert status == 0
    for words in ("Cores laid in", "Core: 1 × "):
        assert words in out


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('core = "C"', 'core = "D"', "steps[10].core"),
        ('core = "C"', "core = 3", "steps[10].core"),
        ('width = "40 mm" }', 'width = "20 mm" }', "steps[10].core"),
        ('width = "40 mm" }', 'width = "40 mm", length = "20 mm" }', "steps[10].core"),
        ("turns = 2.5", "turns = 0", "steps[4].turns"),
        ("turns = 2.5", 'turns = "many"', "steps[4].turns"),
        ("turns = 2.5", "turns = nan", "steps[4].turns"),
        ("turns = 2.5", "turns = 400", "steps[4].turns"),
    ],
)
def test_what_cannot_be_is_told_with_its_key(run, old, new, key):  # noqa: F811
    text = CORED if "core" in key else TWISTED
    if "core" in key:
        key = key.replace("10", str(text.count("do =") - 2))
    status, _out, err = run(changed(old, new, text))
    assert status
    assert err.startswith(f"{key}: ")


# --- sheet and price -----------------------------------------------------------------


@pytest.fixture
def knife(db):
    """A knife at the bench whose billet has a core of a third steel."""
    knife = at_the_bench()
    steel = SteelFactory(key="hard", name="Hard steel", carbon=0.95)
    bar = BarSizeFactory(steel=steel, thickness=0.006, width=0.040)
    plan = knife.target.plan
    plan.steps.filter(position=3).update(kind="core", core=bar, pieces=None)
    return found(knife)


def test_sheet_says_what_to_lay_in_and_cut(knife):
    sheet = sheet_for(knife)
    row = next(one for one in sheet.plan.rows if one.name == "Lay in a core")
    assert "Hard steel, 6\u00a0mm, between the two halves" in row.detail
    core = sheet.stack.cuts[-1]
    assert core.startswith("Core: 1 × ")
    assert "Rip to 3" in core


def test_sheet_says_the_figure_and_how_the_core_shows(knife):
    lines = " ".join(sheet_for(knife).plan.figure)
    assert "Core of Hard steel" in lines
    assert "beside the edge" in lines


def test_sheet_says_nothing_of_other_knives_by_name(knife):
    other = KnifeFactory(name="Secret gift")
    services.assign_plan(other, knife.target.plan)
    sheet = sheet_for(knife)
    assert len([one for one in sheet.plan.figure if "beside the edge" in one]) == 1
    assert "Secret gift" not in str(sheet)


@needs_pango
def test_figure_stands_on_the_printed_sheet(knife):
    assert "Core of Hard steel" in text_in(printed(sheet_for(knife)))


def test_sheet_of_straight_layers_has_no_figure(db):
    assert sheet_for(at_the_bench()).plan.figure == ()


def test_core_is_in_the_price(knife):
    """All the steel that is cut is paid for, the core's whole width too."""
    figures = figures_of(Plan.objects.whole().get(pk=knife.target.plan.pk))
    job = billet_job("one", figures, Prices(steels={}, handles={}, ferrules={}))
    masses = {steel.name: float(steel.mass) for steel in job.steels}
    length = next(one.length for one in figures.plain.steps if one.kind == "core")
    assert masses["Hard steel"] == pytest.approx(
        7850 * length * 0.040 * 0.006, abs=1e-4
    )
    assert set(masses) == {"Dark steel", "Pale steel", "Hard steel"}


def test_customer_reads_of_core_and_jackets(knife):
    figures = figures_of(Plan.objects.whole().get(pk=knife.target.plan.pk))
    text = steel_sentence(figures)
    assert text.startswith("a core of Hard steel between jackets of about 11 layers")
    assert "Dark steel and Pale steel" in text


def test_customer_reads_of_the_figure(db):
    plan = PlanFactory()
    PlanStep.objects.filter(position=2).update(width=0.014, thickness=0.014)
    PlanStep.objects.filter(position=3).update(kind="twist", turns=1.5, pieces=None)
    PlanStep.objects.filter(position=5).update(width=0.02)
    text = steel_sentence(figures_of(Plan.objects.whole().get(pk=plan.pk)))
    assert text.startswith("about 11 layers of Dark steel and Pale steel, twisted (")


def test_list_of_billets_names_the_steel_of_a_core(owner_client, knife):
    assert "Hard steel" in owner_client.get("/billets/").content.decode()


def test_page_adds_up_with_its_core(owner_client, knife):
    """The last row of losses is all that went in less what comes out."""
    page = owner_client.get(f"/billets/{knife.target.plan.pk}/")
    found_ = page.context["trial"]
    plain = found_.figures.plain
    lost = plain.start_mass + plain.added - plain.clean_mass
    assert found_.summary.total.lost == f"{1e3 * lost:.0f}\u00a0g"
    core = next(row for row in found_.summary.rows if row.name == "Lay in a core")
    assert f"{1e3 * plain.added:.0f}\u00a0g laid in" in core.detail
