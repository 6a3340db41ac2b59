"""Templates fitted to every family of knife, from the shortest to the longest."""

import math

import pytest
from django.core.management import call_command

from billets.choices import pattern_class
from billets.physics.families import FAMILIES
from billets.physics.steps import Draw
from billets.services import plan_spec, shop_beliefs
from billets.template_files import load_templates
from billets.template_fit import fitted_to, template_for
from tests.billets.test_templates import fitted, target_for

pytestmark = pytest.mark.django_db

CLASSES = [key for key, _label in pattern_class()]
LENGTHS = [
    (family, length)
    for family, own in FAMILIES.items()
    for length in (own.length.low, own.length.typical, own.length.high)
]


@pytest.fixture
def shop():
    call_command("load_steels", verbosity=0)
    load_templates()


def draws(spec):
    return [step for step in spec.steps if isinstance(step, Draw)]


@pytest.mark.parametrize("key", CLASSES)
def test_every_knife_comes_out_of_every_template(shop, key):
    """Shortest, usual and longest of every family: a stack that suffices four times
    in five, or this raises."""
    plan, beliefs = plan_spec(template_for(key)), shop_beliefs()
    for family, length in LENGTHS:
        made = fitted_to(plan, target_for(family, length), beliefs, seed=3, chance=0.8)
        assert 0.02 < made.length < 0.5, (family, length)


def test_a_small_knife_takes_the_shortest_stack_every_step_can_be_made_of(shop):
    """A paring knife in twist: pieces no shorter than the stack of them is high, and
    what is left over is told."""
    target = target_for("paring", 0.090)
    found = fitted("twist", target)[1]
    assert found.verdict.enough
    cut = next(at for at, one in enumerate(found.spec.steps) if one.kind == "cut")
    bar = found.plain.steps[cut]
    assert bar.length / 3 >= 3 * bar.thickness
    assert float(found.plain.bar_mass) > 1.3 * target.needed


@pytest.mark.parametrize("key", ["ladder", "dimples"])
def test_grooves_are_pressed_out_of_a_thick_bar_too(shop, key):
    """The draw before the grooves is as much thicker as the last, so the last one
    presses as much out; tenths of a millimetre apart, as draws are told."""
    plan = plan_spec(template_for(key))
    made = fitted(key, target_for("deba", 0.240))[0]
    more = [
        float(new.thickness) - float(old.thickness)
        for old, new in zip(draws(plan), draws(made), strict=True)
    ]
    assert more[0] == 0.0
    assert more[1] == pytest.approx(more[2], abs=1.01e-4)


def test_each_jacket_of_a_thick_core_takes_half_of_what_is_more(shop):
    plan = plan_spec(template_for("core"))
    made = fitted("core", target_for("deba", 0.240))[0]
    first, last = (
        float(new.thickness) - float(old.thickness)
        for old, new in zip(draws(plan), draws(made), strict=True)
    )
    assert math.isclose(2.0 * first, last, abs_tol=2.1e-4)


def test_a_knife_the_template_has_room_for_changes_no_draw_but_the_last(shop):
    for key in CLASSES:
        plan = plan_spec(template_for(key))
        made = fitted(key, target_for("gyuto", 0.240))[0]
        assert draws(made)[:-1] == draws(plan)[:-1]
