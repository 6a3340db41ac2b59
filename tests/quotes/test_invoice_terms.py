"""Invoices of random orders by their terms: whole by the rules, no tax twice or lost.

The orders have options, changes after the yes, cancelled and lost knives, advances and
refunds. All sums are made again in cents, from the terms that are kept, without the
program's own functions. ``HAMMERSCALE_ORDERS`` asks for more of them.
"""

import os
from collections import defaultdict
from decimal import Decimal

import numpy as np
import pytest

from quotes.changes_after import saving
from quotes.invoices.billing import billing_of
from quotes.invoices.by_terms import invoice_terms
from quotes.invoices.drafts import final_draft
from quotes.models import Invoice
from quotes.offer.frozen import OfferOption
from quotes.sums import Amount, sums
from shop import payments
from shop.models import Knife, Order, Payment, Shop, TaxSetting
from shop.services import agree_on
from tests.quotes.invoicing import (
    accepted,
    advance,
    cancelled,
    final,
    paid,
    ready_shop,
    today,
)
from tests.quotes.orders import ready_shop as lay_in
from tests.quotes.test_billed_as_agreed import changed
from tests.quotes.test_sums_random import WHOLE, half_up

pytestmark = pytest.mark.django_db

COUNT = int(os.environ.get("HAMMERSCALE_ORDERS", "24"))
ACCOUNT = {
    "country": "DE", "legal_id": "HRB 4711", "vat_number": "DE136695976",
    "iban": "DE02120300000000202051", "bic": "BYLADEM1001", "owner": "Tilda Grauwacke",
}  # fmt: skip


@pytest.fixture(autouse=True)
def shop():
    return ready_shop(**ACCOUNT)


def cents(text):
    """An amount of the terms in whole cents."""
    found = Decimal(text) * 100
    assert found == int(found), text
    return int(found)


def hundredths(text):
    return int(Decimal(text) * 100)


# --- the rules ----------------------------------------------------------------------


def check_rules(terms, most=1):
    """EN 16931's open validation rules BR-CO-10 to 17 and BR-S-08, over kept terms.

    ``most`` is how many cents a rate's tax may be off its base: what is read with tax
    in it is taxed out of that; the rule itself allows less than 1.00.
    """
    lines, totals = terms["BG-25"], {k: cents(v) for k, v in terms["BG-22"].items()}
    off = [(cents(one["BT-92"]), one["BT-96"]) for one in terms.get("BG-20", ())]
    more = [(cents(one["BT-99"]), one["BT-103"]) for one in terms.get("BG-21", ())]
    by_rate = defaultdict(int)
    for one in lines:
        by_rate[hundredths(one["BG-30"]["BT-152"])] += cents(one["BT-131"])
        priced = cents(one["BG-29"]["BT-146"]) * int(one["BT-129"])
        assert priced == cents(one["BT-131"])
    for sign, rows in ((-1, off), (1, more)):
        for amount, rate in rows:
            by_rate[hundredths(rate)] += sign * amount
    assert totals["BT-106"] == sum(cents(one["BT-131"]) for one in lines)  # BR-CO-10
    assert totals["BT-107"] == sum(amount for amount, _rate in off)  # BR-CO-11
    assert totals["BT-108"] == sum(amount for amount, _rate in more)  # BR-CO-12
    assert totals["BT-109"] == (
        totals["BT-106"] - totals["BT-107"] + totals["BT-108"]
    )  # BR-CO-13
    taxes = terms["BG-23"]
    assert totals["BT-110"] == sum(cents(one["BT-117"]) for one in taxes)  # BR-CO-14
    assert totals["BT-112"] == totals["BT-109"] + totals["BT-110"]  # BR-CO-15
    assert totals["BT-115"] == totals["BT-112"] - totals["BT-113"]  # BR-CO-16
    bases = {hundredths(one["BT-119"]): cents(one["BT-116"]) for one in taxes}
    assert len(bases) == len(taxes)
    assert bases == dict(by_rate)  # BR-S-08
    for one in taxes:
        base, rate = cents(one["BT-116"]), hundredths(one["BT-119"])
        exact = half_up(abs(base) * rate, WHOLE) * (1 if base >= 0 else -1)
        assert abs(cents(one["BT-117"]) - exact) <= most  # BR-CO-17
    return totals


# --- random orders ------------------------------------------------------------------


def money(draw, most, least=1):
    return str(Decimal(int(draw.integers(least, most))) / 100)


def lines_of(draw):
    knives = [("knife", money(draw, 90_000, 20_000), 19)] * int(draw.integers(1, 4))
    lines = [(kind, money(draw, 90_000, 20_000), rate) for kind, _a, rate in knives]
    if draw.random() < 0.6:
        lines.append(("extra", money(draw, 9_000), int(draw.choice([19, 7]))))
    if draw.random() < 0.6:
        lines.append(("charge", money(draw, 3_000), int(draw.choice([19, 7]))))
    if draw.random() < 0.5:
        lines.append(("discount", money(draw, 15_000), 19))
    return lines


def options_of(draw, lines, mode):
    """The quote as it is, and with a first knife that costs more or less."""
    if draw.random() < 0.5:
        return ()
    kinds = {"discount": "allowance", "charge": "charge"}
    found = []
    for more in (Decimal(0), Decimal(money(draw, 9_000)) - 30):
        amounts = [
            Amount(kind=kinds.get(kind, "line"), percent=Decimal(rate),
                   amount=Decimal(amount) + (0 if place else more))
            for place, (kind, amount, rate) in enumerate(lines)
        ]  # fmt: skip
        added = sums(amounts, mode)
        found.append(
            OfferOption(
                label="Other", detail="", serial="", values={}, mass=0.1, balance=0.0,
                amount=added.read, net=added.net, tax=added.tax, total=added.gross,
                deposit=Decimal(0),
            )
        )  # fmt: skip
    return tuple(found)


def random_order(draw):
    mode = str(draw.choice(["gross", "net"]))
    lines = lines_of(draw)
    order = accepted(*lines, mode=mode, options=options_of(draw, lines, mode),
                     address="Quay 9", country="AT")  # fmt: skip
    quote = billing_of(order).quote
    bought = quote.answer.option or quote
    agree_on(order, total=bought.total, deposit=Decimal(0))
    order.knives.update(stage="forge")
    for _place in range(int(draw.integers(0, 3))):
        if draw.random() < 0.7:
            advance(order, money(draw, 15_000))
        more, fee = Decimal(money(draw, 9_000)) - 40, money(draw, 3_000)
        changed(order, more, fee, place=int(draw.integers(0, order.knives.count())))
    if draw.random() < 0.5:
        paid(order, money(draw, 9_000, 5_000))
        Payment.objects.filter(pk=paid(order, "10.00").pk).update(back=True)
    return end(draw, order)


def end(draw, order):
    """Hand over; now and then a knife is lost or was given up, as old rows have it."""
    order.knives.update(stage="delivered")
    several = order.knives.count() > 1
    given_up = several and draw.random() < 0.4
    if given_up:
        Knife.objects.filter(pk=order.knives.last().pk).update(stage="cancelled")
    return Order.objects.select_related("customer").get(pk=order.pk), given_up


def test_invoices_of_random_orders_add_up_and_owe_every_cent_of_tax_once():
    draw = np.random.default_rng(77)
    seen = defaultdict(int)
    for _place in range(COUNT):
        order, given_up = random_order(draw)
        printed = final_draft(order, Shop.current(), today(), None, today=today())
        last = final(order)
        terms = invoice_terms(last)
        advances = [
            invoice_terms(one)
            for one in Invoice.objects.filter(order=order, kind="advance")
        ]
        mode = billing_of(order).mode
        totals = check_rules(terms, most=0 if mode == "net" else 1)
        for one in advances:
            check_rules(one, most=1)
        check_once(order, terms, advances, printed.rest)
        if not given_up:
            assert totals["BT-112"] == cents(order.agreed)
            assert totals["BT-115"] == cents(payments.balance(order))
        check_taken_back(last, totals)
        seen["advances"] += len(advances)
        seen["given up"] += given_up
        seen["options"] += billing_of(order).quote.answer.option is not None
        seen["changes"] += order.changes.count()
        seen[mode] += 1
    assert all(seen[one] > 3 for one in (
        "advances", "given up", "options", "changes", "gross", "net"
    ))  # fmt: skip


def check_once(order, terms, advances, rest):
    """Law: the tax of the advances and of the printed rest is the tax of the whole.

    Each advance is taken off with the net and the tax it was issued with, once.
    """
    rows = order.invoices.get(kind="final").advances.all()
    taken = [(cents(one.net), cents(one.tax), cents(one.gross)) for one in rows]
    issued = [
        tuple(cents(one["BG-22"][name]) for name in ("BT-109", "BT-110", "BT-112"))
        for one in advances
    ]
    assert taken == issued
    whole = [cents(terms["BG-22"][name]) for name in ("BT-109", "BT-110", "BT-112")]
    left = [cents(one) for one in (rest.net, rest.tax, rest.gross)]
    advanced = [sum(column) for column in zip(*issued, strict=True)] or [0, 0, 0]
    assert [one + more for one, more in zip(advanced, left, strict=True)] == whole
    assert [one["BT-25"] for one in terms.get("BG-3", ())] == [
        one["BT-1"] for one in advances
    ]
    for one in advances:
        assert cents(one["BG-22"]["BT-115"]) == 0
        assert one["BT-3"] == "386"


def check_taken_back(last, totals):
    """Law: an invoice and its cancelling document add up to nothing."""
    back = invoice_terms(cancelled(last))
    found = check_rules(back)
    assert {name: -amount for name, amount in found.items()} == totals
    assert back["BG-3"][0]["BT-25"] == last.number


def test_order_cancelled_in_part_bills_what_is_kept_with_its_tax():
    """500.00 handed over and half of 300.00 kept: 650.00, with 19/119 of tax in it."""
    lay_in()
    order = accepted(("knife", "500.00", 19), ("knife", "300.00", 19))
    agree_on(order, total=Decimal(800), deposit=Decimal(0))
    order.knives.update(stage="forge")
    before = advance(order, "119.00")
    Knife.objects.filter(pk=order.knives.first().pk).update(stage="delivered")
    order = Order.objects.select_related("customer").get(pk=order.pk)
    saving.cancel(order, "gone", cut=True, by=None, at=before.at)
    printed = final_draft(order, Shop.current(), today(), None, today=today())
    totals = check_rules(invoice_terms(final(order)))
    assert (totals["BT-112"], totals["BT-113"]) == (65_000, 11_900)
    assert totals["BT-110"] == half_up(65_000 * 19, 119)
    assert cents(printed.rest.tax) == half_up(65_000 * 19, 119) - 1_900


# --- what has to be there -----------------------------------------------------------

CORE = (
    "BT-1", "BT-2", "BT-3", "BT-5", "BG-2/BT-24",
    "BG-4/BT-27", "BG-4/BT-30", "BG-4/BT-31", "BG-4/BT-32", "BG-4/BG-5/BT-35",
    "BG-4/BG-5/BT-40", "BG-7/BT-44", "BG-7/BG-8/BT-50", "BG-7/BG-8/BT-55",
    "BG-13/BT-72", "BG-16/BT-81", "BG-16/BG-17/BT-84",
    "BG-25/BT-126", "BG-25/BT-129", "BG-25/BT-130", "BG-25/BT-131",
    "BG-25/BG-29/BT-146", "BG-25/BG-30/BT-151", "BG-25/BG-30/BT-152",
    "BG-25/BG-31/BT-153", "BG-23/BT-116", "BG-23/BT-117", "BG-23/BT-118",
    "BG-23/BT-119",
    *(f"BG-22/{one}" for one in (
        "BT-106", "BT-107", "BT-108", "BT-109", "BT-110", "BT-112", "BT-113", "BT-115"
    )),
)  # fmt: skip
"""The terms no invoice between businesses may lack (EN 16931-1, quoted from memory):
number, date, type, currency, rules, parties, delivery, payment, lines, tax, totals."""


def missing(terms, wanted=CORE):
    return [path for path in wanted if not _there(terms, path.split("/"))]


def _there(terms, path):
    if isinstance(terms, list):
        return bool(terms) and all(_there(one, path) for one in terms)
    return not path or (path[0] in terms and _there(terms[path[0]], path[1:]))


def test_every_core_term_is_kept():
    order = accepted(
        ("knife", "890.00", 19), ("charge", "10.00", 7), address="Quay 9\nBergen",
        country="NO", business=True, vat_number="NO995525828MVA",
    )  # fmt: skip
    before, last = invoice_terms(advance(order, "119.00")), final(order)
    kept = invoice_terms(last)
    assert missing(kept) == []
    assert kept["BT-20"] or kept["BT-9"]
    buyer = kept["BG-7"]
    assert (buyer["BG-8"]["BT-55"], buyer["BT-48"]) == ("NO", "NO995525828MVA")
    # An advance was paid and not supplied: no day of supply, but one of receipt.
    unpaid = {"BG-13/BT-72", "BG-16/BT-81", "BG-16/BG-17/BT-84"}
    assert missing(before, [one for one in CORE if one not in unpaid]) == []
    assert before["BT-7"] == str(today())
    of_old = {"BG-13/BT-72"} | unpaid  # nothing is to be paid of what is taken back
    assert set(missing(invoice_terms(cancelled(last)))) <= of_old
    types = (before["BT-3"], kept["BT-3"])
    assert types == ("386", "380")  # UNTDID 1001: prepayment, commercial invoice
    assert kept["BG-2"]["BT-24"] == "urn:cen.eu:en16931:2017"


def test_list_of_core_terms_would_miss_one_that_is_not_there():
    kept = invoice_terms(final(accepted(country="DE")))
    assert missing(kept) == []
    del kept["BG-25"][0]["BG-30"]["BT-151"]
    assert missing(kept) == ["BG-25/BG-30/BT-151"]


@pytest.mark.parametrize(("regime", "category"), [("small", "E"), ("export", "G")])
def test_untaxed_invoice_keeps_its_reason_and_the_core(regime, category):
    TaxSetting.objects.update(regime=regime, rate=0)
    order = accepted(("knife", "500.00", 0), regime=regime, country="CH")
    kept = invoice_terms(final(order))
    assert missing(kept) == []
    (tax,) = kept["BG-23"]
    assert (tax["BT-118"], tax["BT-117"]) == (category, "0.00")
    assert tax["BT-120"]
    check_rules(kept, most=0)
