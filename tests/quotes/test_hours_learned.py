"""What hours at the bench taught: rates, the shop's page, the price."""

import math
from dataclasses import asdict
from decimal import Decimal

import pytest
from django.urls import reverse

from quotes.basis import basis_of, cost_sheet, kept_cost_sheet
from quotes.pricing import price_order, rates_on
from quotes.rates import shipped_rates
from quotes.wording import learned_from
from quotes.work.learned import learned_hours
from quotes.work.words import off_sentence
from shop import stages
from shop.learning import Bias, Forecast, forecast, prior, updated
from shop.models import Knife, Rate
from tests.factories import OrderFactory, PlanFactory
from tests.quotes.orders import ready_order, ready_shop, table_rows
from tests.quotes.worked import at, today, write
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    return OrderFactory(accepted=True)


@pytest.fixture
def shop():
    ready_shop()


def teach(order, *hours, row="hand_finish", stage="finish", driver=1.0):
    for one in hours:
        knife = at("delivered", order)
        write(knife, stage, row, one, driver=driver)


def test_learned_hours_are_the_cores_own(shop, order):
    teach(order, "3", "4", "5", driver=2.0)
    rates, _prices = rates_on(today())
    three = shipped_rates().hours("hand_finish")
    start = prior(float(three.mean), float(three.beta_variance), 3)
    seen = [math.log(hours / 2) for hours in (3, 4, 5)]
    assert rates.learned == {"hand_finish": forecast(updated(start, seen))}


def test_a_billet_learns_a_factor_around_its_plan(shop, order):
    plan = PlanFactory()
    knife = at("forge", order, plan)
    write(knife, "forge", "billet", "6", driver=4.0)
    Knife.objects.update(stage="delivered")
    rates, _prices = rates_on(today())
    learned = rates.learned["billet"]
    assert learned.count == 1
    assert 1.0 < learned.median < 1.5


def test_row_of_no_hours_stays_as_it_is(shop, order):
    for point in ("least", "likely", "most"):
        Rate.objects.filter(key=f"hours_sharpen_{point}").update(value=0)
    teach(order, "2", row="sharpen", stage="sharpen")
    rates, _prices = rates_on(today())
    assert learned_hours(rates) == {}


def test_price_follows_what_the_knives_taught(owner_client, shop, order):
    priced = ready_order()
    before = price_order(priced, today()).lines
    teach(order, "6", "7", "8")
    after = price_order(priced, today()).lines
    assert after.price.net > before.price.net
    made = next(one for one in after.hours if one.row == "hand_finish")
    assert made.count == 3
    page = owner_client.get(reverse("price", args=[priced.number]))
    sources = {row[0]: row[4] for row in table_rows(page) if len(row) == 5}
    assert sources["Hand finish and etch"] == "from 3 knives"
    assert sources["Handle"] == "from your three points: uncalibrated"


def test_what_was_learned_is_kept_with_a_price(shop, order):
    teach(order, "3", "4", "5")
    priced = price_order(ready_order(), today())
    kept = basis_of(priced)
    assert {
        row: Forecast(**one) for row, one in kept["rates"]["learned"].items()
    } == priced.rates.learned
    assert kept_cost_sheet(kept).hours == cost_sheet(priced.lines).hours
    for row in kept["cost"]["hours"]:
        row.pop("p80"), row.pop("count")
    old = kept_cost_sheet(kept).hours
    assert {one.p80 for one in old} == {None}


def test_hours_page_says_what_is_charged_and_from_how_many(owner_client, shop, order):
    teach(order, "6", "7", "8")
    write(at("delivered", order), "handle", "handle", "4", waiting=Decimal(20))
    page = owner_client.get(reverse("hours"))
    rows = {row[0]: row for row in table_rows(page) if len(row) == 6}
    finish, handle = rows["Hand finish and etch"], rows["Handle"]
    assert finish[5] == "from 3 knives"
    assert "Your three points are too low: knives took" in text_of(page)
    assert handle[5] == "from 1 knife: still uncalibrated"
    assert rows["Billet: stack, weld, draw, restack"][1] == "× 1.00"
    waiting = {row[0]: row[1:] for row in table_rows(page) if len(row) == 3}
    assert waiting["Handle"] == ["20 h", "from 1 knife: still uncalibrated"]
    assert waiting["Harden"][0] == "4 to 5 h to temper"


def test_hours_page_shows_every_row_before_the_first_knife(owner_client, shop):
    rows = table_rows(owner_client.get(reverse("hours")))
    assert len([row for row in rows if len(row) == 6]) == 1 + len(stages.HOURS_ROWS)


def test_hours_page_without_rates_says_what_to_do(owner_client):
    page = owner_client.get(reverse("hours"))
    assert page.status_code == 200
    assert "enter the shop's rates first" in text_of(page)


def test_rates_page_leads_to_what_was_taught(owner_client, shop):
    page = owner_client.get(reverse("rates")).content.decode()
    assert f'href="{reverse("hours")}"' in page


@pytest.mark.parametrize(
    ("mean", "billet", "said"),
    [
        (0.2, False, "too low: knives took 22 % more"),
        (-0.2, False, "too high: knives took 18 % less"),
        (0.2, True, "too little: billets took 22 % more"),
        (-0.2, True, "too much: billets took 18 % less"),
    ],
)
def test_flagged_bias_is_said_in_a_sentence(mean, billet, said):
    text = off_sentence(Bias(mean=mean, sd=0.1, count=9), billet=billet)
    assert said in text.replace("\u00a0", " ")


def test_bias_within_chance_is_said_so():
    assert off_sentence(None, billet=False) == ""
    even = Bias(mean=0.01, sd=0.3, count=9)
    said = off_sentence(even, billet=False)
    assert said == "Not off by more than chance would have it, so far."


@pytest.mark.parametrize(
    ("row", "count", "said"),
    [
        ("grind", 0, "from your three points: uncalibrated"),
        ("billet", 0, "from the plan: uncalibrated"),
        ("grind", 1, "from 1 knife: still uncalibrated"),
        ("grind", 2, "from 2 knives: still uncalibrated"),
        ("grind", 4, "from 4 knives"),
        ("billet", 3, "from 3 billets"),
    ],
)
def test_hours_say_what_they_are_from(row, count, said):
    assert learned_from(row, count) == said


def test_records_cost_the_price_one_query_a_kind(
    shop, order, django_assert_num_queries
):
    teach(order, "3")
    with django_assert_num_queries(4):  # rates, tax, shop, records
        rates_on(today())
    teach(order, *["3"] * 8)
    with django_assert_num_queries(4):
        rates_on(today())


def test_forecast_can_be_kept_as_plain_numbers(shop, order):
    teach(order, "3")
    rates, _prices = rates_on(today())
    assert all(isinstance(one, int | float)
               for one in asdict(rates.learned["hand_finish"]).values())  # fmt: skip
