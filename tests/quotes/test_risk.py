"""What an order may cost, by chance: closed forms, laws, refusals."""

import math
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from quotes.costing import cost
from quotes.errors import QuoteError
from quotes.rates import overridden
from quotes.risk import BARS, CAUSES, risk, simulate
from quotes.risks.chance import DRAWS, chance_of, spread_of
from quotes.risks.parts import BENCH, ROWS, parts_of
from tests.quotes.builders import billet, job, knife, nothing_fails, rates
from tests.quotes.test_risk_chance import LEARNED, MANY

NET = Decimal("1500.00")


def planned(draws=DRAWS, billets=1):
    """Gas as planned, in every draw."""
    return [np.ones(draws)] * billets


def found(wanted=None, rate=None, *, net=NET, gas=None, seed=7, draws=DRAWS):
    wanted, rate = wanted or job(), rate or rates()
    gas = planned(draws, len(wanted.billets)) if gas is None else gas
    return risk(wanted, rate, chance_of(rate, gas, seed=seed, draws=draws), net)


def outcome(wanted, rate, *, gas=None, draws=DRAWS):
    gas = planned(draws, len(wanted.billets)) if gas is None else gas
    chance = chance_of(rate, gas, seed=7, draws=draws)
    return simulate(parts_of(wanted, rate), chance)


def still(**changes):
    """Rates under which nothing fails and no week differs."""
    return rates(**nothing_fails(), week_spread="0", **changes)


def exact_hours(rate):
    """The same with every row of hours told by one number."""
    three = {row: rate.hours(row).likely for row in ROWS}
    points = ("least", "likely", "most")
    return overridden(
        rate, {f"hours_{row}_{at}": three[row] for row in ROWS for at in points}
    )


# --- hours --------------------------------------------------------------------------


def test_hours_of_the_shipped_rows():
    """PERT mean 21.83 h, P80 23.7, P90 24.75 of independent rows (practice values).

    The figures were drawn from beta distributions, ours are lognormals of the same
    means and variances: within 0.05 h.
    """
    whole = job(billets=(billet(hours=Decimal("4.5")),))
    hours = found(whole, still(), draws=MANY).hours
    assert float(hours.mean) == pytest.approx(21.8333, abs=0.005)
    assert float(hours.p80) == pytest.approx(23.7, abs=0.051)
    assert float(hours.p90) == pytest.approx(24.75, abs=0.051)


def test_learned_hours_have_no_endless_mean():
    """Law: exp of a Student t has none, so draws are cut and expectation is exact."""
    wild = replace(LEARNED, freedom=2.0)
    rate = replace(still(), learned={"grind": wild})
    drawn = spread_of(rate, "grind").draw(np.random.default_rng(4), MANY)
    assert drawn.max() <= math.exp(1.50195 + 4 * 0.25712) / 4.685 * (1 + 1e-12)
    usual = replace(still(), learned={"grind": LEARNED})
    assert found(rate=rate).cost.mean == found(rate=usual).cost.mean


def test_good_and_bad_weeks_leave_the_mean_and_widen_the_rest():
    """Law; a week's factor has a mean of 1."""
    whole = job()
    calm, usual, wild = (
        found(whole, rates(week_spread=spread), draws=MANY)
        for spread in ("0", "12", "30")
    )
    assert calm.cost.mean == usual.cost.mean == wild.cost.mean
    assert calm.cost.p90 < usual.cost.p90 < wild.cost.p90
    assert calm.hours.p90 < usual.hours.p90 < wild.hours.p90


def test_without_weeks_the_rows_are_independent():
    """Law: variances of independent rows add; a common week adds its own."""
    whole, three = job(), still()
    hours = outcome(whole, three, draws=MANY).hours
    parts = parts_of(whole, three)[0].hours.sum(axis=0)
    rows = [three.hours(row) for row in ROWS]
    variance = sum(
        float(row.beta_variance) * (own / float(row.mean)) ** 2
        for row, own in zip(rows, parts, strict=True)
    )
    assert hours.var() == pytest.approx(variance, rel=0.03)
    weeks = outcome(whole, rates(**nothing_fails(), week_spread="20"), draws=MANY)
    square = math.expm1(0.2**2)
    more = variance * (1 + square) + parts.sum() ** 2 * square
    assert weeks.hours.var() == pytest.approx(more, rel=0.03)


# --- an order -----------------------------------------------------------------------


def test_mean_of_the_draws_is_the_closed_form():
    """Law: passes and factors come apart, so expectations multiply."""
    rate, whole = rates(), job(knives=(knife(), knife(name="other")))
    gas = [np.random.default_rng(8).lognormal(0, 0.4, MANY)]
    drawn = outcome(whole, rate, gas=gas, draws=MANY)
    told = found(whole, rate, gas=gas, draws=MANY)
    for values, mean in ((drawn.cost, told.cost.mean), (drawn.hours, told.hours.mean)):
        error = values.std() / math.sqrt(MANY)
        assert values.mean() == pytest.approx(float(mean), abs=3 * error + 0.01)


def test_expected_cost_is_the_cost_in_the_price():
    """Law: the price carries what is expected; its share is rounded to 0.01 %."""
    whole, rate = job(knives=(knife(), knife(name="other"))), rates()
    lines = cost(whole, rate)
    told = float(found(whole, rate).cost.mean)
    assert told == pytest.approx(
        float(lines.price.cost), abs=1e-4 * float(lines.direct)
    )


def test_nothing_uncertain_costs_the_direct_cost_to_the_cent():
    """Conservation: parts of all knives and stages are the lines of cost."""
    whole = job(knives=(knife(), knife(name="other", handle="scales", pins=3)))
    rate = exact_hours(still())
    sure = found(whole, rate)
    direct = cost(whole, rate).direct
    assert direct == cost(whole, rate).price.cost
    assert sure.cost.mean == sure.cost.p50 == sure.cost.p80 == sure.cost.p90 == direct
    assert sure.causes == ()
    assert sure.counts == (DRAWS,)
    assert found(whole, rate, net=direct).loss == 0
    assert found(whole, rate, net=direct - Decimal("0.01")).loss == 1


def test_parts_are_the_lines_of_cost_by_stage():
    whole = job(knives=(knife(), knife(name="other", needed=Decimal("0.5"))))
    parts = parts_of(whole, rates())
    for place, (key, spent) in enumerate(cost(whole, rates()).spent.items()):
        assert key == BENCH[place]
        own = sum(part.nominal[place] for part in parts)
        assert own == pytest.approx(float(spent))


def test_what_goes_with_hours_doubles_with_them():
    """Law, and a guard on every cost item: what is hourly follows the hours."""
    once = rates()
    keys = [f"hours_{row}_{at}" for row in ROWS for at in ("least", "likely", "most")]
    twice = overridden(once, {key: 2 * once.value(key) for key in keys})
    slow = job(billets=(billet(hours=Decimal("8.5")),))
    hourly = sum(part.hourly.sum() for part in parts_of(job(), once))
    more = float(cost(slow, twice).direct - cost(job(), once).direct)
    assert hourly == pytest.approx(more, abs=0.02)


def test_what_goes_with_gas_doubles_with_it():
    burnt = job(billets=(billet(gas=Decimal("6.2"), gas_per_hour=Decimal("2.8")),))
    gas = sum(part.gas.sum() for part in parts_of(job(), rates()))
    more = float(cost(burnt, rates()).direct - cost(job(), rates()).direct)
    assert gas == pytest.approx(more, abs=0.02)


def test_a_slow_billet_is_slow_for_all_its_knives():
    """Law: two knives of one billet scatter more than two of two billets."""
    two = (knife(), knife(name="other"))
    rate = still(**{f"hours_{row}_{at}": "2" for row in ROWS if row != "billet"
                    for at in ("least", "likely", "most")})  # fmt: skip
    shared = outcome(job(knives=two), rate).cost
    apart = outcome(
        job(knives=(two[0], knife(name="other", billet=1)),
            billets=(billet(hours=Decimal("2.125")),) * 2), rate,
    ).cost  # fmt: skip
    assert shared.std() == pytest.approx(math.sqrt(2) * apart.std(), rel=0.06)


# --- causes -------------------------------------------------------------------------


@pytest.mark.parametrize("spread", ["0", "12"])
def test_shares_of_the_spread_add_up_to_one(spread):
    gas = [np.random.default_rng(8).lognormal(0, 0.4, DRAWS)]
    causes = found(rate=rates(week_spread=spread), gas=gas).causes
    assert {one.key for one in causes} == set(CAUSES)
    assert sum(one.share for one in causes) == pytest.approx(1)
    assert [one.share for one in causes] == sorted(
        (one.share for one in causes), reverse=True
    )


def test_a_single_cause_has_the_whole_spread():
    rate = exact_hours(still())
    gas = [np.random.default_rng(8).lognormal(0, 0.4, DRAWS)]
    weeks = overridden(rate, {"week_spread": Decimal(12)})
    fails = overridden(rate, {"success_forge": Decimal(80)})
    for key, told in (
        ("gas", found(rate=rate, gas=gas)), ("weeks", found(rate=weeks)),
        ("failures", found(rate=fails)),
    ):  # fmt: skip
        assert told.causes[0].key == key
        assert told.causes[0].share == pytest.approx(1)


# --- what a price leaves ------------------------------------------------------------


def test_a_lower_price_leaves_less_and_loses_more_often():
    """Law: cost does not move with the price, and profit moves with all of it."""
    high, low = found(net=Decimal(1500)), found(net=Decimal(1300))
    assert high.cost == low.cost
    for name in ("left50", "left20", "left10"):
        assert getattr(high, name) - getattr(low, name) == 200
    assert high.loss < low.loss
    assert high.left10 == Decimal(1500) - high.cost.p90


def test_the_chance_of_a_loss_is_where_the_price_stands():
    told = found()
    assert found(net=told.cost.p80).loss == pytest.approx(0.2, abs=0.001)
    assert found(net=Decimal(0)).loss == 1


def test_the_same_seed_draws_the_same():
    assert found(seed=3) == found(seed=3)
    assert found(seed=3).cost.p90 != found(seed=4).cost.p90


def test_every_draw_stands_in_a_bar():
    told = found()
    assert sum(told.counts) == told.draws == DRAWS
    assert len(told.edges) == len(told.counts) + 1 == BARS + 1
    assert list(told.edges) == sorted(told.edges)


def test_amounts_have_the_places_of_their_currency():
    yen = replace(rates(), currency="JPY")
    told = found(job(currency="JPY"), yen, net=Decimal(1500))
    assert told.cost.p80 == told.cost.p80.to_integral_value()


# --- refusals -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"net": Decimal(-1)}, "net"), ({"net": Decimal("NaN")}, "net"),
        ({"draws": 99, "gas": planned(99)}, "draws"),
        ({"draws": 100_001, "gas": planned(1)}, "draws"),
        ({"seed": -1}, "seed"), ({"gas": planned(100)}, "gas"),
        ({"gas": [np.full(DRAWS, np.nan)]}, "gas"), ({"gas": [-np.ones(DRAWS)]}, "gas"),
        ({"gas": []}, "gas"),
        ({"rate": rates(success_forge="0.1")}, "success"),
    ],
)  # fmt: skip
def test_what_cannot_be_reckoned_is_refused(changes, field):
    with pytest.raises(QuoteError) as refused:
        found(**changes)
    assert refused.value.field == field
