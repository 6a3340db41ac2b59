"""What an order may cost, on the page of its price: the owner's, and nobody else's."""

import re
from dataclasses import replace
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.basis import basis_of
from quotes.pricing import price_order
from quotes.risks.of_price import kept_risk, risk_on
from quotes.risks.words import risk_words
from quotes.terms.offering import offered_on
from shop.models import Rate
from tests.quotes.orders import (
    address,
    issue,
    number_in,
    ready_order,
    ready_shop,
    table_rows,
)
from tests.quotes.test_risk_chance import LEARNED
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db

NAMES = {
    "mean": "Expected: the cost in the price",
    "p50": "One time in two not more than",
    "p80": "Four times in five not more than",
    "p90": "Nine times in ten not more than",
}


@pytest.fixture
def order():
    ready_shop()
    return ready_order("One", "Other")


def priced(order):
    return price_order(order, timezone.localdate())


def page_of(client, order):
    answer = client.get(address("price", order))
    assert answer.status_code == 200
    return answer


def shown(answer):
    """The rows of the table by what they are called: cost and what is left."""
    rows = {row[0]: row for row in table_rows(answer) if row}
    return {key: (number_in(rows[name][1]), _signed(rows[name][2]))
            for key, name in NAMES.items()}  # fmt: skip


def _signed(text):
    return -number_in(text.lstrip("-−")) if text[0] in "-−" else number_in(text)


def say(order, less=0):
    """The words for an order asked for less than it is."""
    made = priced(order)
    asked = offered_on(made)
    return risk_words(made, replace(asked, left=asked.left - less), "metric")


# --- the page -----------------------------------------------------------------------


def test_page_shows_what_the_core_reckons(owner_client, order):
    rows = shown(page_of(owner_client, order))
    made = priced(order)
    found = risk_on(made, made.lines.price.net)
    assert rows["mean"][0] == made.lines.price.cost
    assert rows["p50"] == (found.cost.p50, found.left50)
    assert rows["p80"] == (found.cost.p80, found.left20)
    assert rows["p90"] == (found.cost.p90, found.left10)


def test_cost_and_what_is_left_add_up_to_the_net_price_in_every_row(
    owner_client, order
):
    """Law, to the cent."""
    rows = shown(page_of(owner_client, order))
    assert len({cost + left for cost, left in rows.values()}) == 1
    costs = [rows[key][0] for key in ("p50", "p80", "p90")]
    assert costs == sorted(costs)


def test_expected_cost_is_near_the_mean_of_the_draws(order):
    """The price carries the gas as planned; that of the draws is a little more."""
    made = priced(order)
    mean, cost = risk_on(made, made.lines.price.net).cost.mean, made.lines.price.cost
    assert cost <= mean <= cost * Decimal("1.02")


def test_page_says_the_chance_of_a_loss_hours_and_where_they_come_from(
    owner_client, order
):
    text = text_of(page_of(owner_client, order)).replace("\xa0", " ")
    assert re.search(r"Chance that the knives cost more than they bring: \d+ %\.", text)
    assert re.search(r"\d+ h nine times in ten\.", text)
    assert "4,000 orders like this one" in text
    assert "uncalibrated (from no knife yet)" in text


def test_page_names_the_three_largest_causes(owner_client, order):
    words = page_of(owner_client, order).context["risk"]
    assert len(words.causes) == 3
    shares = [int(re.search(r"(\d+)\xa0%", one)[1]) for one in words.causes]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) <= 100
    assert any(one.startswith("Failures") for one in words.causes)


def test_picture_marks_price_and_floor_and_says_so_in_words(owner_client, order):
    drawn = page_of(owner_client, order).context["risk"].chart
    price = priced(order).lines.price
    for amount in (price.net, price.cost):
        assert f"€{amount:,}" in drawn
    label = re.search(r'aria-label="([^"]*)"', drawn)[1]
    assert "the floor before tax, which is the cost with failures" in label
    assert f"is €{price.cost:,}, the net price €{price.net:,}." in label
    assert "style=" not in drawn


def test_the_same_page_comes_again(owner_client, order):
    one, other = (page_of(owner_client, order).context["risk"] for _ in range(2))
    assert one == other


# --- terms and rates ----------------------------------------------------------------


def test_a_lower_price_leaves_less_and_loses_more(order):
    usual, less = say(order), say(order, less=200)
    assert [row.cost for row in usual.rows] == [row.cost for row in less.rows]
    assert number_in(usual.rows[1].left) - number_in(less.rows[1].left) == 200
    assert int(re.search(r"\d+", usual.loss)[0]) < int(re.search(r"\d+", less.loss)[0])


def test_a_knife_that_never_fails_is_surer(order):
    before = risk_on(priced(order), Decimal(2000))
    Rate.objects.filter(key__startswith="success_").update(value=Decimal(100))
    after = risk_on(priced(order), Decimal(2000))
    assert after.cost.p90 - after.cost.p50 < before.cost.p90 - before.cost.p50
    failures = next(one for one in after.causes if one.key == "failures")
    assert failures.share == pytest.approx(0)


def test_what_cannot_be_reckoned_is_said_beside_the_price(owner_client, order):
    """A price there is; only its risk is refused, with the place to mend it."""
    Rate.objects.filter(key="success_forge").update(value=Decimal("0.1"))
    answer = page_of(owner_client, order)
    text = text_of(answer)
    assert "look at how often a stage goes well" in text
    assert "Chance that the knives" not in text
    assert not answer.context["risk"].rows
    assert kept_risk(priced(order)) is None


def test_a_missing_rate_is_named(owner_client, order):
    Rate.objects.filter(key="week_spread").delete()
    assert "How far a good week is from a bad one" in text_of(
        page_of(owner_client, order)
    )


# --- what is kept, and who sees it ----------------------------------------------------


def test_a_quote_keeps_what_it_risked(order):
    kept = basis_of(priced(order))["risk"]
    found = risk_on(priced(order), Decimal(0))
    assert kept == {
        "p50": str(found.cost.p50), "p80": str(found.cost.p80),
        "p90": str(found.cost.p90), "seed": found.seed, "draws": 4000,
    }  # fmt: skip
    assert found.seed == order.knives.first().target.plan.seed


def test_no_helper_sees_it(helper_client, order):
    answer = helper_client.get(address("price", order))
    assert answer.status_code in (302, 403)
    assert "may cost" not in answer.content.decode()


def test_no_customer_reads_it(owner_client, order):
    quote = issue(owner_client, order)
    page = text_of(owner_client.get(quote.get_absolute_url()))
    paper = owner_client.get(address("quote-new", order))
    for text in (page, paper.content.decode()):
        assert "may cost" not in text
        assert str(quote.basis["risk"]["p90"]) not in text


def test_learned_hours_are_told_with_their_count(order):
    made = priced(order)
    taught = replace(made, rates=replace(made.rates, learned={"grind": LEARNED}))
    words = risk_words(taught, offered_on(made), "metric")
    assert "what up to 3 finished pieces taught" in words.origin
    assert "uncalibrated" not in words.origin
