"""What an hour must bring in, against published exercises."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.errors import QuoteError
from quotes.money import from_net, money, rounded, total
from quotes.year.rate import (
    Machine,
    machine_hour,
    margin_in,
    margin_of,
    markup_of,
    price_at_margin,
    price_at_markup,
    shop_hour,
)  # fmt: skip

CENTS = 2


def test_shop_hour_of_an_advisers_article():
    """Adviser's article, common practice, no source: (14 x 2200 x 2)/(45 x 20)."""
    costs = [Decimal(14 * 2200)] * 2
    assert shop_hour(costs, Decimal(45 * 20)) == Decimal("68.44")


def test_shop_hour_of_a_bladesmith():
    """Invented yearly costs, common practice, no source: 55,800 over 1,150 hours."""
    costs = [30000, 9600, 6000, 3500, 1500, 1800, 1200, 1500, 700]
    assert shop_hour(map(Decimal, costs), Decimal(46 * 25)) == Decimal("48.52")


def test_craft_hour_with_tax():
    """Wage, on-costs, overhead, risk and profit, then tax; practice, no source."""
    hour = total(map(Decimal, ("20.00", "18.00", "11.80", "5.20")))
    assert hour == Decimal("55.00")
    assert from_net(hour, Decimal(19)).gross == Decimal("65.45")


def test_machine_hour_of_an_exam():
    """Exam exercise, common practice; rule of VDI 3258 sheet 1, from memory."""
    hour = machine_hour(
        Machine(
            price=Decimal(120000), replacement=Decimal(120000), life=Decimal(12),
            hours=Decimal(1500), interest=Decimal("0.05"), area=Decimal(15),
            area_price=Decimal(6), power=Decimal(8), power_price=Decimal("0.12"),
            upkeep=Decimal("0.05"),
        )
    )  # fmt: skip
    assert (hour.depreciation, hour.interest, hour.space) == (
        Decimal("6.67"), Decimal("2.00"), Decimal("0.72"),
    )  # fmt: skip
    assert (hour.energy, hour.upkeep) == (Decimal("0.96"), Decimal("4.00"))
    assert hour.rate == Decimal("14.35")


def test_machine_hour_of_a_grinder():
    """Invented inputs, common practice, no source: 1.53 an hour with its energy."""
    hour = machine_hour(
        Machine(
            price=Decimal(2400), replacement=Decimal(2400), life=Decimal(10),
            hours=Decimal(600), interest=Decimal("0.04"), area=Decimal(7),
            area_price=Decimal(4), power=Decimal("0.92"), power_price=Decimal("0.32"),
            upkeep=Decimal("0.05"),
        )
    )  # fmt: skip
    assert hour.rate == Decimal("1.53")
    assert hour.rate - hour.energy == Decimal("1.24")  # with energy on its own line


def test_markup_and_margin_of_published_examples():
    """Published examples, common practice: 40 at 50 %; 29.99 at 25 %."""
    price = price_at_markup(Decimal(40), Decimal("0.50"))
    assert price == 60
    assert rounded(margin_in(price, Decimal(40)) * 100, CENTS) == Decimal("33.33")
    assert money(price_at_markup(Decimal("29.99"), Decimal("0.25"))) == Decimal("37.49")


@pytest.mark.parametrize(
    ("margin", "markup"), [("20", "25"), ("25", "33.3"), ("30", "42.9"), ("40", "66.7")]
)
def test_table_of_margins(margin, markup):
    """Table of the trade, common practice, no source."""
    markup_percent = markup_of(Decimal(margin) / 100) * 100
    assert rounded(markup_percent, 1) == Decimal(markup)


@settings(max_examples=200, deadline=None, database=None)
@given(
    cost=st.integers(1, 10**8).map(lambda cents: Decimal(cents) / 100),
    margin=st.integers(0, 999).map(lambda tenths: Decimal(tenths) / 1000),
)
def test_margin_and_price_lead_back_to_each_other(cost, margin):
    price, markup = price_at_margin(cost, margin), markup_of(margin)
    share = pytest.approx(float(margin), abs=1e-12)
    assert float(margin_in(price, cost)) == share
    assert float(margin_of(markup)) == share
    assert float(price_at_markup(cost, markup)) == pytest.approx(float(price))


@pytest.mark.parametrize("margin", ["1", "1.2", "-0.1"])
def test_a_margin_of_the_whole_price_is_refused(margin):
    with pytest.raises(QuoteError) as refused:
        price_at_margin(Decimal(100), Decimal(margin))
    assert refused.value.field == "margin"


def test_what_cannot_be_divided_by_is_asked_for():
    with pytest.raises(QuoteError) as refused:
        shop_hour([Decimal(100)], Decimal(0))
    assert refused.value.field == "billable_hours"
    idle = Machine(
        price=Decimal(1), replacement=Decimal(1), life=Decimal(1), hours=Decimal(0)
    )
    with pytest.raises(QuoteError) as refused:
        machine_hour(idle)
    assert refused.value.field == "hours"
    with pytest.raises(QuoteError) as refused:
        margin_in(Decimal(0), Decimal(1))
    assert refused.value.field == "price"
    with pytest.raises(QuoteError) as refused:
        price_at_markup(Decimal(1), Decimal(-1))
    assert refused.value.field == "markup"
