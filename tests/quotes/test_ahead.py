"""Work ahead of a knife: what is left of accepted ones, and the week it is done in."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.management import call_command

from billets.template_files import load_templates
from quotes.errors import QuoteError
from quotes.floor.ahead import ahead_of, week_hours
from quotes.floor.answer import Asked, floor_price
from quotes.floor.words import ahead_text
from shop import stages
from shop.models import Knife, Rate
from shop.schedule import Workload, chance_within
from tests.factories import OrderFactory
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
    asked = Asked(family="santoku", pattern="layers", wanted=wanted)
    return ahead_of(floor_price(asked, today, "metric"), today)


def accepted(*places):
    """An accepted order with a knife at each stage."""
    order = OrderFactory(knives=len(places), accepted=True)
    for knife, stage in zip(order.knives.order_by("pk"), places, strict=True):
        Knife.objects.filter(pk=knife.pk).update(stage=stage)
    return order


def never_fails():
    Rate.objects.filter(key__startswith="success_").update(value=100)


def test_hours_left_are_those_of_the_stages_from_here_on(shop):
    """Law: with nothing failing, the sum of the means of the shop's three points:
    4.5, 2.1667, 5.5, 1.6667, 2.1667, 4.1667 and 1.6667 h, a grind 60 and 40 %."""
    never_fails()
    left = {"forge": 21.8333, "grind": 15.1667, "harden": 11.8667, "finish": 10.2,
            "handle": 5.8333, "sharpen": 1.6667}  # fmt: skip
    for stage, hours in left.items():
        order = accepted(stage)
        assert ahead().hours == pytest.approx(hours, abs=0.001)
        Knife.objects.filter(order=order).update(stage="delivered")


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
    found = floor_price(Asked(family="santoku", pattern="layers"), MONDAY, "metric")
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
    asked = Asked(family="santoku", pattern="layers")
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
