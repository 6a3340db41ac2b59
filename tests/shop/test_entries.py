"""What is weighed: written down, asked about, taken back, never changed."""

import pytest

from billets.messages import sentence
from billets.physics.plan import run_plan
from billets.services import plan_input, plan_spec, shop_beliefs
from shop import services
from shop.entries import (
    doubts,
    entries_of,
    forecast_mass,
    kinds_of,
    last_of,
    write_entry,
)
from shop.models import Entry
from shop.stages import StageError
from shop.written import take_back
from tests.factories import KnifeFactory, OrderFactory, PlanFactory, moment

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    return PlanFactory()


@pytest.fixture
def knife(plan):
    return begun(plan)


def begun(plan):
    """A knife at the forge that comes from a billet."""
    order = OrderFactory()
    knife = KnifeFactory(order=order)
    services.assign_plan(knife, plan)
    services.change_state(order, "quoted")
    services.start_work(order, by=None, at=moment())
    knife.refresh_from_db()
    return knife


def write(knife, kind, value, typed=""):
    return write_entry(knife, kind, value, typed, by=None, at=moment())


def reasons(knife, /, **values):
    return [(one.field, sentence(one)) for one in doubts(knife, values)]


# --- the entry that counts ----------------------------------------------------------


def test_last_entry_counts_and_all_stay(knife):
    write(knife, "stack", 1.2, "1200 g")
    write(knife, "stack", 1.25, "1250 g")
    assert last_of(knife, "stack").value == 1.25
    assert [one.typed for one in entries_of(knife)] == ["1250 g", "1200 g"]


def test_entry_taken_back_counts_no_more_but_stays(knife, owner):
    write(knife, "stack", 1.2)
    wrong = write(knife, "stack", 12.0)
    take_back(wrong, by=owner, at=moment())
    assert last_of(knife, "stack").value == 1.2
    wrong.refresh_from_db()
    assert (wrong.value, wrong.taken_back_by) == (12.0, owner)
    with pytest.raises(StageError, match="already"):
        take_back(wrong, by=owner, at=moment())


def test_weights_of_a_billet_are_those_of_all_its_knives(plan, knife):
    other = begun(plan)
    write(knife, "gas", 3.0)
    write(other, "knife", 0.15)
    assert last_of(other, "gas").value == 3.0
    assert last_of(knife, "knife") is None


def test_weights_of_another_billet_are_not(knife):
    other = begun(PlanFactory())
    write(knife, "bar", 0.7)
    assert last_of(other, "bar") is None


# --- what cannot be -----------------------------------------------------------------


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_nothing_on_the_scale_is_refused(knife, value):
    with pytest.raises(StageError) as told:
        write(knife, "stack", value)
    assert told.value.field == "stack"
    assert not Entry.objects.exists()


def test_nothing_is_weighed_before_the_work_has_begun():
    knife = KnifeFactory()
    assert kinds_of(knife) == ()
    with pytest.raises(StageError, match="begin the work"):
        write(knife, "knife", 0.1)


def test_knife_without_a_billet_has_only_its_own_mass():
    knife = OrderFactory(knives=1, accepted=True).knives.get()
    assert kinds_of(knife) == ("knife",)
    with pytest.raises(StageError):
        write(knife, "bar", 0.7)


def test_kind_nobody_knows_is_refused(knife):
    with pytest.raises(StageError):
        write(knife, "belts", 1.0)


# --- what looks wrong ---------------------------------------------------------------


def planned(knife):
    spec = plan_spec(knife.target.plan)
    return run_plan(plan_input(spec, shop_beliefs().factors))


def test_usual_weights_are_not_asked_about(knife):
    plan = planned(knife)
    assert reasons(
        knife, stack=plan.start_mass, bar=plan.bar_mass, gas=plan.gas,
        knife=forecast_mass(knife),
    ) == []  # fmt: skip


def test_bar_heavier_than_its_stack_is_asked_about(knife):
    [(field, said)] = reasons(knife, stack=planned(knife).start_mass, bar=5.0)
    assert field == "bar"
    assert "heavier than the steel stacked" in said


def test_bar_is_held_against_a_stack_written_before(knife):
    write(knife, "stack", 0.6)
    assert [field for field, _said in reasons(knife, bar=0.7)] == ["bar"]
    take_back(last_of(knife, "stack"), by=None, at=moment())
    assert reasons(knife, bar=0.7) == []


@pytest.mark.parametrize(("times", "asked"), [
    (0.49, True), (0.51, False), (1.99, False), (2.01, True),
])  # fmt: skip
def test_knife_twice_or_half_its_forecast_is_asked_about(knife, times, asked):
    found = reasons(knife, knife=times * forecast_mass(knife))
    assert bool(found) is asked


@pytest.mark.parametrize(("times", "asked"), [(3.99, False), (4.01, True)])
def test_gas_four_times_its_plan_is_asked_about(knife, times, asked):
    found = reasons(knife, gas=times * planned(knife).gas)
    assert bool(found) is asked


def test_stack_typed_in_grams_is_asked_about(knife):
    assert [field for field, _said in reasons(knife, stack=900.0)] == ["stack"]


def test_knife_that_can_no_longer_be_reckoned_asks_nothing(knife):
    knife.heel_thickness = 0.0001
    assert forecast_mass(knife) is None
    assert reasons(knife, knife=9.0) == []
