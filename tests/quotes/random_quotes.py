"""Random quotes, the same again for the same seed: amounts, reading and currency."""

from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from quotes.money import EXPONENTS
from quotes.sums import Amount

CURRENCIES = ("JPY", "EUR", "USD", "KWD")  # 0, 2, 2 and 3 places
PERCENTS = (0, 550, 700, 810, 900, 1000, 1900, 2000, 2100, 2550, 2700)
MOST_LINES, MOST_DIGITS, MOST_BESIDE, MOST_RATES = 60, 7, 3, 3


@dataclass(frozen=True)
class RandomQuote:
    """Amounts as they are read, how, in which currency, and the deposit [%]."""

    amounts: tuple
    mode: str
    currency: str
    deposit: Decimal


def random_quotes(seed, count, most_lines=MOST_LINES):
    """Yield quotes of 1 to 60 lines at 0 to 3 rates, with charges and discounts."""
    draw = np.random.default_rng(seed)
    for _place in range(count):
        yield random_quote(draw, most_lines=most_lines)


def random_quote(draw, currencies=CURRENCIES, most_lines=MOST_LINES):
    """One quote; more is never taken off at a rate than there is of it."""
    currency = str(draw.choice(currencies))
    rates = _rates(draw)
    coins = [("line", *_coin(draw, rates)) for _ in range(_upto(draw, most_lines, 1))]
    coins += [("charge", *_coin(draw, rates)) for _ in range(_upto(draw, MOST_BESIDE))]
    coins += _allowances(draw, coins)
    return RandomQuote(
        amounts=tuple(_amount(*one, currency) for one in coins),
        mode=str(draw.choice(["gross", "net"])),
        currency=currency,
        deposit=Decimal(_upto(draw, 10000)).scaleb(-2),
    )


def _rates(draw):
    """No tax at all, or one to three rates; now and then an odd one."""
    count = _upto(draw, MOST_RATES)
    known = [int(one) for one in draw.choice(PERCENTS, count, replace=False)]
    if known and draw.random() < 0.3:
        known[0] = _upto(draw, 3000)
    return sorted(set(known)) or [0]


def _coin(draw, rates):
    """An amount in smallest coins, of any size, and its rate in hundredths."""
    return _upto(draw, 10 ** _upto(draw, MOST_DIGITS, 1)), int(draw.choice(rates))


def _allowances(draw, coins):
    left = {}
    for _kind, coin, percent in coins:
        left[percent] = left.get(percent, 0) + coin
    taken = []
    for _place in range(_upto(draw, MOST_BESIDE)):
        percent = int(draw.choice(list(left)))
        off = _upto(draw, left[percent])
        left[percent] -= off
        taken.append(("allowance", off, percent))
    return taken


def _amount(kind, coin, percent, currency):
    places = EXPONENTS[currency]
    return Amount(
        kind=kind,
        amount=Decimal(coin).scaleb(-places),
        percent=Decimal(percent).scaleb(-2),
    )


def _upto(draw, most, least=0):
    return int(draw.integers(least, most, endpoint=True))
