"""Work done a second time: suggested, shown, counted as taken, and teaching nothing."""

from decimal import Decimal

import pytest

from shop import services, work
from shop.forms.work import HoursForm
from shop.models import Knife
from shop.work import Done
from shop.work_again import done_before
from shop.work_words import work_context
from tests.factories import KnifeFactory, OrderFactory, PlanFactory, moment
from tests.quotes.worked import at, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    return OrderFactory(accepted=True)


@pytest.fixture
def plan():
    return PlanFactory()


def begin(order, plan=None):
    """A knife at the forge, with its history."""
    knife = KnifeFactory(order=order)
    if plan:
        services.assign_plan(knife, plan)
    services._write_event(knife, "forge", by=None, at=moment())
    return Knife.objects.get(pk=knife.pk)


def move(knife, to):
    services.move_knife(
        knife, to, gate_passed=True, by=None, at=moment(), reason="a crack"
    )


def back(knife, to):
    services.correct_move(knife, to, reason="a weld opened", by=None, at=moment())


def taught():
    return work.finished().get("billet", [])


# --- rows of a knife ---------------------------------------------------------------


def test_hours_done_again_count_as_taken_and_teach_nothing(order):
    knife = at("delivered", order)
    write(knife, "harden", "harden", "2", driver=1.5)
    write(knife, "harden", "harden", "3", driver=9.0, again=True)
    assert work.finished() == {"harden": [Done(hours=2.0, driver=1.5)]}
    assert work.hours_by_row(knife.work.all())["harden"].hands_on == 5
    said = [one.text for one in work_context(knife)["records"]]
    assert said == ["3\u00a0h hands on; done again", "2\u00a0h hands on"]


def test_waiting_done_again_is_no_usual_waiting(order):
    knife = at("delivered", order)
    write(knife, "harden", "harden", "1", waiting=Decimal(4))
    write(knife, "harden", "harden", "1", waiting=Decimal(5), again=True)
    assert work.waited() == {"harden": (4.0, 1)}


def test_nothing_is_suggested_of_a_knife_that_went_straight_on(order, plan):
    knife = begin(order, plan)
    write(knife, "forge", "billet")
    move(knife, "grind")
    assert done_before(knife) == {}
    form = HoursForm(knife=knife)
    assert not any(form[name].initial for name in form.fields if "again" in name)


def test_rows_worked_before_a_move_back_are_suggested(order):
    knife = begin(order)
    write(knife, "forge", "blade_forging")
    for to in ("grind", "harden"):
        move(knife, to)
    write(knife, "harden", "harden")
    back(knife, "grind")
    assert set(done_before(knife)) == {("harden", "harden")}
    move(knife, "harden")
    form = HoursForm(knife=knife)
    assert form["harden_harden_again"].initial
    assert "moved back" in form["harden_harden_again"].help_text
    assert not form["grind_grind_again"].initial  # none were written of it before


def test_hours_taken_back_were_not_worked_before(order):
    knife = begin(order)
    services_record = write(knife, "forge", "blade_forging")
    move(knife, "grind")
    back(knife, "forge")
    assert done_before(knife)
    services_record.taken_back = moment()
    services_record.save()
    assert done_before(knife) == {}


# --- the billet --------------------------------------------------------------------


def test_billet_is_suggested_after_a_knife_of_it_was_scrapped(order, plan):
    first = begin(order, plan)
    sibling = begin(order, plan)
    write(first, "forge", "billet")
    move(first, "scrapped")
    second = begin(order, plan)
    assert list(done_before(second)) == [("forge", "billet")]
    assert first.serial in done_before(second)["forge", "billet"]
    assert done_before(sibling) == {}  # it comes from the bar that is there
    assert done_before(begin(order, PlanFactory())) == {}


def test_billet_nobody_wrote_hours_of_is_not_made_again(order, plan):
    move(begin(order, plan), "scrapped")
    assert done_before(begin(order, plan)) == {}


def test_billet_made_twice_teaches_the_later_one_only(order, plan):
    first = begin(order, plan)
    write(first, "forge", "billet", "3", driver=4.0)
    for to in ("grind", "scrapped"):
        move(first, to)
    assert taught() == [Done(hours=3.0, driver=4.0)]
    second = begin(order, plan)
    write(second, "forge", "billet", "5", driver=4.0)
    assert taught() == []  # the second is still at the forge
    move(second, "grind")
    assert taught() == [Done(hours=5.0, driver=4.0)]


def test_billet_ticked_as_done_again_leaves_the_first_whole_one(order, plan):
    first = begin(order, plan)
    write(first, "forge", "billet", "3", driver=4.0)
    for to in ("grind", "scrapped"):
        move(first, to)
    second = begin(order, plan)
    write(second, "forge", "billet", "5", driver=4.0, again=True)
    move(second, "grind")
    assert taught() == [Done(hours=3.0, driver=4.0)]


def test_billet_that_never_left_the_forge_is_left_out(order, plan):
    first = begin(order, plan)
    write(first, "forge", "billet", "1", driver=4.0)
    move(first, "scrapped")
    second = begin(order, plan)
    write(second, "forge", "billet", "5", driver=4.0, again=True)
    move(second, "grind")
    assert taught() == []


def test_knife_scrapped_beside_another_from_one_bar_keeps_its_hours(order, plan):
    first, sibling = begin(order, plan), begin(order, plan)
    write(first, "forge", "billet", "3", driver=4.0)
    move(first, "scrapped")
    move(sibling, "grind")
    assert taught() == [Done(hours=3.0, driver=4.0)]


# --- jobs too small to teach -------------------------------------------------------


@pytest.mark.parametrize(
    ("driver", "teaches"), [(0.0, False), (0.019, False), (0.02, True)]
)
def test_a_driver_near_nothing_teaches_nothing(order, driver, teaches):
    write(at("delivered", order), "harden", "harden", "2", driver=driver)
    assert bool(work.finished()) is teaches


def test_a_billet_of_minutes_teaches_nothing(order, plan):
    write(at("forge", order, plan), "forge", "billet", "2", driver=0.05)
    Knife.objects.update(stage="delivered")
    assert work.finished() == {}
