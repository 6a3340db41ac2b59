"""Work ahead of a knife: what is left of accepted ones, and the week it is done in."""

import datetime as dt
import math
from decimal import Decimal

import pytest
from django.core.management import call_command

from billets.template_files import load_templates
from quotes.drivers import driver
from quotes.errors import QuoteError
from quotes.floor.ahead import ahead_of, job_of, week_hours
from quotes.floor.answer import Call, floor_price
from quotes.floor.words import ahead_text
from quotes.hours import usual_hours
from shop import stages
from shop.learning import forecast, prior, updated
from shop.models import Knife, Rate
from shop.schedule import Workload, chance_within
from tests.factories import KnifeFactory, OrderFactory
from tests.quotes.orders import ready_shop

pytestmark = pytest.mark.django_db

MONDAY = dt.date(2026, 3, 2)
WEEK = dt.timedelta(weeks=1)


@pytest.fixture
def shop():
    call_command("load_steels", verbosity=0)
    load_templates()
    ready_shop()


def ahead(today=MONDAY, wanted=None):
    asked = Call(family="santoku", pattern="layers", wanted=wanted)
    return ahead_of(floor_price(asked, today, "metric"), today)


def accepted(*places):
    """An accepted order with a knife at each stage."""
    order = OrderFactory(knives=len(places), accepted=True)
    for knife, stage in zip(order.knives.order_by("pk"), places, strict=True):
        Knife.objects.filter(pk=knife.pk).update(stage=stage)
    return order


def found_rates():
    asked = Call(family="santoku", pattern="layers")
    return floor_price(asked, MONDAY, "metric").rates


def knives_are_usual():
    """The knives the factory makes are those the shop's hours are told for."""
    job = job_of(KnifeFactory())
    for key, value in {"area": job.area, "blank": job.blank * 1000,
                       "ground": job.ground * 1000}.items():  # fmt: skip
        Rate.objects.filter(key=f"usual_{key}").update(value=value)


def never_fails():
    Rate.objects.filter(key__startswith="success_").update(value=100)


def test_hours_left_are_those_of_the_stages_from_here_on(shop):
    """Law: with nothing failing, the sum of the means of the shop's three points:
    4.5, 2.1667, 5.5, 1.6667, 2.1667, 4.1667 and 1.6667 h, a grind 60 and 40 %."""
    never_fails()
    knives_are_usual()
    left = {"forge": 21.8333, "grind": 15.1667, "harden": 11.8667, "finish": 10.2,
            "handle": 5.8333, "sharpen": 1.6667}  # fmt: skip
    for stage, hours in left.items():
        order = accepted(stage)
        assert ahead().hours == pytest.approx(hours, abs=0.001)
        Knife.objects.filter(order=order).update(stage="delivered")


@pytest.mark.parametrize("stage", ["forge", "finish", "sharpen"])
def test_a_knife_ahead_has_the_hours_of_its_size(shop, stage):
    """Law: what is left is the sum of its rows, each with the driver of this knife."""
    never_fails()
    order = accepted(stage)
    long = Knife.objects.get(order=order)
    long.length = 0.30
    long.save()
    rates = found_rates()
    rows = {row: usual_hours(rates, row) * driver(row, rates, job_of(long))
            for row in stages.HOURS_ROWS}  # fmt: skip
    left = list(stages.hours_by_stage(rows).items())
    place = [key for key, _hours in left].index(stage)
    hours = ahead().hours
    assert hours == pytest.approx(float(sum(one for _key, one in left[place:])))
    if stage != "sharpen":  # packing knows no size
        Knife.objects.filter(pk=long.pk).update(length=0.15)
        assert ahead().hours < hours


def test_a_knife_that_cannot_be_reckoned_counts_as_a_usual_one(shop):
    order = accepted("finish")
    Knife.objects.filter(order=order).update(length=9.0)
    assert 0 < ahead().hours < 20


def test_rows_that_knives_have_taught_scatter_as_they_taught(shop, monkeypatch):
    never_fails()
    accepted("sharpen")
    before = ahead().needed
    steady = forecast(updated(prior(1.6667, 0.01, 5), [math.log(1.6667)] * 40))
    monkeypatch.setattr("quotes.pricing.learned_hours", lambda _r: {"sharpen": steady})
    after = ahead().needed
    assert after.mean == pytest.approx(before.mean, rel=0.01)
    assert after.spread < before.spread


def test_failures_make_what_is_left_longer(shop):
    accepted("forge")
    hours = ahead().hours
    never_fails()
    assert hours > ahead().hours


def test_only_accepted_knives_at_the_bench_are_ahead(shop):
    OrderFactory(knives=2)
    accepted("delivered", "scrapped")
    assert (ahead().hours, ahead().knives) == (0.0, 0)
    accepted("handle", "forge")
    assert ahead().knives == 2


def test_a_week_has_the_paid_hours_of_the_shops_hour(shop):
    Rate.objects.filter(key="year_week_hours").update(value=Decimal(45))
    Rate.objects.filter(key="year_billable").update(value=Decimal(40))
    assert week_hours(MONDAY) == 18
    assert ahead().week_hours == 18.0


def test_who_has_not_said_the_hours_of_a_week_is_asked(shop):
    Rate.objects.filter(key="year_billable").delete()
    with pytest.raises(QuoteError, match="hours a week") as refused:
        ahead()
    assert refused.value.field == "year_week_hours"


def test_chance_is_that_of_the_time_up_to_the_end_of_the_wanted_week(shop):
    accepted("forge", "forge")
    one = ahead(wanted=MONDAY + 2 * WEEK)
    found = floor_price(Call(family="santoku", pattern="layers"), MONDAY, "metric")
    needed = one.needed
    load = Workload(
        hours=one.hours + float(found.hours), week=24.0, week_spread=5.0,
        hours_spread=(needed.spread**2 * 24**2 - 25 * needed.mean) ** 0.5,
    )  # fmt: skip
    assert one.chance == pytest.approx(chance_within(load, 3))


@pytest.mark.parametrize("today", [MONDAY, MONDAY + dt.timedelta(days=5)])
def test_first_week_named_is_the_first_with_four_chances_in_five(shop, today):
    accepted("forge", "grind", "forge")
    first = ahead(today).first
    assert first.weekday() == 0
    assert ahead(today, wanted=first).chance >= 0.8
    assert ahead(today, wanted=first - WEEK).chance < 0.8


def test_a_week_that_is_nearly_over_gives_less_time(shop):
    early, late = ahead(MONDAY, MONDAY), ahead(MONDAY + dt.timedelta(days=6), MONDAY)
    assert early.chance > late.chance


def test_number_of_queries_does_not_grow_with_the_work(shop, django_assert_num_queries):
    asked = Call(family="santoku", pattern="layers")
    found = floor_price(asked, MONDAY, "metric")
    for _more in range(3):
        accepted(*stages.bench())
        with django_assert_num_queries(2):
            ahead_of(found, MONDAY)


def test_sentence_says_hours_chance_week_and_that_it_is_a_guess(shop):
    accepted("forge", "sharpen")
    one = ahead(wanted=MONDAY + 9 * WEEK)
    hours, said = f"{one.hours:.0f}\u00a0h", ahead_text(one)
    assert said.startswith(f"About {hours} of accepted work, 2 knives, are ahead")
    assert "The chance to be done by the wanted week is more than 99\u00a0%." in said
    assert "The first week with 80\u00a0% is week 12, Monday 16 March 2026" in said
    assert said.endswith("a rough guess: holidays and leave are not in it.")


def test_sentence_of_a_shop_with_nothing_to_do(shop):
    said = ahead_text(ahead(wanted=MONDAY))
    assert said.startswith("No accepted work is ahead of it.")
    assert "wanted week is about" in said or "is less than" in said
