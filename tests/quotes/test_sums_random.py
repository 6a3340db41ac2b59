"""Random quotes against integers: not a coin off, and what is shown adds up.

The sums are made a second time in whole coins, without Decimal and without the
program's own functions, and compared. ``HAMMERSCALE_QUOTES`` asks for more of them,
``HAMMERSCALE_SEED`` for others.
"""

import os
from collections import defaultdict
from dataclasses import dataclass

import pytest

from quotes.errors import QuoteError
from quotes.money import EXPONENTS, deposit_of
from quotes.sums import Amount, sums
from quotes.terms.offering import whole_of
from tests.quotes.random_quotes import random_quotes

COUNT = int(os.environ.get("HAMMERSCALE_QUOTES", "2000"))
SEED = int(os.environ.get("HAMMERSCALE_SEED", "20261125"))
WHOLE = 10_000  # a rate in hundredths of a per cent, of one


def half_up(above, below):
    """Integer division, halves up; for numbers from zero on."""
    return (2 * above + below) // (2 * below)


@dataclass(frozen=True)
class Coins:
    """The same quote in integers: (kind, coins, rate in hundredths of a per cent)."""

    rows: tuple
    mode: str
    places: int

    def of(self, decimal):
        """A Decimal in coins; it has to be a whole number of them."""
        coins = decimal.scaleb(self.places)
        assert coins == int(coins), decimal
        return int(coins)

    def read(self, rate):
        signs = {"line": 1, "charge": 1, "allowance": -1}
        return sum(signs[kind] * coin for kind, coin, own in self.rows if own == rate)

    def of_rate(self, rate):
        """Base and tax of everything at one rate."""
        read = self.read(rate)
        if self.mode == "net":
            return read, half_up(read * rate, WHOLE)
        tax = half_up(read * rate, WHOLE + rate)
        return read - tax, tax

    @property
    def rates(self):
        return sorted({rate for _kind, _coin, rate in self.rows}, reverse=True)


def in_coins(quote):
    places = EXPONENTS[quote.currency]
    rows = tuple(
        (one.kind, int(one.amount.scaleb(places)), int(one.percent.scaleb(2)))
        for one in quote.amounts
    )
    return Coins(rows=rows, mode=quote.mode, places=places)


@pytest.fixture(scope="module")
def quotes():
    """Every quote with its sums and with itself in coins."""
    return [
        (one, sums(one.amounts, one.mode, one.currency), in_coins(one))
        for one in random_quotes(SEED, COUNT)
    ]


def test_there_are_all_kinds_of_quotes(quotes):
    counts = defaultdict(int)
    for quote, _added, coins in quotes:
        counts[quote.mode] += 1
        counts[coins.places] += 1
        counts[f"{len(coins.rates)} rates"] += 1
        counts["untaxed"] += coins.rates == [0]
        counts["long"] += len(coins.rows) > 40
        counts["taken off"] += any(kind == "allowance" for kind, *_rest in coins.rows)
    wanted = ("gross", "net", 0, 2, 3, "1 rates", "2 rates", "3 rates")
    for kind in (*wanted, "untaxed", "long", "taken off"):
        assert counts[kind] > COUNT / 20, kind


def test_every_total_is_that_of_the_integers(quotes):
    """Law: tax once for each rate on the sum, halves up (R9, integer arithmetic)."""
    for _quote, added, coins in quotes:
        expected = [(rate, *coins.of_rate(rate)) for rate in coins.rates]
        found = [
            (int(one.percent.scaleb(2)), coins.of(one.base), coins.of(one.tax))
            for one in added.taxes
        ]
        assert found == expected
        net = sum(base for _rate, base, _tax in expected)
        tax = sum(tax for _rate, _base, tax in expected)
        assert coins.of(added.net) == net
        assert coins.of(added.tax) == tax
        assert coins.of(added.gross) == net + tax


def test_lines_that_are_shown_add_up_to_the_total_that_is_shown(quotes):
    """Law, in every column: as read, before tax, with tax."""
    for quote, added, coins in quotes:
        assert len(added.shown) == len(quote.amounts)
        read = [coins.of(one.read) for one in added.shown]
        signs = [-1 if kind == "allowance" else 1 for kind, *_rest in coins.rows]
        assert read == [
            sign * coin
            for sign, (_kind, coin, _rate) in zip(signs, coins.rows, strict=True)
        ]
        assert sum(read) == coins.of(added.read)
        assert sum(coins.of(one.net) for one in added.shown) == coins.of(added.net)
        assert sum(coins.of(one.gross) for one in added.shown) == coins.of(added.gross)


def test_no_line_is_a_coin_away_from_its_other_side(quotes):
    """Law: only what rounding leaves over is moved between lines."""
    for _quote, added, coins in quotes:
        for one, (_kind, _coin, rate) in zip(added.shown, coins.rows, strict=True):
            net, gross = coins.of(one.net), coins.of(one.gross)
            off = abs(gross * WHOLE - net * (WHOLE + rate))
            assert off <= (WHOLE if coins.mode == "net" else WHOLE + rate)


def test_sums_obey_the_rules_of_the_electronic_invoice(quotes):
    """EN 16931, BR-CO-10 to BR-CO-17 of the open validation rules.

    BT-106 = sum of BT-131; BT-109 = BT-106 - BT-107 + BT-108; BT-110 = sum of BT-117;
    BT-112 = BT-109 + BT-110; BT-115 = BT-112 - BT-113; BT-117 = BT-116 x rate, off by
    less than a whole unit. What was read with tax is a coin off at most.
    """
    for quote, added, coins in quotes:
        kinds = defaultdict(int)
        for one, (kind, *_rest) in zip(added.shown, coins.rows, strict=True):
            kinds[kind] += coins.of(one.net)
        assert coins.of(added.lines) == kinds["line"]
        assert coins.of(added.allowances) == -kinds["allowance"]
        assert coins.of(added.charges) == kinds["charge"]
        assert added.net == added.lines - added.allowances + added.charges
        assert added.tax == sum(one.tax for one in added.taxes)
        assert added.gross == added.net + added.tax
        for one in added.taxes:
            rate, tax = int(one.percent.scaleb(2)), coins.of(one.tax)
            off = abs(tax - half_up(coins.of(one.base) * rate, WHOLE))
            assert off <= (0 if quote.mode == "net" else 1)


def test_taxes_of_deposit_and_final_invoice_are_the_whole_tax(quotes):
    """Law, at quotes of one rate; BR-CO-16: due = total - paid."""
    one_rate = [one for one in quotes if len(one[1].taxes) == 1]
    assert len(one_rate) > COUNT / 10
    for quote, added, coins in one_rate:
        rate = coins.rates[0]
        share = int(quote.deposit.scaleb(2))
        whole = whole_of(added)
        deposit = deposit_of(
            whole, quote.deposit, added.taxes[0].percent, quote.currency
        )
        paid = half_up(coins.of(added.gross) * share, WHOLE)
        tax_paid = half_up(paid * rate, WHOLE + rate)
        final = whole - deposit
        assert coins.of(deposit.gross) == paid
        assert coins.of(deposit.tax) == tax_paid
        assert coins.of(final.gross) == coins.of(added.gross) - paid
        assert coins.of(final.tax) == coins.of(added.tax) - tax_paid
        assert coins.of(final.net) >= 0
        assert coins.of(final.tax) >= 0


def test_more_taken_off_than_there_is_is_refused(quotes):
    for quote, _added, coins in quotes[:200]:
        rate = coins.rates[0]
        unit = type(quote.deposit)(1).scaleb(-coins.places)
        over = Amount(
            kind="allowance",
            amount=(coins.read(rate) + 1) * unit,
            percent=type(quote.deposit)(rate).scaleb(-2),
        )
        with pytest.raises(QuoteError) as refused:
            sums((*quote.amounts, over), quote.mode, quote.currency)
        assert refused.value.field == "discount"
