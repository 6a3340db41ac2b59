"""Estimate against actual in plain values: sums by hand, and what must always hold."""

import random
from dataclasses import replace
from decimal import Decimal

import pytest

from quotes.after.comparing import compare
from quotes.after.taken import Lost, Reckoned, Taken, Written
from quotes.costing import CostLine, cost
from shop import stages
from tests.quotes.builders import job, knife, rates

ROWS = ("billet", "blade_forging", "grind", "harden", "hand_finish", "handle",
        "sharpen")  # fmt: skip
DERIVED = {"grinder", "forging_tool", "electricity"}


def d(number):
    return Decimal(str(number))


def line(key, quantity, rate, amount, **more):
    return CostLine(**{
        "key": key, "label": key, "group": "", "subject": "", "unit": "",
        "quantity": d(quantity), "rate": d(rate), "amount": d(amount), **more,
    })  # fmt: skip


QUOTE = Reckoned(
    lines=(
        line("steel", "1.200", 10, "12.00"),
        line("gas", "4.000", 3, "12.00"),
        line("electricity", "10.000", "0.30", "3.00"),
        line("belts_coarse", 2, 5, "10.00"),
        line("labour", "20.0000", 50, "1000.00"),
        line("grinder", "4.9000", 2, "9.80"),
        line("forging_tool", "1.0000", 4, "4.00"),
    ),
    risk=line("scrap", 10, "1050.80", "105.08"),
    hours=dict(zip(ROWS, map(d, (4, 2, 5, 2, 2, 3, 2)), strict=True)),
    labels={row: row for row in ROWS},
    net=d("1400.00"),
    currency="EUR",
    rates={"kwh_grinder": d("0.9"), "kwh_extraction": d("0.6"),
           "kwh_forging_tool": d("1.2")},
)  # fmt: skip


def told(*hours, **more):
    """All rows recorded in full, of one knife."""
    numbers = hours or QUOTE.hours.values()
    return {
        row: Written(**{"amount": d(number), "recorded": 1, "of": 1, **more})
        for row, number in zip(ROWS, numbers, strict=True)
    }


def weighed(mass):
    return Written(amount=d(mass), recorded=1, of=1)


NOTHING_LOST = Lost(final=True)
AS_GUESSED = Taken(rows=told(), steel=weighed("1.2"), gas=weighed(4), lost=NOTHING_LOST)
OTHERWISE = Taken(
    rows=told(6, 2, 4, 2, 2, 5, 2), steel=weighed("1.5"), gas=weighed(5),
    lost=NOTHING_LOST,
)  # fmt: skip


# --- by hand -------------------------------------------------------------------------


def test_every_line_as_reckoned_by_hand():
    """Two hours more of billet and handle, one less of grind; sums on paper.

    Grinder 4.9 x 6/7 = 4.2 h; press 1 x 8/6 h; current 10 - 0.7 x 1.5 + 1/3 x 1.2.
    """
    found = compare(QUOTE, OTHERWISE)
    assert [(one.line.key, one.quantity, one.amount) for one in found.lines] == [
        ("steel", d("1.500"), d("15.00")),
        ("gas", d("5.000"), d("15.00")),
        ("electricity", d("9.350"), d("2.81")),
        ("belts_coarse", d(2), d("10.00")),
        ("labour", d("23.0000"), d("1150.00")),
        ("grinder", d("4.2000"), d("8.40")),
        ("forging_tool", d("1.3333"), d("5.33")),
    ]
    assert (found.estimated_cost, found.cost) == (d("1155.88"), d("1206.54"))
    assert (found.estimated_left, found.left) == (d("244.12"), d("193.46"))
    assert found.hours == 23
    assert found.hourly == d("58.41")  # 50 + 193.46 / 23
    assert found.estimated_hourly == d("61.10")  # 50 + 244.12 / 22, a tenth fails


def test_worst_guesses_come_by_money_and_hours_row_by_row():
    worst = compare(QUOTE, OTHERWISE).worst()
    assert [(one.key, one.difference, one.percent) for one in worst] == [
        ("billet", d("100.00"), d("50.0")),
        ("handle", d("100.00"), d("66.7")),
        ("grind", d("-50.00"), d("-20.0")),
    ]


def test_steel_in_several_lines_is_one_guess():
    lines = (line("steel", "0.800", 10, "8.00", subject="dark"),
             line("steel", "0.400", 20, "8.00", subject="pale"))  # fmt: skip
    found = compare(
        replace(QUOTE, lines=(*lines, *QUOTE.lines[1:])),
        replace(AS_GUESSED, steel=weighed("1.5")),
    )
    assert [one.quantity for one in found.lines[:2]] == [d("1.000"), d("0.500")]
    assert [(one.key, one.difference) for one in found.worst()] == [
        ("steel", d("4.00"))
    ]


def test_scrapped_knife_is_set_against_the_share_of_failures():
    """Six hours at 50; press 5/6 h at 4, grinder 0.7 h at 2, 2.05 kWh at 0.30, steel
    0.6 kg at 10, gas 2 kg at 3: 300 + 3.33 + 1.40 + 0.62 + 6 + 6.
    """
    hours = {"billet": d(3), "blade_forging": d(2), "grind": d(1)}
    lost = Lost(knives=1, hours=hours, steel=d("0.6"), gas=d(2), final=True)
    found = compare(QUOTE, replace(AS_GUESSED, lost=lost))
    assert found.lost == d("317.35")
    assert found.failures.amount == d("317.35")
    assert found.failures.difference == d("212.27")
    assert found.hours == 26
    left = d(1400) - d("1050.80") - d("317.35")
    assert found.left == left
    assert found.hourly == d("51.23")  # 50 + 31.85 / 26
    assert found.worst() == ()


def test_cost_that_eats_the_price_is_a_loss():
    found = compare(replace(QUOTE, net=d("900.00")), OTHERWISE)
    assert found.left == d("-306.54")
    assert found.hourly == d("36.67")  # 50 - 306.54 / 23


# --- laws ---------------------------------------------------------------------------


def test_as_guessed_nothing_differs():
    found = compare(QUOTE, AS_GUESSED)
    assert all(one.difference == 0 for one in found.lines)
    assert all(one.ratio == 1 for one in found.rows)
    assert found.worst() == ()
    assert found.hours == found.estimated_hours == 20
    # What was put aside for failures is earned too: 50 + (1400 - 1050.80) / 20.
    assert found.hourly == d("67.46")


def test_as_guessed_with_failures_open_earns_what_the_quote_reckoned():
    found = compare(QUOTE, replace(AS_GUESSED, lost=Lost()))
    assert found.cost == found.estimated_cost
    assert found.hourly == found.estimated_hourly
    assert not found.complete


def test_zero_margin_and_no_risk_earn_the_shops_hour():
    free = replace(QUOTE, net=d("1050.80"), risk=line("scrap", 0, "1050.80", "0.00"))
    assert compare(free, AS_GUESSED).hourly == QUOTE.hour == 50


@pytest.mark.parametrize("seed", [3, 29, 81])
def test_lines_of_a_real_job_add_up_and_as_guessed_stay(seed):
    """Estimated lines are the cost of the quote; one more hour never costs less."""
    chance = random.Random(seed)
    knives = tuple(
        knife(name=str(place), needed=d(chance.randint(150, 400)) / 1000)
        for place in range(chance.randint(1, 4))
    )
    priced = cost(job(knives=knives), rates())
    rows = {one.row: one.expected for one in priced.hours if one.row != "all"}
    quote = Reckoned(
        lines=priced.lines, risk=priced.risk, hours=rows, labels=stages.HOURS_ROWS,
        net=priced.price.net, currency="EUR", rates=rates().values,
    )  # fmt: skip
    taken = Taken(
        rows={row: Written(amount=h, recorded=1, of=1) for row, h in rows.items()},
        steel=weighed(quote.sum_of("steel")), gas=weighed(quote.sum_of("gas")),
    )  # fmt: skip
    found = compare(quote, taken)
    assert found.estimated_cost == priced.price.cost
    assert found.estimated_left == priced.price.margin
    assert all(one.difference == 0 for one in found.lines)
    more = dict(taken.rows)
    row = chance.choice(ROWS)
    more[row] = replace(more[row], amount=more[row].amount + 1)
    slower = compare(quote, replace(taken, rows=more))
    assert slower.cost > found.cost
    differences = sum(one.difference for one in (*slower.lines, slower.failures))
    assert differences == slower.cost - slower.estimated_cost
    assert slower.hourly < found.hourly


# --- what is not all there is never taken for all ------------------------------------


def test_nothing_recorded_counts_as_estimated():
    found = compare(QUOTE, Taken(rows={}))
    assert not found.begun
    assert found.cost == found.estimated_cost
    assert {one.source for one in found.lines} == {"estimated"}
    assert found.worst() == ()


def test_part_counts_as_estimated_until_it_is_more():
    rows = told()
    rows["grind"] = Written(amount=d(3), recorded=1, of=2)
    rows["handle"] = Written(amount=d(5), recorded=1, of=1, over=False)
    found = compare(QUOTE, Taken(rows=rows))
    by_row = {one.row: one for one in found.rows}
    assert (by_row["grind"].counted, by_row["handle"].counted) == (5, 5)
    assert by_row["grind"].ratio is by_row["handle"].ratio is None
    assert found.rows_complete == 5
    assert not found.complete
    assert found.recorded_hours == 20  # 4 + 2 + 3 + 2 + 2 + 5 + 2
    assert {one.line.key: one.source for one in found.lines}["labour"] == "part"
    assert found.worst() == ()


def test_one_of_two_billets_weighed_is_no_actual():
    half = Written(amount=d("0.7"), recorded=1, of=2)
    found = compare(QUOTE, replace(AS_GUESSED, steel=half))
    assert (found.lines[0].amount, found.lines[0].known) == (d("12.00"), False)


def test_machines_follow_only_the_hours_they_run_in():
    rows = told()
    rows["harden"] = Written()
    sources = {
        one.line.key: one.source for one in compare(QUOTE, Taken(rows=rows)).lines
    }
    assert {sources[key] for key in DERIVED} == {"hours"}
    rows["hand_finish"] = Written()
    sources = {
        one.line.key: one.source for one in compare(QUOTE, Taken(rows=rows)).lines
    }
    assert sources["forging_tool"] == "hours"
    assert sources["grinder"] == sources["electricity"] == "part"


def test_old_quote_without_its_rates_leaves_electricity_as_estimated():
    found = compare(replace(QUOTE, rates={}), OTHERWISE)
    current = next(one for one in found.lines if one.line.key == "electricity")
    assert (current.amount, current.source) == (d("3.00"), "estimated")


def test_scrap_without_records_keeps_what_was_put_aside():
    found = compare(QUOTE, replace(AS_GUESSED, lost=Lost(knives=1)))
    assert found.failures.amount == d("105.08")
    assert found.failures.source == "estimated"
    some = Lost(knives=1, hours={"grind": d(1)})
    found = compare(QUOTE, replace(AS_GUESSED, lost=some))
    assert found.failures.amount == d("105.08")
    assert found.failures.source == "part"
