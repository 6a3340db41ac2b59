"""The page of a price: every line checked by hand, and a way out of what lacks."""

import datetime as dt
import re
from decimal import ROUND_HALF_UP, Decimal

import pytest
from django.utils import timezone

from billets.models import PlanBar
from shop import services
from shop.models import Rate, Shop, TaxSetting
from tests.factories import KnifeFactory, OrderFactory, PlanFactory
from tests.quotes.orders import (
    LONG_AGO,
    address,
    drafted,
    number_in,
    ready_order,
    ready_shop,
    table_rows,
)
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    ready_shop()


def price_of(client, order):
    answer = client.get(address("price", order))
    assert answer.status_code == 200
    return answer


# --- a price ----------------------------------------------------------------------


def test_every_printed_quantity_times_its_rate_is_its_amount(owner_client, shop):
    """Law: a bill is read with a pocket calculator, halves up at each line."""
    rows = table_rows(price_of(owner_client, ready_order("One", "Other")))
    lines = [row for row in rows if len(row) == 4 and row[1] and "%" not in row[1]]
    counted = [row for row in lines if row[1][:1].isdigit()]
    assert len(counted) > 15
    for _label, quantity, rate, amount in counted:
        exact = number_in(quantity) * number_in(rate)
        assert exact.quantize(Decimal("0.01"), ROUND_HALF_UP) == number_in(amount)


def test_printed_lines_add_up_to_the_price(owner_client, shop):
    answer = price_of(owner_client, ready_order())
    by_label = {row[0]: row for row in table_rows(answer) if row}
    lines = [row for row in table_rows(answer) if len(row) == 4][1:]
    amounts = [number_in(row[3]) for row in lines if "%" not in row[1]]
    direct = number_in(by_label["Direct cost, if nothing fails"][1])
    risk = by_label["Risk of failure, share of the direct cost"]
    assert sum(amounts) == direct
    assert number_in(risk[3]) == (direct * number_in(risk[1]) / 100).quantize(
        Decimal("0.01"), ROUND_HALF_UP
    )
    cost = number_in(by_label["Cost"][1])
    assert cost == direct + number_in(risk[3])
    net = number_in(by_label["Net price"][1])
    assert net == cost + number_in(by_label["Margin"][1])
    tax = number_in(by_label["Tax, 19 % of the net price"][1])
    assert number_in(by_label["Price"][1]) == net + tax


def test_prices_of_knives_add_up(owner_client, shop):
    answer = price_of(owner_client, ready_order("One", "Other", "Third"))
    rows = [row for row in table_rows(answer) if len(row) == 3]
    knives, together = rows[1:4], rows[4]
    for column in (1, 2):
        assert sum(number_in(row[column]) for row in knives) == number_in(
            together[column]
        )


def test_page_says_what_the_risk_means_and_where_rates_come_from(owner_client, shop):
    text = text_of(price_of(owner_client, ready_order()))
    assert "One knife in about" in text
    assert "has to be started again or repaired; this is its share." in text
    assert "Uncalibrated" in text
    assert "the newest counts from 1 Mar 2021" in text
    assert "The tax setting counts from 1 Mar 2021" in text


def test_rates_still_shipped_are_counted(owner_client):
    ready_shop()
    Rate.objects.filter(key="labour").update(valid_from=dt.date(2026, 1, 1))
    Rate.objects.create(key="gas", value=Decimal("3.7"), valid_from=dt.date(2021, 4, 2))
    order = ready_order()
    assert "One of them is still the value shipped" in text_of(
        price_of(owner_client, order)
    )


def test_hours_are_shown_to_the_quarter_hour(owner_client, shop):
    rows = table_rows(price_of(owner_client, ready_order()))
    hours = [row[1] for row in rows if len(row) == 5 and row[1].endswith(" h")]
    assert len(hours) == 8
    assert all(number_in(one) % Decimal("0.25") == 0 for one in hours)


def test_short_billet_is_told_before_anything_is_promised(owner_client, shop):
    order = ready_order("One", "Other", "Third", plan=PlanFactory(length=0.09))
    drafted(order)
    for name in ("price", "quote-new"):
        text = text_of(owner_client.get(address(name, order)))
        assert "Short by" in text
        assert "Fit the stack again before you promise a price." in text


def test_money_is_written_in_the_language_of_the_shop(owner_client, shop):
    order = ready_order()
    english = price_of(owner_client, order).context["price"].whole.gross
    Shop.objects.filter(pk=1).update(language="de")
    german = f"{english:,.2f}".replace(",", "x").replace(".", ",").replace("x", ".")
    assert f"{german} €" in text_of(price_of(owner_client, order)).replace(
        "\u00a0", " "
    )


def test_deposit_below_what_is_sunk_is_told_with_its_currency(owner_client, shop):
    Rate.objects.filter(key="deposit").update(value=Decimal(5))
    text = text_of(price_of(owner_client, ready_order()))
    assert re.search(
        r"The deposit of €[\d.]+ before tax is less than the €[\d.]+", text
    )


# --- what is missing ---------------------------------------------------------------


def lacks_of(answer):
    return [(lack.text, lack.url) for lack in answer.context["lacks"]]


def test_everything_that_is_missing_is_told_at_once(owner_client):
    order = OrderFactory(knives=1)
    knife = order.knives.get()
    found = lacks_of(price_of(owner_client, order))
    assert found[0] == (
        f"{knife} has no billet yet; plan one first.",
        knife.get_absolute_url(),
    )
    assert ("Say how the shop is taxed before it makes a price.", "/shop/") in found
    assert found[2][0].startswith("No rates are in force on")
    assert found[2][1] == "/shop/rates/"


def test_order_without_a_knife_leads_to_the_order(owner_client, shop):
    order = OrderFactory()
    found = lacks_of(price_of(owner_client, order))
    assert found == [("There is no knife to price.", order.get_absolute_url())]


def test_billet_that_cannot_be_forged_leads_to_it(owner_client, shop):
    order = ready_order()
    plan = order.knives.get().target.plan
    PlanBar.objects.filter(plan=plan, letter="B").delete()
    ((sentence, url),) = lacks_of(price_of(owner_client, order))
    assert sentence.startswith("The letter B stands for no bar")
    assert url == plan.get_absolute_url()


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("margin", "100", "must stay below 100 %, or there is no price."),
        ("success_forge", "0", "must be above zero."),
    ],
)
def test_rate_no_price_can_be_made_with_leads_to_the_rates(
    owner_client, shop, key, value, said
):
    Rate.objects.filter(key=key).update(value=Decimal(value))
    ((sentence, url),) = lacks_of(price_of(owner_client, ready_order()))
    assert said in sentence
    assert url == "/shop/rates/"


def test_missing_rate_and_missing_steel_price_lead_to_the_rates(owner_client, shop):
    order = ready_order()
    Rate.objects.filter(key="steel.pale").delete()
    ((sentence, url),) = lacks_of(price_of(owner_client, order))
    assert sentence == "Pale steel has no price a kilogram; enter one with the steel."
    assert url == "/shop/rates/"
    Rate.objects.filter(key="gas").delete()
    Rate.objects.create(key="steel.pale", value=Decimal(7), valid_from=LONG_AGO)
    ((sentence, _url),) = lacks_of(price_of(owner_client, order))
    assert sentence == "The rate Propane is missing; enter it on the page of rates."


def test_tax_setting_that_begins_tomorrow_is_none_yet(owner_client, shop):
    TaxSetting.objects.update(valid_from=timezone.localdate() + dt.timedelta(days=1))
    ((sentence, _url),) = lacks_of(price_of(owner_client, ready_order()))
    assert sentence == "Say how the shop is taxed before it makes a price."


def test_knife_of_another_order_pays_its_part_of_the_billet(owner_client, shop):
    """Law: what two orders pay for one billet's steel is what it costs."""
    plan = PlanFactory(length=0.3)
    alone = ready_order(plan=plan)
    steel = [
        line.amount
        for line in price_of(owner_client, alone).context["priced"].lines.lines
        if line.key == "steel"
    ]
    other = OrderFactory()
    services.assign_plan(KnifeFactory(order=other), plan)
    shared = [
        line.amount
        for order in (alone, other)
        for line in price_of(owner_client, order).context["priced"].lines.lines
        if line.key == "steel"
    ]
    assert abs(sum(shared) - sum(steel)) <= Decimal("0.02")


def test_knife_whose_customer_said_no_pays_for_nothing(owner_client, shop):
    plan = PlanFactory(length=0.3)
    order, other = ready_order(plan=plan), OrderFactory()
    alone = price_of(owner_client, order).context["priced"].lines.direct
    services.assign_plan(KnifeFactory(order=other), plan)
    shared = price_of(owner_client, order).context["priced"].lines.direct
    services.change_state(other, "declined")
    left_over = price_of(owner_client, order).context["priced"].lines.direct
    assert shared < alone
    assert left_over == alone


def test_helper_is_told_that_prices_are_the_owners(helper_client, shop):
    answer = helper_client.get(address("price", ready_order()))
    assert answer.status_code == 403
    assert "kept to whoever runs the shop" in text_of(answer)
