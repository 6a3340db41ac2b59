"""The shop's year: every cost goes somewhere, and goes there once."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.errors import QuoteError
from quotes.money import HUNDRED, ZERO, total
from quotes.rates import shipped_rates
from quotes.year.items import (
    MACHINES,
    YEAR_COSTS,
    YEAR_GROUPS,
    YEAR_ITEM_OF,
    YEAR_ITEMS,
    check_year,
    machine_key,
)
from quotes.year.sums import shop_year

HALF_CENT = Decimal("0.005")
CAUSES = 5
SHIPPED = {item.key: item.default for item in YEAR_ITEMS} | dict(shipped_rates().values)


def year_of(**changes):
    return shop_year(
        SHIPPED | {key: Decimal(value) for key, value in changes.items()}, "EUR"
    )


def row_of(year, label):
    return next(one for one in year.shares if one.label == label)


def idle_machines():
    """Machines that cost nothing and draw nothing."""
    parts = ("replacement", "price", "area", "upkeep")
    nothing = {machine_key(key, part): "0" for key in MACHINES for part in parts}
    return nothing | {"electricity": "0"}


def amounts(least, most, places=2):
    step = 10**places
    return st.integers(least * step, most * step).map(lambda n: Decimal(n) / step)


MACHINE_PARTS = {
    "replacement": amounts(0, 20_000), "price": amounts(0, 20_000),
    "life": amounts(2, 40, 1), "use": amounts(1, 2_000, 1), "area": amounts(0, 20, 1),
    "upkeep": amounts(0, 30, 1),
}  # fmt: skip
YEARS = st.fixed_dictionaries(
    {item.key: amounts(0, 60_000) for item in YEAR_COSTS}
    # Enough of both for whatever the machines take.
    | {"year_depreciation": amounts(30_000, 60_000)}
    | {"year_rent": amounts(29_000, 60_000)}
    | {"year_weeks": amounts(1, 52, 1), "year_week_hours": amounts(5, 80, 1)}
    | {"year_billable": amounts(10, 100, 1), "machines_interest": amounts(0, 20, 1)}
    | {"machines_floor": amounts(0, 40), "electricity": amounts(0, 2)}
    | {
        machine_key(key, part): values
        for key in MACHINES
        for part, values in MACHINE_PARTS.items()
    }
)  # fmt: skip


# --- published examples ------------------------------------------------------------


def test_year_of_a_bladesmith():
    """Yearly costs of a bladesmith, common practice, no source: 48.52 an hour."""
    costs = {
        "year_income": "30000", "year_charges": "9600", "year_rent": "6000",
        "year_depreciation": "3500", "year_insurance": "1500", "year_energy": "1200",
        "year_accounting": "1800", "year_marketing": "1500", "year_training": "700",
        "year_other": "0",
    }  # fmt: skip
    paid = {"year_weeks": "46", "year_week_hours": "50", "year_billable": "50"}
    year = year_of(**costs, **paid, **idle_machines())
    assert (year.whole.hour, year.hours) == (55800, 1150)
    assert year.rate == Decimal("48.52")


def test_grinder_takes_its_depreciation_and_floor_out_of_the_year():
    """Grinder, common practice, no source: 0.40, 0.08, 0.56 and 0.20 an hour."""
    grinder = {
        "machine_grinder_replacement": "2400", "machine_grinder_price": "2400",
        "machine_grinder_life": "10", "machine_grinder_use": "600",
        "machine_grinder_area": "7", "machine_grinder_upkeep": "5",
        "machines_floor": "4", "machines_interest": "4",
    }  # fmt: skip
    year = year_of(**idle_machines() | grinder)
    hour = year.machines[0].hour
    assert (hour.depreciation, hour.interest) == (Decimal("0.40"), Decimal("0.08"))
    assert (hour.space, hour.upkeep) == (Decimal("0.56"), Decimal("0.20"))
    assert year.rates["grinder"] == Decimal("1.24")
    wear = row_of(year, "Depreciation of all tools and machines")
    rent = row_of(year, "Rent of the whole shop")
    assert (wear.machine, rent.machine) == (240, 336)  # 600 h of 0.40 and of 0.56
    assert year_of(**idle_machines()).whole.hour - year.whole.hour == 240 + 336


# --- laws --------------------------------------------------------------------------


@settings(max_examples=150, deadline=None, database=None)
@given(values=YEARS)
def test_every_cost_goes_somewhere_once(values):
    year = shop_year(SHIPPED | values, "EUR")
    for one in (*year.shares, year.whole):
        assert one.hour + one.machine + one.own == one.year
        assert min(one.hour, one.machine, one.own) >= 0
    typed = total(values[item.key] for item in YEAR_COSTS)
    assert total(one.year for one in year.shares[: len(YEAR_COSTS)]) == typed
    imputed = year.shares[len(YEAR_COSTS) :]
    assert all(one.hour == 0 for one in imputed)  # in no hour at the bench
    assert all(one.own == ZERO for one in year.shares[:-1])


@settings(max_examples=150, deadline=None, database=None)
@given(values=YEARS)
def test_hours_sold_bring_in_the_whole_year(values):
    year = shop_year(SHIPPED | values, "EUR")
    at_the_bench = year.rate * year.hours
    at_machines = total(one.hour.rate * one.use for one in year.machines)
    lines = total(one.year.energy for one in year.machines)
    # Each rate is rounded to the cent, and so is each cause in the table.
    slack = HALF_CENT * (year.hours + CAUSES * total(m.use for m in year.machines))
    slack += HALF_CENT * CAUSES * len(MACHINES)
    assert abs(at_the_bench + at_machines + lines - year.whole.year) <= slack


def test_electricity_of_the_machines_is_that_of_quotes():
    """A firing is half a hardening and half a tempering, as a blade has one of each."""
    rates = shipped_rates()
    kiln = (rates.value("kwh_harden") + rates.value("kwh_temper")) / 2
    year = year_of(machine_kiln_use="200", electricity="0.40")
    assert year.machines[2].year.energy == kiln * 200 * Decimal("0.40")
    assert row_of(year, "Electricity of the machines").hour == 0


def test_more_hours_sold_make_the_hour_cheaper_in_proportion():
    once = year_of(year_week_hours="20").rate
    assert abs(year_of(year_week_hours="40").rate * 2 - once) <= HALF_CENT * 3


def test_yen_have_no_cents():
    year = shop_year(SHIPPED, "JPY")
    assert all(rate == rate.to_integral_value() for rate in year.rates.values())


# --- the rows ----------------------------------------------------------------------


def test_every_item_has_a_label_a_table_and_a_value_that_can_be():
    assert len(YEAR_ITEM_OF) == len(YEAR_ITEMS)
    assert [*dict.fromkeys(item.group for item in YEAR_ITEMS)] == list(YEAR_GROUPS)
    assert not set(YEAR_ITEM_OF) & set(shipped_rates().values)
    for item in YEAR_ITEMS:
        assert item.label
        check_year(item.key, item.default)
    assert set(MACHINES) < set(shipped_rates().values)


# --- refusals ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("year_income", "-1"), ("year_billable", "0"), ("year_billable", "100.01"),
        ("year_weeks", "0"), ("year_weeks", "53"), ("year_week_hours", "0"),
        ("year_week_hours", "169"), ("machine_kiln_life", "0"),
        ("machine_grinder_use", "0"), ("machine_grinder_use", "9000"),
        ("machines_interest", "101"), ("year_rent", "NaN"),
    ],
)  # fmt: skip
def test_value_no_hour_can_be_computed_from_is_refused_by_name(key, value):
    with pytest.raises(QuoteError) as refused:
        year_of(**{key: value})
    assert refused.value.field == key


@pytest.mark.parametrize(
    ("field", "changes", "taken"),
    [
        ("year_depreciation", {"machine_kiln_life": "0.5"}, "3028.89"),
        ("year_rent", {"machine_kiln_area": "90"}, "7896.00"),
    ],
)
def test_machines_that_take_more_than_there_is_are_refused(field, changes, taken):
    """By hand: 2600/9 + 2800/20 + 1300/0.5, and (2.5 + 1.5 + 90) x 7 x 12."""
    with pytest.raises(QuoteError) as refused:
        year_of(**changes)
    assert refused.value.field == field
    assert refused.value.values["taken"] == Decimal(taken)
    assert refused.value.values["whole"] == SHIPPED[field]


def test_so_few_hours_that_no_rate_can_be_kept_are_refused():
    with pytest.raises(QuoteError) as refused:
        year_of(year_weeks="0.0001", year_week_hours="0.1")
    assert refused.value.field == "year_week_hours"


@pytest.mark.parametrize("key", ["year_income", "machine_kiln_use", "electricity"])
def test_what_is_missing_is_asked_for(key):
    values = {name: value for name, value in SHIPPED.items() if name != key}
    with pytest.raises(QuoteError) as refused:
        shop_year(values, "EUR")
    assert refused.value.field == key


def test_shares_add_up_to_a_hundred_of_what_is_worked():
    year = year_of(year_weeks="40", year_week_hours="30", year_billable="50")
    assert year.hours == 40 * 30 * Decimal(50) / HUNDRED
