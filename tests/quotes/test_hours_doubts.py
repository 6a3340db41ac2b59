"""Hours that look wrong are asked about once, and scattered ones are not charged."""

import math
from decimal import Decimal

import pytest
from django.urls import reverse

from quotes.pricing import rates_on
from quotes.rates import shipped_rates
from quotes.work.doubts import doubts, usual_of
from shop.learning import MOST_SCATTER, forecast, prior, updated
from shop.models import Knife, WorkRecord
from shop.work import Spent
from tests.factories import OrderFactory, PlanFactory
from tests.quotes.orders import ready_shop, table_rows
from tests.quotes.worked import at, today, write
from tests.shop.typing_in import errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    return OrderFactory(accepted=True)


def asked(knife, hours, row="harden", stage="harden", **more):
    spent = Spent(stage=stage, row=row, hands_on=Decimal(hours), **more)
    return [one.field for one in doubts(knife, [spent], today())]


# Shipped three points of hardening: 1, 1.5, 3 h. Asked from 2 x 3 and from 1/4 on.
@pytest.mark.parametrize(
    ("hours", "is_asked"),
    [("0.24", True), ("0.25", False), ("6", False), ("6.01", True)],
)
def test_few_knives_are_held_against_the_three_points(order, hours, is_asked):
    assert bool(asked(at("finish", order), hours)) is is_asked


def test_bounds_go_with_the_size_of_the_knife(order):
    knife = at("finish", order)
    assert asked(knife, "7") == ["harden"]
    assert asked(knife, "7", driver=2.0) == []
    assert asked(knife, "0.3", driver=2.0) == ["harden"]


def test_billet_is_held_against_its_plan(order):
    """Shipped points 2, 4, 9 h, mean 4.5: of a plan of 9 h from 1 to 36 h."""
    usual = usual_of(shipped_rates(), "billet", 9.0)
    assert (usual.expected, usual.low, usual.high) == pytest.approx((9, 1, 36))


def test_three_knives_take_the_place_of_the_three_points(order):
    ready_shop()
    for _count in range(3):
        write(at("delivered", order), "harden", "harden", "1")
    known = rates_on(today())[0].learned["harden"].mean
    knife = at("finish", order)
    assert asked(knife, f"{4 * known + 0.05:.2f}") == ["harden"]
    assert asked(knife, f"{4 * known - 0.05:.2f}") == []
    assert asked(knife, f"{known / 4 - 0.02:.2f}") == ["harden"]


def test_hours_of_a_row_in_hand_may_be_the_beginning(order):
    knife = at("harden", order)
    assert asked(knife, "0.05") == ["harden"]
    assert asked(knife, "0.25", driver=4.0) == []
    assert asked(at("finish", order), "0.25", driver=4.0) == ["harden"]


def test_hours_written_before_are_counted_in(order):
    knife = at("finish", order)
    write(knife, "harden", "harden", "4")
    assert asked(knife, "1") == []
    assert asked(knife, "3") == ["harden"]
    assert asked(knife, "3", again=True) == []
    assert asked(knife, "7", again=True) == ["harden"]


def test_waiting_and_jobs_of_no_size_ask_nothing(order):
    knife = at("finish", order)
    assert asked(knife, "0", waiting=Decimal(99)) == []
    assert asked(knife, "9", driver=0.001) == []


def test_billet_counts_what_its_other_knives_say(order):
    plan = PlanFactory()
    one, other = (at("forge", order, plan) for _count in range(2))
    write(one, "forge", "billet", "8", driver=4.5)
    assert asked(other, "9", "billet", "forge", driver=4.5) == []
    assert asked(other, "11", "billet", "forge", driver=4.5) == ["billet"]
    Knife.objects.filter(pk=one.pk).update(stage="scrapped")
    assert asked(other, "11", "billet", "forge", driver=4.5) == []


# --- the page ----------------------------------------------------------------------


def send(client, knife, **boxes):
    page = client.get(knife.get_absolute_url())
    data = {"form_key": key_on(page), **boxes}
    return client.post(reverse("knife-hours", args=[knife.serial]), data)


def test_odd_hours_are_asked_about_once_and_kept_if_meant(helper_client, order):
    knife = at("finish", order)
    sent = {"harden_harden_exact": "15"}
    answer = send(helper_client, knife, **sent)
    said = errors_on(answer, "hours_harden_harden_exact")
    assert "comes to 15 h; about 1.67 h are expected" in said
    assert 'value="15"' in answer.content.decode()
    assert not WorkRecord.objects.exists()
    was = answer.context["hours"].asks
    other = {"harden_harden_exact": "16", "keep": "on", "asked": was}
    assert send(helper_client, knife, **other).status_code == 200
    assert not WorkRecord.objects.exists()
    kept = send(helper_client, knife, **sent, keep="on", asked=was)
    assert kept.status_code == 302
    assert WorkRecord.objects.get().hands_on == 15


def test_a_tick_says_that_work_was_done_again(helper_client, order):
    knife = at("grind", order)
    sent = {"grind_grind_ticks": "2", "grind_grind_again": "on"}
    assert send(helper_client, knife, **sent).status_code == 302
    assert WorkRecord.objects.get().again
    page = helper_client.get(knife.get_absolute_url())
    assert "2 h hands on; done again" in text_of(page).replace("\u00a0", " ")
    send(helper_client, knife, grind_grind_ticks="1")
    assert not WorkRecord.objects.last().again


# --- hours that scatter too much ---------------------------------------------------


def test_forecast_is_scattered_where_its_mean_is_far_above_its_median():
    """Textbook: the mean of a lognormal is exp(variance/2) medians."""
    start = prior(2.0, 0.2, 3)
    calm = forecast(updated(start, [math.log(2.0)] * 3))
    wild = forecast(updated(start, [math.log(24.0), math.log(0.02), math.log(20.0)]))
    assert not calm.scattered
    assert wild.mean > MOST_SCATTER * wild.median
    assert wild.scattered


def test_scattered_hours_are_not_charged_and_the_page_says_so(owner_client, order):
    ready_shop()
    knives = [at("delivered", order) for _count in range(4)]
    for knife, hours in zip(knives, ("24", "0.02", "20", "1.5"), strict=True):
        write(knife, "harden", "harden", hours)
    rates, _prices = rates_on(today())
    assert "harden" not in rates.learned
    page = owner_client.get(reverse("hours"))
    said = text_of(page)
    assert "Your hours scatter too much to be used: look at those of" in said
    assert f"{knives[1].serial}, {knives[0].serial}." in said
    row = next(row for row in table_rows(page) if row[0].startswith("Harden"))
    assert row[1].startswith("1")
