"""The sums of a quote, against published examples and laws."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.costing import risk_line
from quotes.errors import QuoteError
from quotes.money import Taxed, apportioned, deposit_of, money, tax_on, total
from quotes.sums import Amount, rounded_up, share_out, sums
from quotes.terms.offering import whole_of
from quotes.year.rate import margin_in, price_at_margin


def line(amount, percent=19, kind="line"):
    return Amount(kind=kind, amount=Decimal(amount), percent=Decimal(percent))


# --- published examples -----------------------------------------------------------


def test_halves_go_up_and_tax_is_taken_once():
    """EN 16931 rules: 37.50 at 19 % is 7.13; three of them 21.38, by line 21.39."""
    one, three = sums([line("37.50")], "net"), sums([line("37.50")] * 3, "net")
    assert one.tax == Decimal("7.13")
    assert three.tax == Decimal("21.38")
    assert total(
        tax_on(Decimal("37.50"), Decimal(19)) for _line in range(3)
    ) == Decimal("21.39")


def test_tax_comes_out_of_an_amount_that_holds_it():
    """Worked example: 890.00 at 19 % holds 142.10, net 747.90."""
    added = sums([line("890.00")], "gross")
    assert (added.tax, added.net) == (Decimal("142.10"), Decimal("747.90"))
    assert (added.gross, added.read) == (Decimal("890.00"), Decimal("890.00"))


def test_worked_example_from_direct_cost_to_the_final_invoice():
    """Common practice, no source: 1 152.85 direct, 8.19 % risk, 15 % margin, 19 %."""
    direct = Decimal("1152.85")
    risk = risk_line(direct, Decimal("0.0819"), "EUR")
    assert risk.amount == Decimal("94.42")
    net = money(price_at_margin(direct + risk.amount, Decimal("0.15")))
    added = sums([line(net)], "net")
    assert (added.net, added.tax) == (Decimal("1467.38"), Decimal("278.80"))
    assert added.gross == Decimal("1746.18")
    deposit = deposit_of(whole_of(added), Decimal(30), Decimal(19))
    assert (deposit.gross, deposit.tax) == (Decimal("523.85"), Decimal("83.64"))
    assert deposit.net == Decimal("440.21")
    final = whole_of(added) - deposit
    assert final == Taxed(
        net=Decimal("1027.17"), tax=Decimal("195.16"), gross=Decimal("1222.33")
    )


def test_price_of_that_example_is_the_same_read_with_its_tax():
    added = sums([line("1746.18")], "gross")
    assert (added.net, added.tax) == (Decimal("1467.38"), Decimal("278.80"))


def test_final_invoice_of_an_adviser_takes_off_both_advances():
    """Tax adviser's example, common practice: 10 000 + 1 900 less 2 x (2 500 + 475)."""
    whole = whole_of(sums([line("10000.00")], "net"))
    advance = whole_of(sums([line("2500.00")], "net"))
    assert advance == Taxed(
        net=Decimal("2500.00"), tax=Decimal("475.00"), gross=Decimal("2975.00")
    )
    left = whole - advance - advance
    assert left == Taxed(
        net=Decimal("5000.00"), tax=Decimal("950.00"), gross=Decimal("5950.00")
    )


def test_round_price_is_set_on_what_a_consumer_reads():
    """Worked example: 1 746.18 becomes 1 750, and its net is derived from it."""
    asked = rounded_up(Decimal("1746.18"), Decimal(10))
    added = sums([line(money(asked))], "gross")
    assert added.gross == Decimal("1750.00")
    assert added.net + added.tax == Decimal("1750.00")
    assert added.tax == money(Decimal(1750) * 19 / 119)


# --- several rates, discounts, charges -----------------------------------------------


def test_each_rate_is_taxed_on_its_own_sum_highest_first():
    rows = [line("100.00"), line("50.00", 7), line("20.00"), line("9.99", 7)]
    added = sums(rows, "net")
    found = [(one.percent, one.base, one.tax) for one in added.taxes]
    assert found == [
        (Decimal(19), Decimal("120.00"), Decimal("22.80")),
        (Decimal(7), Decimal("59.99"), Decimal("4.20")),
    ]
    assert added.gross == Decimal("206.99")


def test_discount_lowers_the_base_of_its_rate():
    rows = [line("200.00"), line("20.00", kind="allowance"), line("15.00", 0, "charge")]
    added = sums(rows, "net")
    assert (added.lines, added.allowances, added.charges) == (200, 20, 15)
    assert added.net == 195
    assert added.tax == Decimal("34.20")
    assert added.shown[1].read == -20
    assert added.shown[1].gross == Decimal("-23.80")


def test_no_tax_leaves_both_readings_equal():
    rows = [line("12.34", 0), line("0.66", 0)]
    net, gross = sums(rows, "net"), sums(rows, "gross")
    assert net == gross
    assert (net.tax, net.gross) == (0, Decimal("13.00"))


def test_more_taken_off_than_there_is_is_refused():
    rows = [line("10.00"), line("10.01", kind="allowance")]
    with pytest.raises(QuoteError, match="More is taken off") as refused:
        sums(rows, "gross")
    assert refused.value.field == "discount"


@pytest.mark.parametrize(
    ("amount", "currency"),
    [("-0.01", "EUR"), ("1.001", "EUR"), ("0.5", "JPY"), ("0.0001", "KWD")],
)
def test_amount_that_is_no_whole_number_of_coins_is_refused(amount, currency):
    with pytest.raises(QuoteError) as refused:
        sums([line(amount)], "net", currency)
    assert refused.value.field == "amount"


def test_nothing_adds_up_to_nothing():
    added = sums([], "gross")
    assert (added.net, added.tax, added.gross, added.shown) == (0, 0, 0, ())


# --- laws ---------------------------------------------------------------------------


COINS = st.integers(0, 10**9)


@given(
    st.lists(st.tuples(COINS, st.integers(1, 500)), min_size=1, max_size=20),
    st.sampled_from([("EUR", 2), ("JPY", 0), ("KWD", 3)]),
)
def test_rounded_parts_add_up_and_keep_within_a_coin(pairs, currency):
    code, places = currency
    exact = [Decimal(coin) / Decimal(below) for coin, below in pairs]
    unit = Decimal(1).scaleb(-places)
    whole = money(total(exact), code)
    parts = apportioned(exact, whole, code)
    assert total(parts) == whole
    for part, (coin, below) in zip(parts, pairs, strict=True):
        assert abs(Fraction(part) - Fraction(coin, below)) <= Fraction(unit)


@given(st.lists(COINS, min_size=1, max_size=20), COINS)
def test_amounts_shared_out_anew_add_up_and_keep_their_order(coins, whole):
    amounts = [Decimal(coin).scaleb(-2) for coin in coins]
    wanted = Decimal(whole).scaleb(-2)
    parts = share_out(amounts, wanted)
    assert total(parts) == wanted
    assert all(part >= 0 for part in parts)
    if total(amounts) == wanted:
        assert parts == amounts


@given(COINS, st.sampled_from([1, 5, 10, 50, 100]))
def test_rounding_up_gives_the_next_multiple(coin, step):
    amount = Decimal(coin).scaleb(-2)
    up = rounded_up(amount, Decimal(step))
    assert up % step == 0
    assert 0 <= up - amount < step


def test_no_step_leaves_the_exact_sum():
    assert rounded_up(Decimal("12.34"), Decimal(0)) == Decimal("12.34")


@given(st.integers(1, 10**8), st.integers(0, 999))
def test_margin_and_price_lead_back_to_each_other(coin, per_mille):
    """Law: price = cost / (1 - m), so (price - cost) / price is m again."""
    cost, margin = Decimal(coin).scaleb(-2), Decimal(per_mille).scaleb(-3)
    price = price_at_margin(cost, margin)
    assert margin_in(price, cost) == pytest.approx(margin, abs=Decimal("1e-20"))


@given(COINS, st.integers(1, 10_000), st.sampled_from(["EUR", "JPY", "KWD"]))
def test_gross_of_a_net_price_gives_the_net_price_back(coin, hundredths, currency):
    """Law: reading a price with its tax takes out what was put on."""
    places = {"EUR": 2, "JPY": 0, "KWD": 3}[currency]
    percent = Decimal(hundredths).scaleb(-2)
    net = Decimal(coin).scaleb(-places)
    there = sums([line(net, percent)], "net", currency)
    back = sums([line(there.gross, percent)], "gross", currency)
    assert (back.net, back.tax) == (there.net, there.tax)
