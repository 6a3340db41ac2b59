"""Template plans: shipped once, fitted to a knife, marked in the editor."""

import io
import math
from dataclasses import replace

import pytest
from django.core.management import call_command

from billets.choices import pattern_class
from billets.figures import figures, fit_stack
from billets.messages import sentence
from billets.models import BarSize, Equipment, Plan
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import default_spec
from billets.physics.steps import Grind
from billets.physics.twisting import fibre_slope
from billets.physics.verdict import Target
from billets.services import plan_spec, save_plan, shop_beliefs
from billets.template_files import load_templates, read_templates
from billets.template_fit import fitted_to, sized_for, step_changes, template_for
from tests.billets.typing_in import boxes, send
from tests.factories import PlanFactory

pytestmark = pytest.mark.django_db

CLASSES = [key for key, _label in pattern_class()]
WORKS = (
    ("gyuto", 0.210), ("gyuto", 0.240), ("gyuto", 0.270), ("santoku", 0.165),
    ("petty", 0.150), ("chef", 0.150), ("chef", 0.260), ("nakiri", 0.165),
    ("sujihiki", 0.270), ("boning", 0.150), ("bread", 0.250),
)  # fmt: skip
"""Knives of 150 to 270 mm that every shipped template makes without a red flag."""


@pytest.fixture
def shop():
    call_command("load_steels", verbosity=0)
    load_templates()


def target_for(family, length):
    spec = default_spec(family, length)
    blank = weigh_knife(spec).blank
    return Target(
        label=family, needed=blank.needed, thickness=blank.bar_thickness,
        width_low=blank.bar_width_low, width_high=blank.bar_width_high,
        blade_height=spec.height, spine=spec.heel_thickness,
        behind_edge=spec.behind_edge, knife=spec,
    )  # fmt: skip


def fitted(key, target, chance=0.8):
    spec, beliefs = plan_spec(template_for(key)), shop_beliefs()
    made = fitted_to(spec, target, beliefs, seed=3, chance=chance)
    return made, figures(made, [target], beliefs, seed=3, chance=chance)


# --- shipped --------------------------------------------------------------------------


def test_every_class_of_pattern_is_shipped():
    assert list(read_templates()) == CLASSES


def test_a_second_run_makes_and_changes_nothing(shop):
    Plan.objects.filter(template="twist").update(title="Our twist", length=0.12)
    before = list(Plan.objects.values())
    again = load_templates()
    assert (again.made, again.missing) == ((), {})
    assert again.kept == tuple(CLASSES)
    assert list(Plan.objects.values()) == before


def test_a_class_with_a_plan_of_the_shops_own_gets_none():
    call_command("load_steels", verbosity=0)
    own = PlanFactory(template="ladder")
    assert "ladder" not in load_templates().made
    assert template_for("ladder") == own


def test_what_a_plan_lacks_is_named_and_the_others_are_made():
    call_command("load_steels", verbosity=0)
    BarSize.objects.filter(steel__key="c100s").update(on_offer=False)
    said = io.StringIO()
    call_command("load_templates", stdout=said)
    assert not Plan.objects.filter(template="core").exists()
    assert Plan.objects.exclude(template="").count() == len(CLASSES) - 1
    assert "no plan for core: the shop has no c100s 40 mm × 3 mm" in said.getvalue()


def test_a_shop_without_steels_or_tools_is_told_what_it_lacks():
    lacks = load_templates().missing["layers"]
    assert {"forge", "tool", "saw"} <= set(lacks)
    assert "1084 40 mm × 2.5 mm" in lacks
    assert not Plan.objects.exists()


def test_plans_are_made_on_what_is_in_use():
    call_command("load_steels", verbosity=0)
    Equipment.objects.filter(kind="hammer").update(in_use=False)
    load_templates()
    tool = template_for("layers").tool
    assert tool.in_use
    assert tool.kind in ("press", "hand")


# --- fitted to a knife ----------------------------------------------------------------


@pytest.mark.parametrize("key", CLASSES)
def test_usual_knives_come_out_of_every_template(shop, key):
    """Families and lengths of ``WORKS``: enough steel four times in five, a bar of the
    size the knife is forged from, and nothing red."""
    for family, length in WORKS:
        target = target_for(family, length)
        made, found = fitted(key, target)
        red = [sentence(flag) for flag in found.flags if flag.level == "red"]
        assert (red, found.verdict.enough) == ([], True), (family, length)
        assert float(found.plain.clean_thickness) > target.thickness
        assert target.width_low <= float(found.plain.clean_width) <= target.width_high
        assert made.length * 1000 == pytest.approx(round(made.length * 1000))


@pytest.mark.parametrize(
    ("family", "length"), [("yanagiba", 0.270), ("deba", 0.180), ("cleaver", 0.210)]
)
def test_single_bevels_and_cleavers_come_out_of_all_but_the_core(shop, family, length):
    """A core off its middle by a single bevel is flagged red: said, not hidden."""
    for key in ("layers", "twist", "ladder", "dimples"):
        found = fitted(key, target_for(family, length))[1]
        assert found.verdict.enough
        assert not [flag for flag in found.flags if flag.level == "red"]


@pytest.mark.parametrize("key", ["layers", "core"])
def test_stack_is_the_shortest_that_suffices(shop, key):
    """Law: the search by trying every millimetre finds the same length."""
    target, beliefs = target_for("santoku", 0.165), shop_beliefs()
    made = fitted(key, target)[0]
    other, _fit = fit_stack(made, [target], beliefs, seed=3, chance=0.8)
    assert made.length == pytest.approx(other.length)


def test_a_surer_stack_is_no_shorter(shop):
    target = target_for("gyuto", 0.210)
    lengths = [
        fitted("ladder", target, chance)[0].length for chance in (0.5, 0.8, 0.95)
    ]
    assert lengths == sorted(lengths)
    assert lengths[0] < lengths[-1]


@pytest.mark.parametrize(
    ("family", "length"), [("gyuto", 0.240), ("santoku", 0.165), ("petty", 0.150)]
)
def test_a_twist_stays_as_tight_as_in_the_template(shop, family, length):
    """Slope of the outermost fibre, 2 pi r n/L (plain geometry): within the quarter
    turn that can be told, and the steel more that a stack for a chance holds."""
    plan = plan_spec(template_for("twist"))
    own = figures(plan, [], shop_beliefs(), seed=3).plain
    found = fitted("twist", target_for(family, length))[1]

    def slope(spec, result):
        place = next(at for at, s in enumerate(spec.steps) if s.kind == "twist")
        bar = result.steps[place]
        radius = float(bar.width) / math.sqrt(2)
        return fibre_slope(spec.steps[place].turns, float(bar.length), radius)

    ratio = slope(found.spec, found.plain) / slope(plan, own)
    assert 0.65 < ratio < 1.1


def test_only_what_the_knife_decides_is_changed(shop):
    plan = plan_spec(template_for("twist"))
    made = fitted("twist", target_for("petty", 0.150))[0]
    changed = step_changes(plan, made)
    assert [set(one) for one in changed[:-2]] == [set()] * (len(plan.steps) - 2)
    assert set(changed[-2]) == {"turns"}
    assert set(changed[-1]) == {"thickness"}
    same = ("bars", "order", "width", "forge", "tool", "saw")
    assert all(getattr(made, name) == getattr(plan, name) for name in same)


def test_grinding_after_the_last_draw_is_drawn_thicker_for(shop):
    plan = plan_spec(template_for("layers"))
    clean = replace(plan, steps=(*plan.steps, Grind(face=0.0004, edge=0.0002)))
    target = target_for("gyuto", 0.240)
    sized, plain = sized_for(clean, target), sized_for(plan, target)
    more = sized.steps[-2].thickness - plain.steps[-1].thickness
    assert more == pytest.approx(0.0008, abs=1.01e-4)
    assert sized.steps[-2].width - 0.0004 >= target.width_low


def test_a_width_the_knife_can_be_forged_from_stays(shop):
    plan = plan_spec(template_for("layers"))
    for family, length in (("santoku", 0.165), ("petty", 0.150)):
        sized = sized_for(plan, target_for(family, length))
        assert sized.steps[-1].width == plan.steps[-1].width
    wide = sized_for(plan, target_for("cleaver", 0.210))
    assert wide.steps[-1].width == pytest.approx(0.053)


def test_a_plan_that_does_not_end_with_a_draw_stays_as_it_is(shop):
    plan = plan_spec(template_for("ladder"))
    short = replace(plan, steps=plan.steps[:-1])
    assert sized_for(short, target_for("petty", 0.150)) == short


# --- marked in the editor -------------------------------------------------------------


def test_marking_one_plan_of_a_class_takes_the_mark_off_the_other():
    first, other = PlanFactory(template="layers"), PlanFactory(template="core")
    second = PlanFactory()
    second.template = "layers"
    save_plan(second, {}, [])
    first.refresh_from_db()
    other.refresh_from_db()
    assert (first.template, other.template) == ("", "core")
    assert first.version == 2, "whoever has it open must not mark it again unseen"


def test_editor_marks_and_the_list_says_so(owner_client):
    first, plan = PlanFactory(template="twist"), PlanFactory(title="Better twist")
    answer = send(owner_client, plan.get_absolute_url(), template="twist")
    assert answer.status_code == 302
    assert template_for("twist") == plan
    listed = owner_client.get("/billets/").content.decode()
    assert listed.count("template: twist") == 1
    first.refresh_from_db()
    assert first.template == ""


def test_a_word_that_is_no_class_is_refused(owner_client):
    plan = PlanFactory()
    answer = send(owner_client, plan.get_absolute_url(), template="mosaic")
    assert "Choose one of the list." in answer.content.decode()
    plan.refresh_from_db()
    assert plan.template == ""


def test_a_plan_like_a_template_is_no_template(owner_client):
    plan = PlanFactory(template="core")
    page = owner_client.get(f"/billets/new/?like={plan.pk}")
    held = boxes(page)
    assert (held["template"], held["order"]) == ("", plan.order)
