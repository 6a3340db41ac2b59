"""Random terms against integers: lines, totals, tax, deposit and options to the coin.

Orders of one to three knives in several currencies, taxed in several ways, read with
tax or before it. What the program asks is compared with ``terms_in_coins``, which
knows only the prices of the knives. ``HAMMERSCALE_TERMS`` asks for more of them,
``HAMMERSCALE_SEED`` for others.
"""

import datetime as dt
import os
import random
from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal

import pytest

from quotes.costing import cost
from quotes.errors import QuoteError
from quotes.extra_items import EXTRAS
from quotes.models import Extra, QuoteDraft, Variant
from quotes.money import EXPONENTS
from quotes.pricing import price_order, with_spec
from quotes.rates import Tax, overridden
from quotes.terms.offering import offered_by
from quotes.terms.terms import Terms, spec_with
from tests.quotes.orders import ready_order, ready_shop
from tests.quotes.terms_in_coins import CoinTerms, Refused, offers

pytestmark = pytest.mark.django_db

COUNT = int(os.environ.get("HAMMERSCALE_TERMS", "600"))
PRICED = 48  # so many priced orders are shared by all terms
SEED = int(os.environ.get("HAMMERSCALE_SEED", "20261125"))
DAY = dt.date(2026, 4, 2)
CURRENCIES = ("JPY", "EUR", "CHF", "KWD")  # 0, 2, 2 and 3 places
STEPS = (0, 0, 1, 5, 10, 50, 100)
OTHER = ({}, {"handle": "d"}, {"bolster_mass": 0.035}, {"ferrule": "none"})


@dataclass(frozen=True)
class Case:
    """An order priced, terms for it, and the same in coins."""

    priced: object
    terms: Terms
    coins: CoinTerms
    own: tuple
    others: tuple
    places: int

    def of(self, decimal):
        """A Decimal in coins; it has to be a whole number of them."""
        coins = decimal.scaleb(self.places)
        assert coins == int(coins), decimal
        return int(coins)


@pytest.fixture
def orders():
    """Three orders priced once; what a draw changes of them is never saved."""
    ready_shop()
    names = ("One", "Two", "Three")
    found = [price_order(ready_order(*names[:count]), DAY) for count in (1, 2, 3)]
    for at, one in enumerate(found):
        assert len(one.knives) == at + 1
    return found


@pytest.fixture
def cases(orders):
    draw = random.Random(SEED)
    priced = [
        repriced(draw, orders[place % len(orders)], CURRENCIES[place % len(CURRENCIES)])
        for place in range(PRICED)
    ]
    return [random_case(draw, draw.choice(priced)) for _place in range(COUNT)]


def random_case(draw, plain):
    mode, currency = draw.choice(["gross", "net"]), plain.lines.currency
    places = EXPONENTS[currency]
    priced = replace(plain, order=Read(plain.order, business=mode == "net"))
    variants = tuple(random_variants(draw, priced, places))
    own = knife_coins(priced, mode, places)
    coins = random_terms(draw, priced, mode, sum(own), places)
    return Case(
        priced=priced, terms=in_rows(draw, plain.order, coins, currency, variants),
        coins=coins, own=own, places=places,
        others=tuple(with_option(priced, one, mode, places) for one in variants),
    )  # fmt: skip


class Read:
    """An order as another customer would read it."""

    def __init__(self, order, *, business):
        self.order, self.customer = order, self
        self.business = business

    def __getattr__(self, name):
        return getattr(self.order, name)


def repriced(draw, priced, currency):
    """The same knives at other rates: hour, margin, deposit, tax, currency."""
    changes = {
        "labour": Decimal(draw.randint(2000, 15000)).scaleb(-2),
        "margin": Decimal(draw.randint(0, 4000)).scaleb(-2),
        "deposit": Decimal(draw.choice([0, 3000, 3333, 5000, 10000])).scaleb(-2),
    }
    regime = draw.choice(["standard"] * 4 + ["small", "export"])
    percent = Decimal(draw.choice([1900, 2000, 810, 2550, draw.randint(0, 3000)]))
    tax = Tax(regime=regime, percent=percent.scaleb(-2), valid_from=DAY)
    rates = replace(overridden(priced.rates, changes), tax=tax, currency=currency)
    job = replace(priced.job, currency=currency)
    return replace(priced, rates=rates, job=job, lines=cost(job, rates))


def random_variants(draw, priced, places):
    for place in range(draw.choice([0, 0, 0, 1, 2])):
        yield Variant(
            label=f"Way {place}", knife=draw.choice(priced.knives)[0],
            more=Decimal(draw.choice([0, draw.randint(0, 9999)])).scaleb(-places),
            **draw.choice(OTHER),
        )  # fmt: skip


def knife_coins(priced, mode, places):
    amounts = [getattr(one, mode).scaleb(places) for one in priced.lines.knives]
    assert all(one == int(one) for one in amounts)
    return tuple(int(one) for one in amounts)


def with_option(priced, variant, mode, places):
    """What the knives cost with an option, what is charged more for it in them."""
    other = with_spec(priced, variant.knife, spec_with(variant))
    coins, more = knife_coins(other, mode, places), int(variant.more.scaleb(places))
    return tuple(
        coin + more * (knife == variant.knife)
        for coin, (knife, _result) in zip(coins, priced.knives, strict=True)
    )


def random_terms(draw, priced, mode, knives, places):
    rate = int(priced.lines.price.taxes[0].percent.scaleb(2))
    extras = tuple(
        (draw.randint(0, 10 ** draw.randint(1, 5)),
         draw.choice([None, None, 0, 700, 1900, draw.randint(0, 3000)]))
        for _place in range(draw.choice([0, 1, 2, 4]))
    )  # fmt: skip
    charged = sum(coins for coins, _rate in extras)
    asked = draw.choice([None, None, draw.randint(0, 2 * knives) + charged // 2])
    return CoinTerms(
        mode=mode, rate=rate, extras=extras, asked=asked,
        percent=draw.choice([0, 0, 1000, draw.randint(0, 9999)]),
        off=draw.choice([0, 0, draw.randint(0, knives // 2)]),
        step=draw.choice(STEPS) * 10**places,
        deposit=int(priced.rates.value("deposit").scaleb(2)),
    )  # fmt: skip


def in_rows(draw, order, coins, currency, variants):
    places = EXPONENTS[currency]

    def amount(coin):
        return Decimal(coin).scaleb(-places)

    draft = QuoteDraft(
        order=order, currency=currency, kind="fixed", discount=amount(coins.off),
        discount_percent=Decimal(coins.percent).scaleb(-2),
        asked=None if coins.asked is None else amount(coins.asked),
        step=Decimal(coins.step).scaleb(-places),
    )  # fmt: skip
    extras = tuple(
        Extra(
            key=draw.choice(list(EXTRAS)), amount=amount(coin),
            percent=None if rate is None else Decimal(rate).scaleb(-2),
        )
        for coin, rate in coins.extras
    )  # fmt: skip
    return Terms(draft=draft, extras=extras, variants=variants)


# --- compared ------------------------------------------------------------------------


def test_terms_ask_what_integers_say(cases):
    """Law, to the coin: what cannot be met is refused, all else adds up the same."""
    counts = Counter()
    for case in cases:
        try:
            said = offers(case.own, case.others, case.coins)
        except Refused:
            with pytest.raises(QuoteError) as refused:
                offered_by(case.priced, case.terms)
            assert refused.value.field in ("discount", "asked")
            counts["refused"] += 1
            continue
        found = offered_by(case.priced, case.terms)
        check(case, found, said)
        count(counts, case, found)
    check_all_kinds_came(counts)


def check(case, found, said):
    first, ways = said
    check_way(case, found, first)
    assert found.mode == case.coins.mode
    cost_coins = case.of(case.priced.lines.price.cost)
    assert case.of(found.left) == knives_net(case, found) - cost_coins
    assert len(found.choices) == len(ways)
    for choice, way in zip(found.choices, ways, strict=True):
        check_way(case, choice, way)
    due = found.final
    assert case.of(due.gross) == first.gross - first.deposit[0]
    assert case.of(due.tax) == first.tax - first.deposit[1]


def check_way(case, found, said):
    assert lines(case, found, "knife") == [
        (one, case.coins.rate) for one in said.knives
    ]
    assert lines(case, found, "extra", "charge") == list(said.extras)
    off = [(said.discount, case.coins.rate)] if said.discount else []
    assert lines(case, found, "discount") == off
    added = found.sums
    assert [
        (int(one.percent.scaleb(2)), case.of(one.base), case.of(one.tax))
        for one in added.taxes
    ] == list(said.taxes)
    for name in ("net", "tax", "gross", "read"):
        assert case.of(getattr(added, name)) == getattr(said, name), name
    assert (case.of(found.deposit.gross), case.of(found.deposit.tax)) == said.deposit
    check_sides(case, added)


def check_sides(case, added):
    """Each side of the lines adds up, and none is a coin off its other side."""
    for side in ("read", "net", "gross"):
        assert sum(case.of(getattr(one, side)) for one in added.shown) == case.of(
            getattr(added, side)
        )
    for one in added.shown:
        rate = int(one.percent.scaleb(2))
        net, gross = case.of(one.net), case.of(one.gross)
        off = abs(gross * 10_000 - net * (10_000 + rate))
        assert off <= (10_000 if case.coins.mode == "net" else 10_000 + rate)


def lines(case, found, *kinds):
    return [
        (case.of(one.amount.amount), int(one.amount.percent.scaleb(2)))
        for one in found.items if one.kind in kinds
    ]  # fmt: skip


def knives_net(case, found):
    return sum(
        case.of(shown.net)
        for item, shown in zip(found.items, found.sums.shown, strict=True)
        if item.kind in ("knife", "discount")
    )


def count(counts, case, found):
    coins = case.coins
    counts[coins.mode] += 1
    counts[found.currency] += 1
    counts["own rate"] += len(found.sums.taxes) > 1
    counts["untaxed"] += not coins.rate
    counts["options"] += bool(case.others)
    counts["more to pay"] += any(one.more for one in case.terms.variants)
    counts["per cent and amount"] += bool(coins.percent and coins.off)
    counts["asked"] += coins.asked is not None
    counts["rounded"] += bool(coins.step and coins.asked is None)
    counts["charges"] += any(one.kind == "charge" for one in found.items)


def check_all_kinds_came(counts):
    for kind in (*CURRENCIES, "gross", "net", "own rate", "untaxed", "options",
                 "more to pay", "per cent and amount", "asked", "rounded", "charges",
                 "refused"):  # fmt: skip
        assert counts[kind] > COUNT / 50, (kind, counts)
    assert counts["gross"] + counts["net"] > 0.6 * COUNT
