"""The registries know each other.

A new entry that one of them has and another lacks fails here; the row of DEVELOPERS.md
("To add … change …") says what else there is to change.
"""

import tomllib
from dataclasses import fields
from pathlib import Path

import pytest

from billets import choices as billet_choices
from billets.charts import DASHES, SHORT_CAUSES, SHORT_STEPS
from billets.forms.plan import BAR_BOXES, PlanForm
from billets.forms.steps import BOXES
from billets.loading import read_steels
from billets.models import PlanStep, ShopFactor
from billets.physics.atmosphere import ATMOSPHERES
from billets.physics.blank import ALLOWANCES, FORGINGS
from billets.physics.equipment import FORGES, SAWS, TOOLS
from billets.physics.factors import PRIORS, Factors
from billets.physics.families import FAMILIES, FAMILY_LABELS
from billets.physics.knife_spec import KnifeSpec
from billets.physics.materials import MATERIALS
from billets.physics.results import LossByCause
from billets.physics.rules import RULES
from billets.plan_steps import COLUMNS, STEP_FIELDS, required
from billets.spellings import KINDS
from billets.units import DISPLAYS, PINT_NAMES
from billets.wording import CAUSES
from quotes import choices as paper_choices
from quotes import job
from quotes.cost_items import COST_ITEMS
from quotes.demo.acts import ACTS
from quotes.job_keys import KNIFE, NOT_OF_THE_SPEC, STEP_NEEDS, STEPS
from quotes.money import EXPONENTS
from quotes.rate_book import BOUGHT
from quotes.rate_items import GROUPS, ITEM_OF, POINTS, RATE_ITEMS, hours_key
from quotes.rates import REGIMES, shipped_rates
from quotes.sheets.cautions import ANY, CAUTIONS, MOST, cautions_for
from quotes.sheets.stages import BLANKS, LOUDNESS, PLANNED, QUIETER
from quotes.views.papers import FOR_ALL
from quotes.wording import GROUPS as COST_GROUPS
from shop import choices as shop_choices
from shop import stages
from shop.models import Knife
from shop.wording import GROUPS as SPEC_GROUPS
from tests.quotes.builders import job as small_job

ROOT = Path(__file__).resolve().parent.parent


def keys(choices):
    return [key for key, _label in choices if key]


def data(place):
    return tomllib.loads((ROOT / place).read_text("utf-8"))


def prices(group):
    return set(data("shop/data/prices.toml")[group])


# --- steps and factors ---------------------------------------------------------------


@pytest.mark.parametrize("kind", RULES)
def test_every_step_is_known_to_form_page_and_job_file(kind):
    step, names = STEP_FIELDS[kind]
    assert step.kind == kind
    assert kind in keys(billet_choices.step())
    assert kind in SHORT_STEPS
    assert set(STEPS[kind]) == set(names)
    assert STEP_NEEDS.get(kind, ()) == required(kind)
    style = (ROOT / "shop" / "static" / "shop" / "shop.css").read_text("utf-8")
    assert f'option[value="{kind}"]' in style


def test_no_step_is_known_that_has_no_rule():
    known = (STEP_FIELDS, keys(billet_choices.step()), STEPS)
    assert all(set(one) == set(RULES) for one in known)
    assert set(SHORT_STEPS) == {"start", *RULES}


def test_every_column_of_a_step_has_its_box():
    assert set(BOXES) == set(COLUMNS)
    assert set(COLUMNS) <= {field.name for field in PlanStep._meta.fields}


def test_every_letter_has_its_box():
    assert set(BAR_BOXES.values()) <= set(PlanForm.base_fields)


def test_every_factor_a_shop_can_teach_has_a_word():
    """The heats of a weld are drawn, not taught."""
    factors = {field.name for field in fields(Factors)} - {"weld_heats"}
    assert set(PRIORS) == factors
    assert set(keys(billet_choices.factor())) == factors
    assert max(map(len, factors)) <= ShopFactor._meta.get_field("name").max_length


def test_every_cause_of_a_loss_is_said_and_drawn():
    causes = {field.name for field in fields(LossByCause)}
    assert all(set(one) == causes for one in (CAUSES, SHORT_CAUSES, DASHES))


# --- what there is to choose from ----------------------------------------------------


def test_every_flame_has_a_word():
    assert set(keys(billet_choices.atmosphere())) == set(ATMOSPHERES)


def test_every_tool_has_a_word_and_a_cost():
    offered = set(keys(billet_choices.equipment()))
    assert offered == {"forge", "saw", "bath", *TOOLS}
    assert set(job.TOOLS) == set(TOOLS)


def test_shop_and_job_file_begin_with_the_same_equipment():
    shipped = data("billets/data/equipment.toml").values()
    for tool in (one for one in shipped if one["kind"] in TOOLS):
        assert tool["strain"] == TOOLS[tool["kind"]].strain
    kerfs = {one["kerf"] for one in shipped if one["kind"] == "saw"}
    assert kerfs <= {round(1e3 * saw.kerf, 6) for saw in SAWS.values()}
    (forge,) = (one for one in shipped if one["kind"] == "forge")
    usual = FORGES["two burners"]
    assert forge["atmosphere"] == usual.atmosphere
    assert forge["wall_temperature"] + 273.15 == usual.wall_temperature
    sizes = (usual.door_width, usual.door_height)
    assert (forge["door_width"], forge["door_height"]) == tuple(
        1e3 * one for one in sizes
    )
    assert forge["preheat"] == usual.preheat / 60
    assert "gas_rate" not in forge  # nobody has weighed that bottle


def test_every_family_has_its_label():
    assert set(data("billets/data/families.toml")) == set(FAMILY_LABELS)
    assert set(FAMILIES) == set(FAMILY_LABELS) == set(keys(shop_choices.family()))


def test_every_way_to_forge_and_every_handle_has_a_word():
    assert set(keys(shop_choices.forging())) == set(FORGINGS)
    assert set(keys(shop_choices.allowance())) == set(ALLOWANCES)
    assert set(keys(shop_choices.handle())) == set(job.HANDLES)
    assert {f"handle_{key}" for key in job.HANDLES} <= set(ITEM_OF)


def test_knife_of_the_shop_and_of_a_job_file_are_the_same_knife():
    core = {field.name for field in fields(KnifeSpec)} - {"steel_density"}
    assert core <= {field.name for field in Knife._meta.fields}
    assert set(KNIFE) - NOT_OF_THE_SPEC | {"family"} == core
    said = {name for _group, names in SPEC_GROUPS for name in names}
    assert said == core | {"hardness", "finish"}


def test_every_steel_has_a_price():
    assert prices("steel") == {one.key for one in read_steels()}


def test_every_handle_material_has_its_prices():
    assert prices("handle") == {one.key for one in MATERIALS.values() if one.body}
    assert prices("ferrule") == {one.key for one in MATERIALS.values() if one.ferrule}
    assert set(BOUGHT) == {"steel", "handle", "ferrule"}


def test_every_kind_of_quantity_can_be_shown_and_converted():
    assert set(DISPLAYS) == set(KINDS)
    for kind, display in DISPLAYS.items():
        units = {display.si, display.metric.unit, display.inch.unit, *KINDS[kind].units}
        assert units <= set(PINT_NAMES), kind


# --- stages and money ----------------------------------------------------------------


@pytest.mark.parametrize("stage", stages.bench())
def test_every_stage_of_the_bench_is_known_to_rates_and_sheet(stage):
    assert 0 < len(cautions_for(stage)) <= MOST
    assert any(stage in one.stages for one in CAUTIONS)
    assert {f"success_{stage}", f"restart_{stage}"} <= set(ITEM_OF)
    assert stage in BLANKS
    assert stage in PLANNED
    assert stages.stage_of(stage).gate


def test_sheet_knows_no_stage_and_no_tool_that_is_not_there():
    bench = set(stages.bench())
    assert set(BLANKS) == set(PLANNED) == bench
    assert {key for one in CAUTIONS for key in one.stages} <= bench | {ANY}
    assert set(LOUDNESS) == set(stages.LOUDNESS)
    assert {tool for key in bench for tool in stages.quieter_tools(key)} <= set(QUIETER)


def test_hours_are_told_for_every_row_and_fall_into_the_stages():
    told = {hours_key(row, point) for row in stages.HOURS_ROWS for point in POINTS}
    assert told == {one.key for one in RATE_ITEMS if one.group == "hours"}
    shares = dict.fromkeys(stages.HOURS_ROWS, 0)
    for stage in stages.STAGES:
        for row, share in stage.hours:
            shares[row] += share
    assert set(shares.values()) == {1}


def test_every_rate_stands_in_a_table_of_its_page():
    assert {one.group for one in RATE_ITEMS} == set(GROUPS)
    assert len(ITEM_OF) == len(RATE_ITEMS)


@pytest.mark.parametrize("item", COST_ITEMS, ids=lambda one: one.key)
def test_every_cost_item_has_its_rates_and_its_group(item):
    assert item.group in COST_GROUPS
    for need in item.needs(small_job(), shipped_rates()):
        assert need.rate >= 0
        assert {use.stage for use in need.uses} <= set(stages.bench())


def test_every_rule_of_tax_has_a_word():
    assert set(keys(shop_choices.tax_regime())) == set(REGIMES)
    assert {
        one.key for one in REGIMES.values() if not one.taxed
    } == shop_choices.UNTAXED


def test_every_currency_a_shop_can_have_can_be_rounded():
    assert set(keys(shop_choices.currency())) <= set(EXPONENTS)


def test_every_paper_has_its_template_and_its_readers():
    kinds = set(keys(paper_choices.paper_kind()))
    shared = dict.fromkeys(keys(paper_choices.invoice_kind()), "invoice")
    named = {shared.get(one, one) for one in kinds}
    assert all((ROOT / "templates" / "pdf" / f"{one}.html").exists() for one in named)
    assert kinds > FOR_ALL


def test_demo_can_do_all_that_its_story_tells():
    story = data("quotes/data/demo.toml")
    told = {act["act"] for order in story["orders"].values() for act in order["acts"]}
    assert told | {"ask"} == set(ACTS)
