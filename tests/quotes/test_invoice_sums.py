"""The sums of invoices: the worked example, the standard's rules, random advances."""

import os
from decimal import Decimal

import numpy as np
import pytest

from quotes.errors import QuoteError
from quotes.invoices.amounts import (
    Asked,
    Bill,
    advance_bill,
    billed,
    category_of,
    opposite,
    rest_of,
)
from quotes.money import EXPONENTS
from quotes.sums import Amount
from tests.quotes.random_quotes import random_quotes
from tests.quotes.test_sums_random import WHOLE, half_up, in_coins

COUNT = int(os.environ.get("HAMMERSCALE_QUOTES", "2000"))
MOST_ADVANCES = 3


def line(amount, percent, kind="line"):
    amount = Amount(kind=kind, amount=Decimal(amount), percent=Decimal(percent))
    return Asked(label="Oak", amount=amount)


def advances_of(whole, payments, currency="EUR"):
    made = []
    for payment in payments:
        before = [part for one in made for part in one.taxes]
        made.append(
            advance_bill(whole, before, payment, label="Advance", currency=currency)
        )
    return made


def test_final_invoice_of_the_worked_example():
    """A tax adviser's published example (common practice), quoted from memory.

    10,000 and 1,900 tax; two advances of 2,500 and 475 tax; left 5,000 and 950.
    """
    whole = billed([line("10000.00", 19)], "net", "standard")
    assert (whole.net, whole.tax) == (10_000, 1_900)
    made = advances_of(whole, [Decimal(2975), Decimal(2975)])
    assert [(one.net, one.tax) for one in made] == [(2_500, 475)] * 2
    rest = rest_of(whole, [one.whole for one in made])
    assert (rest.net, rest.tax, rest.gross) == (5_000, 950, 5_950)


def test_categories_are_those_of_the_code_list():
    """UNTDID 5305 as EN 16931 uses it: S, Z, E, G (quoted from memory)."""
    assert category_of(Decimal(19), "standard") == "S"
    assert category_of(Decimal(0), "standard") == "Z"
    assert category_of(Decimal(0), "small") == "E"
    assert category_of(Decimal(0), "export") == "G"
    with pytest.raises(QuoteError):
        category_of(Decimal(0), "reverse")


@pytest.mark.parametrize("amount", ["0.00", "-1.00", "890.01"])
def test_advance_outside_what_is_left_is_refused(amount):
    whole = billed([line("890.00", 19)], "gross", "standard")
    with pytest.raises(QuoteError) as refused:
        advance_bill(whole, [], Decimal(amount), label="Advance")
    assert refused.value.field == "payment"


def test_nothing_to_bill_is_refused():
    with pytest.raises(QuoteError):
        billed([], "gross", "standard")


# --- random quotes, against integers ----------------------------------------------


@pytest.fixture(scope="module")
def cases():
    """Random quotes with their bills, and advances of any size, up to all of it."""
    draw = np.random.default_rng(23)
    found = []
    for quote in random_quotes(61, COUNT, most_lines=12):
        asked = [Asked(label="Oak", amount=one) for one in quote.amounts]
        coins = in_coins(quote)
        regime = "export" if coins.rates == [0] else "standard"
        whole = billed(asked, quote.mode, regime, quote.currency)
        payments = _payments(draw, coins.of(whole.gross))
        unit = Decimal(1).scaleb(-EXPONENTS[quote.currency])
        made = advances_of(whole, [one * unit for one in payments], quote.currency)
        found.append((quote, coins, whole, payments, made))
    return found


def _payments(draw, left):
    """Up to three payments in coins; the last one now and then all that is left."""
    found = []
    for _place in range(int(draw.integers(0, MOST_ADVANCES, endpoint=True))):
        if not left:
            break
        coins = left if draw.random() < 0.2 else int(draw.integers(1, left + 1))
        found.append(coins)
        left -= coins
    return found


def test_there_are_all_kinds_of_cases(cases):
    assert len(cases) >= 2000 or len(cases) == COUNT
    numbers = [len(made) for *_rest, made in cases]
    assert all(numbers.count(n) > COUNT / 20 for n in range(MOST_ADVANCES + 1))
    full = [
        sum(paid) == coins.of(whole.gross) > 0 for _q, coins, whole, paid, _ in cases
    ]
    assert sum(full) > COUNT / 20


def test_taxes_of_advances_and_final_invoice_are_the_whole_tax(cases):
    """Law, by integers: not a coin of tax is owed twice or left out."""
    for _quote, coins, whole, payments, made in cases:
        by_rate = [coins.of_rate(rate) for rate in coins.rates]
        rest = rest_of(whole, [one.whole for one in made])
        net = sum(coins.of(one.net) for one in made) + coins.of(rest.net)
        tax = sum(coins.of(one.tax) for one in made) + coins.of(rest.tax)
        assert net == sum(base for base, _tax in by_rate)
        assert tax == sum(part for _base, part in by_rate)
        assert [coins.of(one.gross) for one in made] == payments
        assert coins.of(rest.gross) == net + tax - sum(payments)
        assert coins.of(rest.net) >= 0
        assert coins.of(rest.tax) >= 0


def test_tax_of_an_advance_is_what_its_amount_holds(cases):
    """Law at one rate, by integers; an advance that takes the last may differ."""
    seen = 0
    for _quote, coins, whole, payments, made in cases:
        if len(coins.rates) != 1 or not made:
            continue
        rate, base = coins.rates[0], coins.of(whole.net)
        expected = half_up(payments[0] * rate, WHOLE + rate)
        if payments[0] - expected <= base and expected <= coins.of(whole.tax):
            assert coins.of(made[0].tax) == expected
            seen += 1
    assert seen > COUNT / 10


def check_rules(bill: Bill, coins, most):
    """EN 16931, BR-CO-10 to BR-CO-17, BR-S-08 and its like, in whole coins.

    ``most`` is how many coins BT-117 may differ; the rules allow a unit, 1.00.
    """
    of = coins.of
    nets = dict.fromkeys(("line", "allowance", "charge"), 0)
    by_rate = {}
    for one in bill.lines:
        nets[one.kind] += of(one.net)
        by_rate[one.percent] = by_rate.get(one.percent, 0) + of(one.net)
    assert of(bill.lines_net) == nets["line"]  # BR-CO-10
    assert of(bill.allowances) == -nets["allowance"]  # BR-CO-11
    assert of(bill.charges) == nets["charge"]  # BR-CO-12
    assert of(bill.net) == sum(nets.values())  # BR-CO-13
    assert of(bill.tax) == sum(of(one.tax) for one in bill.taxes)  # BR-CO-14
    assert of(bill.gross) == of(bill.net) + of(bill.tax)  # BR-CO-15
    assert of(bill.due) == of(bill.gross) - of(bill.paid)  # BR-CO-16
    assert {one.percent: of(one.base) for one in bill.taxes} == by_rate  # BR-S-08
    for one in bill.taxes:
        rate = int(one.percent.scaleb(2))
        exact = half_up(abs(of(one.base)) * rate, WHOLE)
        assert abs(abs(of(one.tax)) - exact) <= most  # BR-CO-17
        assert (one.category == "S") == bool(one.percent)  # BR-S-05, BR-Z-05, BR-G-05


def test_sums_obey_the_rules_of_the_electronic_invoice(cases):
    """Rules as the open validation rules of EN 16931 state them."""
    for _quote, coins, whole, _payments, made in cases:
        check_rules(whole, coins, most=1)
        for one in made:
            check_rules(one, coins, most=2)
        check_rules(opposite(whole), coins, most=1)


def test_opposite_takes_back_every_amount(cases):
    """Law: an invoice and its cancelling document add up to nothing."""
    for _quote, _coins, whole, _payments, made in cases[:400]:
        for one in (whole, *made):
            back = opposite(one)
            for name in ("lines_net", "allowances", "charges", "net", "tax", "gross",
                         "paid", "due"):  # fmt: skip
                assert getattr(one, name) + getattr(back, name) == 0
            assert all(x.quantity == -1 for x in back.lines)
