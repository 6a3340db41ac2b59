"""What an hour earns: the same before the work and after it, and laws it obeys."""

import random
from decimal import Decimal

import pytest

from quotes.after.comparing import compare
from quotes.after.taken import Lost, Reckoned, Taken, Written
from quotes.costing import cost
from quotes.earned import earned_per_hour, hours_with_failures, hours_with_share
from quotes.rates import kept_chain
from quotes.scrap import chain
from shop import stages
from tests.quotes.builders import job, knife, nothing_fails, rates


def hours_of(lines):
    return {one.row: one.expected for one in lines.hours if one.row != "all"}


def reckoned(lines, shop, **changes):
    """A priced job as its quote would keep it."""
    return Reckoned(**{
        "lines": lines.lines, "risk": lines.risk, "hours": hours_of(lines),
        "labels": stages.HOURS_ROWS, "net": lines.price.net, "currency": "EUR",
        "rates": shop.values, "links": kept_chain(shop.values), **changes,
    })  # fmt: skip


def taken(quote, *, times=1, lost=None):
    rows = {
        row: Written(amount=one * times, recorded=1, of=1)
        for row, one in quote.hours.items()
    }
    steel, gas = (
        Written(amount=quote.sum_of(key), recorded=1, of=1) for key in ("steel", "gas")
    )
    return Taken(rows=rows, steel=steel, gas=gas, lost=lost or Lost())


# --- by hand -------------------------------------------------------------------------


def test_worked_by_hand():
    """Four hours of forging and five of grinding; the last stage is good one time in
    two, and a failure starts again at the first: all is done twice on average, 18 h.
    """
    bench = len(stages.bench())
    half = [Decimal(1)] * (bench - 1) + [Decimal("0.5")]
    links = chain(half, [0] * bench)
    rows = {"billet": Decimal(4), "grind": Decimal(5)}
    assert hours_with_failures(rows, links) == 18
    assert earned_per_hour(Decimal(50), Decimal("180.00"), Decimal(18)) == 60
    assert earned_per_hour(Decimal(50), Decimal("-1080.00"), Decimal(18)) == -10
    assert earned_per_hour(Decimal(50), Decimal("1.00"), Decimal(0)) is None


def test_share_of_cost_stands_for_the_chain_in_quotes_that_kept_no_rates():
    assert hours_with_share(Decimal(20), Decimal("12.50")) == Decimal("22.5")
    lines = cost(job(), rates())
    old = reckoned(lines, rates(), links=kept_chain({}))
    hours = sum(hours_of(lines).values())
    assert old.hours_with_failures == hours * (100 + lines.risk.quantity) / 100
    new = reckoned(lines, rates())
    assert old.hours_with_failures == pytest.approx(
        new.hours_with_failures, rel=Decimal("0.05")
    )
    assert kept_chain({key: one for key, one in rates().values.items()
                       if key != "success_grind"}) == ()  # fmt: skip


# --- laws ----------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(6))
def test_floor_price_and_quote_say_the_same(seed):
    """The formula of the floor price, written out, against what a quote reckons with:
    all that is no labour is paid first, and the rest is shared by all hours.
    """
    draw = random.Random(seed)
    own = rates(
        labour=str(draw.randint(20, 120)),
        success_forge=str(draw.randint(60, 100)),
        success_harden=str(draw.randint(60, 100)),
        margin=str(draw.randint(0, 40)),
    )
    knives = tuple(knife(name=str(one)) for one in range(draw.randint(1, 3)))
    lines = cost(job(knives=knives), own)
    labour = own.value("labour")
    hours = hours_with_failures(hours_of(lines), own.chain())
    rest = lines.price.cost - labour * hours
    by_hand = (lines.price.net - rest) / hours
    found = compare(reckoned(lines, own), Taken(rows={}))
    assert found.estimated_hourly == pytest.approx(by_hand, abs=Decimal("0.005"))
    assert found.hourly == found.estimated_hourly


@pytest.mark.parametrize("success", ["55", "80", "100"])
def test_price_at_cost_earns_the_shops_hour_whatever_fails(success):
    own = rates(success_harden=success)
    lines = cost(job(), own)
    quote = reckoned(lines, own, net=lines.price.cost)
    assert compare(quote, Taken(rows={})).estimated_hourly == own.value("labour")
    assert compare(quote, taken(quote)).hourly == own.value("labour")


def test_hours_of_scrapped_knives_are_shared_too():
    """One knife lost after its forging: cost and hours of it count, none is put aside
    any more.
    """
    lines = cost(job(), rates())
    quote = reckoned(lines, rates())
    lost = Lost(knives=1, hours={"blade_forging": Decimal(3)}, final=True)
    found = compare(quote, taken(quote, lost=lost))
    hours = found.estimated_hours + 3
    by_hand = quote.hour + (quote.net - found.cost) / hours
    assert found.hours == hours
    assert found.hourly == pytest.approx(by_hand, abs=Decimal("0.005"))


def test_where_nothing_fails_both_ways_to_reckon_hours_agree():
    own = rates(**nothing_fails())
    lines = cost(job(), own)
    old = reckoned(lines, own, links=())
    assert old.hours_with_failures == reckoned(lines, own).hours_with_failures
