"""Hours written at the bench: what is refused, what is undone, what teaches."""

from decimal import Decimal

import pytest
from django.contrib.auth.models import User

from shop import services, stages, work
from shop.models import Knife, WorkRecord
from shop.stages import StageError
from shop.work import Done, Spent
from shop.written import take_back
from tests.factories import OrderFactory, PlanFactory, moment
from tests.quotes.worked import at, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    return OrderFactory(accepted=True)


def put(knife, stage):
    Knife.objects.filter(pk=knife.pk).update(stage=stage)


def scrap(knife):
    services.move_knife(
        knife, "scrapped", gate_passed=False, by=None, at=moment(), reason="a crack"
    )


# --- writing and taking back -------------------------------------------------------


def test_hours_are_kept_with_stage_driver_and_whoever_wrote_them(order, helper):
    knife = at("grind", order)
    spent = Spent(stage="grind", row="grind", hands_on=Decimal("2.5"),
                  waiting=Decimal(1), driver=1.25)  # fmt: skip
    (record,) = work.write_hours(knife, [spent], by=helper, at=moment())
    record.refresh_from_db()
    assert (record.hands_on, record.waiting) == (Decimal("2.50"), Decimal("1.00"))
    assert (record.driver, record.by.get_username()) == (1.25, "tongs")


REFUSED = {
    "negative": ({"hands_on": "-1"}, "hands_on"),
    "more than a day": ({"hands_on": "24.5"}, "hands_on"),
    "no number": ({"hands_on": "NaN"}, "hands_on"),
    "waiting below nothing": ({"waiting": Decimal(-1)}, "waiting"),
    "waiting for weeks": ({"waiting": Decimal(400)}, "waiting"),
    "nothing": ({"hands_on": "0"}, "hands_on"),
    "of another stage": ({"row": "handle"}, "row"),
    "ahead of the knife": ({"stage": "handle", "row": "handle"}, "stage"),
}


@pytest.mark.parametrize("name", list(REFUSED))
def test_what_makes_no_sense_is_refused_and_nothing_is_written(order, name):
    changes, field = REFUSED[name]
    told = {"stage": "grind", "row": "grind", "hands_on": "1", **changes}
    knife = at("grind", order)
    good = Spent(stage="forge", row="blade_forging", hands_on=Decimal(1))
    bad = Spent(**told | {"hands_on": Decimal(told["hands_on"])})
    with pytest.raises(StageError) as refused:
        work.write_hours(knife, [good, bad], by=None, at=moment())
    assert refused.value.field == field
    assert not WorkRecord.objects.exists()


def test_hours_taken_back_stay_written_and_do_not_count(order):
    knife = at("grind", order)
    record = write(knife, "grind", "grind")
    user = User.objects.create(username="ben")
    take_back(record, by=user, at=moment())
    record.refresh_from_db()
    assert record.taken_back_by == user
    assert work.hours_by_row(knife.work.all()) == {}
    with pytest.raises(StageError):
        take_back(record, by=user, at=moment())


def test_hours_of_a_row_add_up_in_the_order_of_the_bench(order):
    knife = at("finish", order)
    write(knife, "finish", "hand_finish")
    write(knife, "grind", "grind", "1.5")
    write(knife, "finish", "grind", "0.25", waiting=Decimal(3))
    sums = work.hours_by_row(knife.work.all())
    assert list(sums) == ["grind", "hand_finish"]
    assert sums["grind"].hands_on == Decimal("1.75")
    assert sums["grind"].waiting == Decimal(3)


# --- what teaches ------------------------------------------------------------------


def test_a_row_teaches_once_its_last_stage_is_left(order):
    """Grind is one row in two stages; it is done when the knife leaves the second."""
    knife = at("grind", order)
    write(knife, "grind", "grind", "3", driver=1.1)
    for stage in ("grind", "harden", "finish"):
        put(knife, stage)
        assert work.finished() == {}
    write(at("finish", order), "finish", "grind", "9")  # another knife, still at it
    write(knife, "grind", "grind", "1.5", driver=1.2)
    put(knife, "handle")
    assert work.finished() == {"grind": [Done(hours=4.5, driver=1.2)]}


@pytest.mark.parametrize("row", [one for one in stages.HOURS_ROWS if one != "billet"])
def test_every_row_of_a_delivered_knife_teaches(order, row):
    knife = at("delivered", order)
    stage = next(one.key for one in stages.STAGES if row in dict(one.hours))
    write(knife, stage, row)
    assert work.finished() == {row: [Done(hours=2.0, driver=1.0)]}


def test_scrapped_knife_teaches_only_what_it_had_finished(order):
    knife = at("grind", order)
    write(knife, "forge", "blade_forging", "1.5")
    write(knife, "grind", "grind", "3")
    scrap(knife)
    assert work.finished() == {"blade_forging": [Done(hours=1.5, driver=1.0)]}
    assert work.stages_so_far(knife) == ("forge", "grind")


def test_hours_of_waiting_alone_and_hours_taken_back_teach_nothing(order):
    knife = at("delivered", order)
    write(knife, "handle", "handle", "0", waiting=Decimal(24))
    take_back(write(knife, "handle", "handle"), by=None, at=moment())
    assert work.finished() == {}


def test_a_billet_is_one_job_however_many_knives_come_out_of_it(order):
    plan = PlanFactory()
    pair = [at("forge", order, plan) for _count in range(2)]
    write(pair[0], "forge", "billet", "3", driver=4.0)
    write(pair[1], "forge", "billet", "1.5", driver=4.1)
    put(pair[0], "grind")
    assert work.finished() == {}  # the other one is still at the forge
    put(pair[1], "grind")
    assert work.finished() == {"billet": [Done(hours=4.5, driver=4.1)]}


def test_a_billet_that_failed_teaches_nothing(order):
    knife = at("forge", order, PlanFactory())
    write(knife, "forge", "billet", driver=4.0)
    scrap(knife)
    assert work.finished() == {}


def test_a_billet_counts_if_one_of_its_knives_went_on(order):
    """Hours were written at the knife that was lost at the forge."""
    plan = PlanFactory()
    lost, good = (at("forge", order, plan) for _count in range(2))
    write(lost, "forge", "billet", driver=4.0)
    scrap(lost)
    put(good, "grind")
    at("", order, plan)  # one that is not begun waits for a bar that is there
    assert work.finished() == {"billet": [Done(hours=2.0, driver=4.0)]}


def test_waiting_is_told_apart_by_stage_and_knife(order):
    for hours in ("20", "24", "40"):
        write(at("handle", order), "handle", "handle", "1", waiting=Decimal(hours) / 2)
    knife = Knife.objects.last()
    write(knife, "handle", "handle", "1", waiting=Decimal(2))
    write(knife, "handle", "handle", "1")
    assert work.waited() == {"handle": (12.0, 3)}


def test_reading_takes_as_many_queries_for_many_knives(
    order, django_assert_max_num_queries
):
    plan = PlanFactory()
    for _count in range(6):
        knife = at("delivered", order, None)
        write(knife, "grind", "grind")
    with django_assert_max_num_queries(1):
        work.finished()
    for stage in ("forge", "grind", "delivered"):
        knife = at("forge", order, plan)
        write(knife, "forge", "billet")
        put(knife, stage)
    scrap(at("grind", order))
    with django_assert_max_num_queries(2):
        work.finished()
