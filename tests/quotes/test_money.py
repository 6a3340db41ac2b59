"""Money to the cent: against published rules and an independent integer sum."""

from decimal import ROUND_HALF_EVEN, Decimal

import numpy as np
import pytest
from babel.numbers import get_currency_precision
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.errors import QuoteError
from quotes.money import (
    EXPONENTS,
    Taxed,
    cent,
    deposit_of,
    from_gross,
    from_net,
    money,
    quantity,
    rounded,
    split,
    tax_on,
    tax_sums,
    tax_within,
    total,
)  # fmt: skip

QUICK = settings(max_examples=500, deadline=None, database=None)
CURRENCIES = st.sampled_from(["EUR", "JPY", "KWD"])
PERCENTS = st.sampled_from([Decimal(0), Decimal("7"), Decimal("19"), Decimal("8.1")])


@pytest.mark.parametrize("currency", list(EXPONENTS))
def test_smallest_unit_is_that_of_the_standard(currency):
    """ISO 4217, as Babel retells it."""
    assert EXPONENTS[currency] == get_currency_precision(currency)
    assert cent(currency) == Decimal(10) ** -get_currency_precision(currency)


def test_ties_go_up_as_an_invoice_reads_and_not_to_even():
    """EN 16931 validation rules (open rule set): sums round halves upward."""
    tie = Decimal("37.50") * 19 / 100
    assert tax_on(Decimal("37.50"), Decimal(19)) == Decimal("7.13")
    assert tie.quantize(Decimal("0.01"), ROUND_HALF_EVEN) == Decimal("7.12")
    assert tax_on(Decimal("12.50"), Decimal(19)) == Decimal("2.38")


def test_tax_is_taken_once_a_rate_on_the_sum():
    """EN 16931 validation rules, BR-CO-14 and BR-CO-17: 21.38; by line it is 21.39."""
    lines = [(Decimal("37.50"), Decimal(19))] * 3
    (once,) = tax_sums(lines)
    assert (once.base, once.tax) == (Decimal("112.50"), Decimal("21.38"))
    by_line = [tax_on(net, percent) for net, percent in lines]
    assert total(by_line) == Decimal("21.39")


def test_float_rounding_would_have_been_a_cent_off():
    """Python documentation, built-in round: 2.675 is stored below itself."""
    assert round(2.675, 2) == 2.67
    assert money(Decimal("2.675")) == Decimal("2.68")


def test_tax_inside_a_gross_amount():
    """Adviser's example, common practice, no source: 890.00 at 19 %."""
    whole = from_gross(Decimal("890.00"), Decimal(19))
    assert (whole.tax, whole.net) == (Decimal("142.10"), Decimal("747.90"))


def test_final_invoice_takes_off_deposits_and_their_tax():
    """Tax adviser's example, common practice, no source: 5,950 are left to pay."""
    whole = from_net(Decimal(10000), Decimal(19))
    advance = Taxed(net=Decimal(2500), tax=Decimal(475), gross=Decimal(2975))
    left = whole - advance - advance
    assert (left.net, left.tax, left.gross) == (5000, 950, 5950)


def test_a_deposit_of_the_worked_example():
    """Worked example of a commission, common practice, no source."""
    whole = from_net(Decimal("1467.38"), Decimal(19))
    deposit = deposit_of(whole, Decimal(30), Decimal(19))
    assert deposit == Taxed(
        net=Decimal("440.21"), tax=Decimal("83.64"), gross=Decimal("523.85")
    )
    assert whole - deposit == Taxed(
        net=Decimal("1027.17"), tax=Decimal("195.16"), gross=Decimal("1222.33")
    )


def test_quantity_is_the_only_door_and_refuses_samples():
    assert quantity(0.1 + 0.2) == Decimal("0.300")
    assert quantity(np.float64(0.0005)) == Decimal("0.001")
    with pytest.raises(TypeError):
        quantity(np.array([0.1, 0.2]))


def test_an_unknown_currency_is_refused_by_name():
    with pytest.raises(QuoteError) as refused:
        money(Decimal(1), "XYZ")
    assert refused.value.field == "currency"
    assert refused.value.values["currency"] == "XYZ"


@pytest.mark.parametrize("weights", [[], [Decimal(0)], [Decimal(2), Decimal(-1)]])
def test_an_amount_is_not_shared_out_by_weights_that_make_no_sense(weights):
    with pytest.raises(QuoteError):
        split(Decimal("1.00"), weights)


amounts = st.integers(0, 10**9).map(lambda minor: Decimal(minor) / 100)


@QUICK
@given(
    minor=st.integers(0, 10**9), currency=CURRENCIES,
    weights=st.lists(st.integers(1, 10**6).map(Decimal), min_size=1, max_size=12),
)  # fmt: skip
def test_parts_add_up_and_lie_within_a_unit_of_their_share(minor, currency, weights):
    unit = cent(currency)
    amount = minor * unit
    parts = split(amount, weights, currency)
    assert sum(parts) == amount
    for part, weight in zip(parts, weights, strict=True):
        assert abs(part - amount * weight / sum(weights)) < unit


def integer_money(quantity_thousandths, rate_minor, percent_hundredths):
    """A line and its tax in whole minor units, by integer arithmetic alone."""
    line = (quantity_thousandths * rate_minor * 2 + 1000) // 2000
    return line, (line * percent_hundredths * 2 + 10000) // 20000


LINE = st.tuples(st.integers(1, 99_999), st.integers(0, 10**7), PERCENTS)


@QUICK
@given(lines=st.lists(LINE, min_size=1, max_size=60), currency=CURRENCIES)
def test_lines_taxes_and_totals_agree_with_an_integer_sum(lines, currency):
    """Independent: nothing but integers, minor units, halves up."""
    unit, sums, ours = cent(currency), {}, []
    for count, rate, percent in lines:
        line, _tax = integer_money(count, rate, 0)
        sums[percent] = sums.get(percent, 0) + line
        amount = money(rounded(Decimal(count) / 1000, 3) * (rate * unit), currency)
        assert amount == line * unit
        ours.append((amount, percent))
    taxes = {
        percent: (base * int(percent * 100) * 2 + 10000) // 20000
        for percent, base in sums.items()
    }
    for one in tax_sums(ours, currency):
        assert one.base == sums[one.percent] * unit
        assert one.tax == taxes[one.percent] * unit
    assert total(net for net, _ in ours) == sum(sums.values()) * unit


@QUICK
@given(net=amounts, percent=PERCENTS, share=st.integers(0, 100).map(Decimal))
def test_taxes_of_deposit_and_final_invoice_are_the_whole_tax(net, percent, share):
    whole = from_net(net, percent)
    deposit = deposit_of(whole, share, percent)
    final = whole - deposit
    assert deposit.tax + final.tax == whole.tax
    assert deposit.net + final.net == whole.net
    for part in (deposit, final):
        assert part.net + part.tax == part.gross
    assert deposit.tax == tax_within(deposit.gross, percent)
