"""Random jobs against integers: not a cent off, in any currency."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.costing import cost
from quotes.money import EXPONENTS
from quotes.rates import Tax, overridden, shipped_rates
from tests.quotes.builders import DAY, billet, job, knife, steel

SCALE = 10**4  # quantities and rates have at most four decimals


def decimals(low, high, places):
    return st.integers(low, high).map(lambda n: Decimal(n).scaleb(-places))


KNIVES = st.builds(
    knife,
    needed=decimals(1, 2000, 3),
    ground=decimals(0, 900, 3),
    handle=st.sampled_from(["octagon", "d", "scales"]),
    bolster=st.booleans(),
    handle_price=st.none() | decimals(0, 50000, 2),
    pins=st.integers(0, 5),
)
STEELS = st.builds(steel, mass=decimals(0, 9000, 3), price=decimals(0, 9900, 2))
BILLETS = st.builds(
    billet,
    steels=st.lists(STEELS, min_size=1, max_size=3).map(
        lambda bars: tuple(replace(b, name=f"{i}") for i, b in enumerate(bars))
    ),
    gas=decimals(0, 9000, 3),
    hours=decimals(0, 20000, 3),
    tool=st.sampled_from(["press", "hammer", "hand"]),
)
JOBS = st.builds(
    job,
    knives=st.lists(KNIVES, min_size=1, max_size=4).map(tuple),
    billets=BILLETS.map(lambda one: (one,)),
    currency=st.sampled_from(["EUR", "JPY", "KWD"]),
    blades_per_firing=st.integers(1, 6),
)
CHANGES = st.fixed_dictionaries(
    {
        "labour": decimals(0, 15000, 2), "gas": decimals(0, 900, 2),
        "margin": decimals(0, 9990, 2), "deposit": decimals(0, 100, 0),
        "success_forge": decimals(500, 1000, 1),
        "success_harden": decimals(500, 1000, 1),
    }
)  # fmt: skip
PERCENTS = decimals(0, 3000, 2)


def half_up(above, below):
    return (2 * above + below) // (2 * below)


def scaled(value, factor=SCALE):
    whole = value * factor
    assert whole == int(whole)
    return int(whole)


@settings(max_examples=400, deadline=None, database=None)
@given(plain=JOBS, changes=CHANGES, percent=PERCENTS)
def test_a_job_agrees_with_integers_to_the_smallest_unit(plain, changes, percent):
    """Independent: integers in smallest units, halves up, tax once on the sum."""
    tax = Tax(regime="standard", percent=percent, valid_from=DAY)
    shop = replace(overridden(shipped_rates(plain.currency), changes), tax=tax)
    made = cost(plain, shop)
    unit = 10 ** EXPONENTS[plain.currency]
    lines = [
        half_up(scaled(one.quantity) * scaled(one.rate) * unit, SCALE**2)
        for one in made.lines
    ]
    direct = sum(lines)
    risk = half_up(direct * scaled(made.risk.quantity, 100), 100 * 100)
    net = half_up((direct + risk) * 10000, 10000 - scaled(changes["margin"], 100))
    vat = half_up(net * scaled(percent, 100), 10000)
    share = scaled(changes["deposit"], 100)
    deposit = half_up((net + vat) * share, 10000)
    within = half_up(deposit * scaled(percent, 100), 10000 + scaled(percent, 100))
    price = made.price
    assert [scaled(one.amount, unit) for one in made.lines] == lines
    assert scaled(made.direct, unit) == direct
    assert scaled(made.risk.amount, unit) == risk
    assert scaled(price.net, unit) == net
    assert scaled(price.whole.tax, unit) == vat
    assert scaled(price.whole.gross, unit) == net + vat
    assert scaled(price.deposit.gross, unit) == deposit
    assert scaled(price.deposit.tax, unit) == within
    assert scaled(price.final.tax, unit) == vat - within
    assert sum(scaled(one.net, unit) for one in made.knives) == net
    assert sum(scaled(one.gross, unit) for one in made.knives) == net + vat


@settings(max_examples=100, deadline=None, database=None)
@given(plain=JOBS, changes=CHANGES)
def test_failures_never_make_a_knife_cheaper(plain, changes):
    made = cost(plain, overridden(shipped_rates(plain.currency), changes))
    assert made.risk.amount >= 0
    assert made.price.net >= made.price.cost >= made.direct
