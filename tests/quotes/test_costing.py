"""Cost and price of a job: worked examples, laws, refusals."""

from dataclasses import replace
from decimal import Decimal

import pytest

from quotes import scrap
from quotes.cost_items import COST_ITEMS
from quotes.costing import cost, deposit_flag, risk_line
from quotes.errors import QuoteError
from quotes.price import price_of
from quotes.rates import Tax, shipped_rates
from shop import stages
from tests.quotes.builders import (
    DAY,
    billet,
    job,
    knife,
    nothing_fails,
    rates,
    steel,
    without,
)  # fmt: skip
from tests.quotes.test_scrap import COSTS, GOOD, RESTARTS

UNUSED = """
    use_belts_fine use_belts_handle use_paper use_borax use_oil use_etchant use_epoxy
    use_wax blade_heats normalising kiln kwh_harden kwh_temper kwh_extraction
    kwh_forging_tool
"""
NO_USE = dict.fromkeys(UNUSED.split(), "0")
# Four hours at the grinder of the 7 2/3 of grind and finish, at 3 kWh each.
GRINDER = {"grinder_share": "52.17391304", "kwh_grinder": "3", "grinder": "1.53"}


def worked_example():
    """A commission (practice inputs, no source), as a job and rates of the shop."""
    one = knife(ground=Decimal(0), handle_price=Decimal("22.00"))
    bars = steel(mass=Decimal("0.458"), price=Decimal("18.00"))
    forged = billet(
        steels=(bars,), gas=Decimal("4.5"), hours=Decimal("4.5"), tool="hand"
    )
    prices = {"gas": "3.40", "electricity": "0.32", "price_small_parts": "38.00"}
    changed = rates(**NO_USE, **GRINDER, **prices, labour="48.52")
    return job(knives=(one,), billets=(forged,)), changed


def amounts(lines):
    return {line.key: line.amount for line in lines}


def test_lines_of_the_worked_example():
    """Practice inputs, no source; half up at each line."""
    made = cost(*worked_example())
    told = {
        "steel": "8.24", "handle": "22.00", "gas": "15.30", "electricity": "3.84",
        "small_parts": "38.00", "labour": "1059.35", "grinder": "6.12", "kiln": "0.00",
    }  # fmt: skip
    assert amounts(made.lines) == {key: Decimal(value) for key, value in told.items()}
    assert made.direct == Decimal("1152.85")


def test_price_of_the_worked_example():
    """Practice inputs, no source; failures by the chain of seven stages, 8.19 %."""
    _, shop = worked_example()
    failures = scrap.share(COSTS, scrap.chain(GOOD, RESTARTS))
    risk = risk_line(Decimal("1152.85"), failures, "EUR")
    assert (risk.quantity, risk.amount) == (Decimal("8.19"), Decimal("94.42"))
    price = price_of(Decimal("1152.85") + risk.amount, shop)
    assert (price.cost, price.net) == (Decimal("1247.27"), Decimal("1467.38"))
    assert price.taxes[0].tax == Decimal("278.80")
    assert price.whole.gross == Decimal("1746.18")
    deposit, final = price.deposit, price.final
    assert (deposit.gross, deposit.tax, deposit.net) == (
        Decimal("523.85"), Decimal("83.64"), Decimal("440.21"),
    )  # fmt: skip
    assert (final.gross, final.net, final.tax) == (
        Decimal("1222.33"), Decimal("1027.17"), Decimal("195.16"),
    )  # fmt: skip


def test_cost_is_the_same_calculation_as_its_parts():
    plain, shop = worked_example()
    made = cost(plain, shop)
    chain = scrap.share(tuple(made.spent.values()), shop.chain())
    assert made.risk == risk_line(made.direct, chain, "EUR")
    assert made.price == price_of(made.direct + made.risk.amount, shop)


def test_ledger_of_a_forged_billet_knife():
    """Maker's report, common practice: 57.50 of material, 15.5 hours; a single case."""
    bought = knife(  # brass, wood, leather
        ground=Decimal(0), handle_price=Decimal(3 + 6 + 10),
        hours={
            "billet": Decimal(1), "blade_forging": Decimal("0.5"), "grind": Decimal(1),
            "harden": Decimal("5.5"), "hand_finish": Decimal(2 + 2),
            "handle": Decimal(2 + 1), "sharpen": Decimal("0.5"),
        },
    )  # fmt: skip
    bar = steel(mass=Decimal(1), price=Decimal("12.50"))
    forged = billet(steels=(bar,), gas=Decimal(1), tool="hand")
    used = {"use_paper": "1", "use_epoxy": "1"}
    prices = {"price_paper": "16", "price_epoxy": "2", "gas": "6"}
    no_machine = {"grinder_share": "0", "price_small_parts": "2"}
    made = cost(
        job(knives=(bought,), billets=(forged,)),
        rates(**{**NO_USE, **used, **prices, **no_machine}),
    )
    labour = next(line for line in made.lines if line.key == "labour")
    assert labour.quantity == Decimal("15.5")
    assert made.direct - labour.amount == Decimal("57.50")


def test_printed_figures_can_be_checked_by_hand():
    made = cost(job(), rates())
    for line in made.lines:
        assert line.amount == round(line.quantity * line.rate + Decimal("1e-9"), 2)
    assert made.direct == sum(line.amount for line in made.lines)
    assert made.price.cost == made.direct + made.risk.amount
    assert made.price.net == made.price.cost + made.price.margin
    assert made.price.net + made.price.taxes[0].tax == made.price.whole.gross


def test_a_plain_job_has_a_line_for_every_item_but_pins():
    """By default every knife has all of it; a handle burned on has no pins."""
    keys = [line.key for line in cost(job(), rates()).lines]
    assert keys == [item.key for item in COST_ITEMS if item.key != "pins"]


def test_all_steel_is_paid_lost_or_not():
    bright = steel(name="bright", mass=Decimal("0.4"), price=Decimal(21))
    bars = (steel(), bright)
    made = cost(job(billets=(billet(steels=bars),)), rates())
    lines = [(one.subject, one.amount) for one in made.lines if one.key == "steel"]
    assert lines == [("plain steel", Decimal("10.80")), ("bright", Decimal("8.40"))]


def test_gas_is_the_plans_and_that_of_forging_the_blade():
    """12 heats of 3.75 min and 24 min of normalising (common practice, no source)."""
    made = cost(job(), rates())
    gas = next(line for line in made.lines if line.key == "gas")
    assert gas.quantity == Decimal("3.1") + Decimal("1.4") * 69 / 60


def test_working_by_hand_runs_no_machine():
    by_hand = cost(job(billets=(billet(tool="hand"),)), rates())
    assert "forging_tool" not in amounts(by_hand.lines)


def test_hours_under_the_press_are_those_of_billet_and_blade():
    made = cost(job(), rates())
    press = next(line for line in made.lines if line.key == "forging_tool")
    assert press.quantity == Decimal("0.3") + Decimal("0.15")  # 12 x 0.75 min


def test_belts_are_paid_by_grams_ground_off():
    light, heavy = (cost(job(knives=(knife(ground=g),)), rates()).lines
                    for g in (Decimal("0.1"), Decimal("0.2")))  # fmt: skip
    for key in ("belts_coarse", "belts_medium"):
        one, two = (
            next(line.quantity for line in lines if line.key == key)
            for lines in (light, heavy)
        )
        assert float(two) == pytest.approx(2 * float(one), abs=0.0015)
    assert amounts(light)["belts_fine"] == amounts(heavy)["belts_fine"]


def test_a_firing_is_paid_by_the_blades_in_it():
    alone = cost(job(), rates())
    shared = cost(job(blades_per_firing=4), rates())
    kilns = [
        next(line.quantity for line in made.lines if line.key == "kiln")
        for made in (alone, shared)
    ]
    assert kilns == [2, Decimal("0.5")]


@pytest.mark.parametrize(
    ("changes", "factor"),
    [({}, "1"), ({"handle": "d"}, "1.1"), ({"handle": "scales"}, "0.9"),
     ({"bolster": True}, "1.3")],
)  # fmt: skip
def test_hours_of_a_handle_follow_its_kind(changes, factor):
    """Factors are common practice, no source."""
    made = cost(job(knives=(knife(**changes),)), rates())
    hours = {one.row: one.expected for one in made.hours}
    assert float(hours["handle"]) == pytest.approx(25 / 6 * float(factor), abs=1e-4)


def test_hours_known_better_take_the_place_of_the_rates():
    quick = cost(job(knives=(knife(hours={"grind": Decimal("2.5")}),)), rates())
    hours = {one.row: one.expected for one in quick.hours}
    assert hours["grind"] == Decimal("2.5")
    rows = sum(float(value) for row, value in hours.items() if row != "all")
    assert float(hours["all"]) == pytest.approx(rows, abs=5e-4)
    labour = next(line for line in quick.lines if line.key == "labour")
    assert float(labour.quantity) == pytest.approx(float(hours["all"]), abs=5e-5)


def test_expected_hours_lie_in_their_band():
    for one in cost(job(), rates()).hours:
        assert one.low < one.expected < one.high


def test_nothing_fails_means_nominal_cost():
    made = cost(job(), rates(**nothing_fails()))
    assert (made.risk.quantity, made.risk.amount, made.one_in) == (0, 0, None)
    assert made.price.cost == made.direct


def test_failures_late_on_the_bench_cost_more_than_early_ones():
    early, late = (
        cost(job(), rates(**{**nothing_fails(), key: "90"}))
        for key in ("success_forge", "success_harden")
    )
    assert early.risk.amount < late.risk.amount


def test_cost_by_stage_is_the_direct_cost():
    made = cost(job(), rates())
    assert tuple(made.spent) == stages.bench()
    assert float(sum(made.spent.values())) == pytest.approx(float(made.direct))


def test_a_shared_billet_is_split_by_mass_needed():
    """The shop's rule: steel, gas, hours and risk of the billet go by mass needed."""
    dear = billet(steels=(steel(mass=Decimal(300), price=Decimal(1000)),))
    pair = (knife(needed=Decimal("0.6")), knife(needed=Decimal("0.3")))
    made = cost(job(knives=pair, billets=(dear,)), rates())
    big, small = (one.net for one in made.knives)
    assert float(big / small) == pytest.approx(2, rel=0.01)


def test_prices_of_knives_add_up_to_the_cent():
    pair = (knife(name="big", needed=Decimal("0.6")), knife(name="small"))
    made = cost(job(knives=pair), rates())
    assert sum(one.net for one in made.knives) == made.price.net
    assert sum(one.gross for one in made.knives) == made.price.whole.gross
    assert [one.name for one in made.knives] == ["big", "small"]


def test_a_bar_shared_with_another_job_is_paid_in_part():
    whole = cost(job(), rates())
    half = cost(job(billets=(billet(needed_elsewhere=Decimal("0.310")),)), rates())
    assert amounts(half.lines)["steel"] * 2 == amounts(whole.lines)["steel"]
    assert amounts(half.lines)["paper"] == amounts(whole.lines)["paper"]


def test_two_jobs_on_one_bar_pay_it_between_them():
    pair = (knife(name="a"), knife(name="b", needed=Decimal("0.155")))
    together = cost(job(knives=pair), rates(**nothing_fails()))
    apart = [
        cost(job(knives=(one,), billets=(billet(needed_elsewhere=other.needed),)),
             rates(**nothing_fails()))
        for one, other in (pair, pair[::-1])
    ]  # fmt: skip
    lines = len(together.lines)
    assert sum(one.direct for one in apart) == pytest.approx(
        together.direct, abs=Decimal("0.01") * lines
    )


def test_each_knife_may_have_its_own_billet():
    pair = (knife(name="a"), knife(name="b", billet=1))
    made = cost(job(knives=pair, billets=(billet(), billet())), rates())
    assert amounts(made.lines)["steel"] == 2 * Decimal("10.80")


def test_a_deposit_below_what_is_sunk_before_the_flaw_gate_is_told():
    made = cost(job(), rates())
    sunk = round(made.spent["forge"] + made.spent["grind"], 2)
    (flag,) = deposit_flag(sunk - 1, made.spent, made.price.net)
    assert (flag.field, flag.values["sunk"]) == ("deposit", sunk)
    assert deposit_flag(sunk + 1, made.spent, made.price.net) == ()


@pytest.mark.parametrize("regime", ["small", "export"])
def test_an_untaxed_regime_shows_no_tax(regime):
    tax = Tax(regime=regime, percent=Decimal(19), valid_from=DAY)
    made = cost(job(), replace(shipped_rates(), tax=tax))
    assert made.price.whole.gross == made.price.net
    assert made.price.taxes[0].tax == made.price.deposit.tax == 0


# --- Refusals: each names the thing to change ------------------------------------


def refusal(make):
    with pytest.raises(QuoteError) as refused:
        make()
    return refused.value.field


@pytest.mark.parametrize(
    "key", ["labour", "gas", "kwh_harden", "success_grind", "margin", "deposit",
            "handle_octagon", "hours_sharpen_least", "price_handle"],
)  # fmt: skip
def test_a_missing_rate_is_asked_for_by_its_key(key):
    assert refusal(lambda: cost(job(), without(key))) == key


def test_two_currencies_are_refused():
    assert refusal(lambda: cost(job(currency="USD"), rates())) == "currency"


def test_a_shop_without_a_tax_setting_gets_no_price():
    untaxed = replace(shipped_rates(), tax=None)
    assert refusal(lambda: cost(job(), untaxed)) == "tax_regime"


def test_a_knife_without_a_billet_is_refused():
    assert refusal(lambda: job(billets=())) == "plan"
    assert refusal(lambda: job(knives=(knife(billet=1),))) == "plan"
    assert refusal(lambda: job(knives=())) == "knives"


def test_a_steel_without_a_price_is_named():
    bare = job(billets=(billet(steels=(steel(price=None),)),))
    with pytest.raises(QuoteError) as refused:
        cost(bare, rates())
    assert refused.value.field == "steel"
    assert refused.value.values["steel"] == "plain steel"


NONSENSE = {
    "negative hours": (billet, {"hours": Decimal(-1)}, "hours"),
    "negative gas": (billet, {"gas": Decimal(-1)}, "gas"),
    "gas that is no number": (billet, {"gas": Decimal("NaN")}, "gas"),
    "unknown tool": (billet, {"tool": "crane"}, "tool"),
    "nothing needed": (knife, {"needed": Decimal(0)}, "needed"),
    "negative grinding": (knife, {"ground": Decimal(-1)}, "ground"),
    "negative pins": (knife, {"pins": -1}, "pins"),
    "unknown handle": (knife, {"handle": "ball"}, "handle"),
    "negative price": (knife, {"handle_price": Decimal(-1)}, "handle_price"),
    "hours below zero": (knife, {"hours": {"grind": Decimal(-1)}}, "hours.grind"),
    "hours of no row": (knife, {"hours": {"dreaming": Decimal(1)}}, "hours"),
    "no blade in the kiln": (job, {"blades_per_firing": 0}, "blades_per_firing"),
}


@pytest.mark.parametrize("name", list(NONSENSE))
def test_what_makes_no_sense_is_refused_by_name(name):
    make, changes, field = NONSENSE[name]
    assert refusal(lambda: make(**changes)) == field


@pytest.mark.parametrize("field", ["mass", "price"])
def test_negative_steel_is_refused_by_name(field):
    bad = steel(**{field: Decimal(-1)})
    assert refusal(lambda: billet(steels=(bad,))) == field


def test_shared_billet_is_slow_for_all_its_knives_at_once():
    """Law: parts of one uncertain whole scatter together; their band is the whole's."""
    whole, shared = job(), job(knives=(knife(), knife(name="second")))
    one, two = (cost(each, rates()).hours[0] for each in (whole, shared))
    assert one.row == two.row == "billet"
    assert (one.expected, one.low, one.high) == (two.expected, two.low, two.high)
