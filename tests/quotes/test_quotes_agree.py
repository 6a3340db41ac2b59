"""Page, paper, JSON and CSV of a quote agree to the coin with an integer sum.

Random quotes are issued into the database, read back, and shown in every way there is.
What each shows is compared with sums made in whole coins, without Decimal and without
the program's own functions. ``HAMMERSCALE_QUOTES`` asks for more of them.

A PDF takes long and knows nothing of the database its numbers come from: on SQLite all
quotes are printed, on PostgreSQL a hundred of them, of which the last are long ones.
Page, JSON and CSV are made of all quotes on both.
"""

import csv
import html
import io
import json
import os
import re
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from decimal import Decimal
from itertools import chain
from multiprocessing import get_context

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.utils import timezone, translation

from quotes import pdf
from quotes.models import Paper, Quote, QuoteLine, QuoteOption
from quotes.money import money
from quotes.offer.exports import quote_csv, quote_json
from quotes.offer.frozen import (
    Offer,
    OfferLine,
    OfferOption,
    kept_offer,
    line_rows,
    option_rows,
    quote_row,
)
from quotes.offer.price_table import price_table
from quotes.sums import Amount, sums
from tests.factories import OrderFactory
from tests.quotes.printing import read_back
from tests.quotes.random_quotes import random_quotes
from tests.quotes.test_sums_random import in_coins

pytestmark = pytest.mark.django_db

COUNT = int(os.environ.get("HAMMERSCALE_QUOTES", "2000"))
LONG = COUNT // 40
"""So many of them have up to 60 lines, the others one or two, with what is charged and
taken off beside them."""

BATCH, CORES = 100, 2
"""So many price tables are printed in one PDF, and so many PDFs at once."""

PRINTED = COUNT if connection.vendor == "sqlite" else min(COUNT, 100)
"""So many of them are printed: short ones, and the long ones at the end."""

KINDS = {"line": "knife", "charge": "charge", "allowance": "discount"}


class Case:
    """A random quote: in coins, as an offer, and with another way to have it."""

    def __init__(self, place, quote):
        self.place, self.quote = place, quote
        self.language = ("en", "de")[place % 2]
        more = Amount(kind="line", amount=quote.amounts[0].amount,
                      percent=quote.amounts[0].percent)  # fmt: skip
        other = replace(quote, amounts=(*quote.amounts, more))
        self.ways = [quote, other] if place % 10 == 0 else []
        self.coins = in_coins(quote)
        self.whole = totals(self.coins)

    def offer(self):
        quote, added = self.quote, self.sums(self.quote)
        return Offer(
            revision=self.place + 1, issued_at=timezone.now(),
            valid_until=timezone.localdate(), kind="fixed", mode=quote.mode,
            regime="standard", currency=quote.currency, net=added.net,
            tax_rate=added.taxes[0].percent, tax=added.tax, total=added.gross,
            taxes=added.taxes, deposit=self.deposit(added),
            lines=tuple(
                OfferLine(
                    label="Oak", detail="", kind=KINDS[one.kind], amount=shown.read,
                    net=shown.net, gross=shown.gross, percent=shown.percent,
                )
                for one, shown in zip(quote.amounts, added.shown, strict=True)
            ),
            options=tuple(self.option(way) for way in self.ways),
        )  # fmt: skip

    def option(self, way):
        added = self.sums(way)
        return OfferOption(
            label="Ash", detail="", serial="", values={}, mass=0.1, balance=0.01,
            amount=added.read, net=added.net, tax=added.tax, total=added.gross,
            deposit=self.deposit(added),
        )  # fmt: skip

    def sums(self, quote):
        return sums(quote.amounts, quote.mode, quote.currency)

    def deposit(self, added):
        return money(added.gross * self.quote.deposit / 100, self.quote.currency)


def totals(coins):
    """Net, tax and gross of a quote in coins, and what is read; by integers."""
    by_rate = [(rate, *coins.of_rate(rate)) for rate in coins.rates]
    net = sum(base for _rate, base, _tax in by_rate)
    tax = sum(part for _rate, _base, part in by_rate)
    read = net + tax if coins.mode == "gross" else net
    return {"rates": by_rate, "net": net, "tax": tax, "gross": net + tax, "read": read}


@pytest.fixture(scope="module")
def cases():
    short = random_quotes(41, COUNT - LONG, most_lines=2)
    return [
        Case(place, quote)
        for place, quote in enumerate(chain(short, random_quotes(42, LONG)))
    ]


@pytest.fixture
def kept(cases):
    """Every quote as it comes back from the database."""
    order = OrderFactory()
    papers = Paper.objects.bulk_create(
        Paper(sha256="0" * 64, media="pdf", kind="quote", order=order,
              revision=case.place + 1, made_at=timezone.now()) for case in cases
    )  # fmt: skip
    offers = [case.offer() for case in cases]
    rows = [
        quote_row(offer, order=order, paper=paper, basis={
            "counts": {"lines": len(offer.lines), "options": len(offer.options)}})
        for offer, paper in zip(offers, papers, strict=True)
    ]  # fmt: skip
    Quote.objects.bulk_create(rows)
    pairs = list(zip(rows, offers, strict=True))
    QuoteLine.objects.bulk_create(
        chain.from_iterable(line_rows(*pair) for pair in pairs)
    )
    QuoteOption.objects.bulk_create(
        chain.from_iterable(option_rows(*pair) for pair in pairs)
    )
    found = Quote.objects.select_related("order__customer", "paper")
    return list(found.prefetch_related("lines", "options").order_by("revision"))


# --- what is expected ----------------------------------------------------------------


def coin_text(coins, places):
    """Digits of an amount as every language writes them, its minus before them."""
    sign = "-" if coins < 0 else ""
    return sign + str(abs(coins)).rjust(places + 1, "0")


def rate_text(rate):
    """Digits of a rate in hundredths of a per cent, without idle zeros."""
    return f"{rate // 100}" + f"{rate % 100:02}".rstrip("0")


def read_lines(case):
    signs = {"line": 1, "charge": 1, "allowance": -1}
    return [(signs[kind] * coin, rate) for kind, coin, rate in case.coins.rows]


def priced(case):
    """The digits of lines and sums, in the order of the table."""
    places, whole = case.coins.places, case.whole
    several = len(case.coins.rates) > 1
    found = []
    for coins, rate in read_lines(case):
        found += [rate_text(rate)] if several else []
        found.append(coin_text(coins, places))
    gross = [coin_text(whole["gross"], places)]
    if case.coins.rates == [0]:
        return found + gross
    taxes = []
    for rate, base, tax in whole["rates"]:
        taxes += [rate_text(rate), coin_text(base, places), coin_text(tax, places)]
    if case.coins.mode == "gross":
        return found + gross + taxes
    return [*found, coin_text(whole["net"], places), *taxes, *gross]


def chosen(case):
    """The digits of the options: 100 g, 10 mm, and the whole quote with each."""
    return [
        text
        for way in case.ways
        for text in ("100", "10", coin_text(read_of(way), case.coins.places))
    ]


def read_of(way):
    return totals(in_coins(way))["read"]


def deposit_of(gross, case):
    share = int(case.quote.deposit.scaleb(2))
    return (2 * gross * share + 10_000) // 20_000


def digits(text):
    """Only digits, and the minus of an amount."""
    return re.sub(r"[^\d-]", "", text.replace("\u2212", "-"))


def shown(markup):
    return digits(html.unescape(re.sub(r"<[^>]*>", " ", markup)))


# --- the four ways -------------------------------------------------------------------


def test_page_json_and_csv_show_what_integers_say(cases, kept):
    """R9: 2,000 quotes a run, not a coin off anywhere."""
    assert len(kept) == COUNT
    for case, quote in zip(cases, kept, strict=True):
        check_page(case, quote)
        check_json(case, json.loads(quote_json(quote)))
        check_csv(case, quote_csv(quote).decode("utf-8-sig"))


def check_page(case, quote):
    places, whole = case.coins.places, case.whole
    offer = kept_offer(quote)
    with translation.override(case.language):
        page = render_to_string(
            "quotes/_offered.html",
            {"offer": offer, "prices": price_table(offer), "order": quote.order},
        )
    found = [whole["net"], whole["tax"], deposit_of(whole["gross"], case)]
    said = [*priced(case), *(coin_text(one, places) for one in found), *chosen(case)]
    assert shown(page) == "".join(said)


def check_json(case, said):
    coins, whole = case.coins, case.whole
    assert [coins.of(Decimal(one["amount"])) for one in said["lines"]] == [
        amount for amount, _rate in read_lines(case)
    ]
    check_sides(case, said["lines"])
    found = {one["name"]: coins.of(Decimal(one["amount"])) for one in said["sums"]}
    assert {name: found[name] for name in ("net", "tax", "gross")} == {
        name: whole[name] for name in ("net", "tax", "gross")
    }
    assert found["lines"] - found["allowances"] + found["charges"] == whole["net"]
    assert coins.of(Decimal(said["total"])) == whole["read"]
    assert coins.of(Decimal(said["deposit"])) == deposit_of(whole["gross"], case)
    assert [
        (int(Decimal(one["percent"]).scaleb(2)), coins.of(Decimal(one["base"])),
         coins.of(Decimal(one["tax"]))) for one in said["taxes"]
    ] == whole["rates"]  # fmt: skip
    assert [coins.of(Decimal(one["amount"])) for one in said["options"]] == [
        read_of(way) for way in case.ways
    ]


def check_csv(case, text):
    coins, whole = case.coins, case.whole
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    names = ("line", "tax", "sum", "total", "deposit", "option")
    parts = {name: [row for row in rows if row["part"] == name] for name in names}
    assert sum(map(len, parts.values())) == len(rows)
    assert amounts(coins, parts["line"]) == [one for one, _rate in read_lines(case)]
    check_sides(case, parts["line"])
    assert [
        (int(Decimal(row["tax_percent"]).scaleb(2)), coins.of(Decimal(row["net"])),
         coins.of(Decimal(row["tax"]))) for row in parts["tax"]
    ] == whole["rates"]  # fmt: skip
    found = dict(zip((row["name"] for row in parts["sum"]),
                     amounts(coins, parts["sum"]), strict=True))  # fmt: skip
    assert (found["net"], found["tax"]) == (whole["net"], whole["tax"])
    assert found["gross"] == whole["gross"]
    assert amounts(coins, parts["total"]) == [whole["read"]]
    assert amounts(coins, parts["deposit"]) == [deposit_of(whole["gross"], case)]
    assert amounts(coins, parts["option"]) == [read_of(way) for way in case.ways]


def amounts(coins, rows):
    return [coins.of(Decimal(row["amount"])) for row in rows]


def check_sides(case, lines):
    """Law: both sides of the lines add up to the totals."""
    for side in ("net", "gross"):
        added = sum(case.coins.of(Decimal(one[side])) for one in lines)
        assert added == case.whole[side]


@pytest.mark.skipif(not pdf.available(), reason="PDF needs Pango")
def test_paper_shows_what_integers_say(cases, kept):
    """R9: read back out of PDFs, many price tables in each."""
    pairs = list(zip(cases, kept, strict=True))[-PRINTED:]
    assert len(pairs) == PRINTED
    parts = [pairs[at : at + BATCH] for at in range(0, PRINTED, BATCH)]
    pages = [[price_part(*pair) for pair in part] for part in parts]
    with ProcessPoolExecutor(CORES, get_context("spawn")) as printers:
        for part, said in zip(parts, printers.map(read_back, pages), strict=True):
            for (case, _quote), text in zip(part, said, strict=True):
                assert digits(text) == "".join([*priced(case), *chosen(case)])


def price_part(case, quote):
    with translation.override(case.language):
        prices = price_table(kept_offer(quote))
        return render_to_string("pdf/quote_prices.html", {"prices": prices})
