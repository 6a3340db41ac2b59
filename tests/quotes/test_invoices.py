"""Invoices of an order: built from what stands, refused with a sentence, frozen."""

import datetime as dt
import hashlib
import json
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.invoices.billing import billing_of
from quotes.invoices.by_terms import invoice_terms
from quotes.invoices.drafts import final_draft
from quotes.invoices.services import NumberTaken, next_number
from quotes.models import DeductedAdvance, Invoice, InvoiceLine
from quotes.offer.frozen import OfferOption
from shop.models import AgreedChange, Customer, Knife, Shop, TaxSetting
from tests.quotes import invoicing
from tests.quotes.invoicing import (
    accepted,
    advance,
    cancelled,
    final,
    kept,
    paid,
    ready_shop,
    refusal,
    today,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    return ready_shop()


# --- the way of an order -------------------------------------------------------------


def test_final_invoice_takes_advances_and_their_tax_off():
    """A tax adviser's published example (common practice), quoted from memory."""
    order = accepted(("knife", "10000.00", 19), mode="net")
    first, second = advance(order, "2975"), advance(order, "2975")
    assert (first.net, first.tax, first.due) == (2500, 475, 0)
    last = final(order)
    assert (last.net, last.tax, last.gross) == (10_000, 1_900, 11_900)
    assert (last.paid, last.due) == (5_950, 5_950)
    rows = DeductedAdvance.objects.filter(final=last)
    assert [row.advance for row in rows] == [first, second]
    assert sum(row.tax for row in rows) == 950
    assert [one.number[-4:] for one in Invoice.objects.all()] == [
        "0001",
        "0002",
        "0003",
    ]


def test_lines_charges_and_discounts_are_kept_with_their_rates():
    order = accepted(
        ("knife", "500.00", 19), ("extra", "60.00", 19), ("charge", "10.00", 7),
        ("discount", "50.00", 19),
    )  # fmt: skip
    lines = list(final(order).lines.all())
    assert [one.kind for one in lines] == ["line", "line", "charge", "allowance"]
    assert [one.percent for one in lines] == [19, 19, 7, 19]
    # 500, 60 and 50 with 19 % in them, 10 with 7 %; by hand.
    nets = [Decimal("420.17"), Decimal("50.42"), Decimal("9.35"), Decimal("-42.02")]
    assert [one.net for one in lines] == nets
    gross = Invoice.objects.get().gross
    assert gross == 520 == billing_of(order).quote.total


def test_payment_without_an_advance_invoice_counts_as_paid():
    order = accepted()
    advance(order, "300")
    paid(order, "100")
    last = final(order)
    assert (last.paid, last.due) == (400, 490)
    assert DeductedAdvance.objects.get().gross == 300


def test_advance_over_all_of_it_leaves_nothing_to_pay():
    order = accepted()
    whole = advance(order, "890")
    assert (whole.net, whole.tax) == (Decimal("747.90"), Decimal("142.10"))
    assert final(order).due == 0


def test_option_that_was_taken_is_what_is_billed():
    values = {"detail": "", "serial": "", "values": {}, "mass": 0.1, "balance": 0.0,
              "deposit": Decimal(0)}  # fmt: skip
    first = OfferOption(
        label="As it is", amount=Decimal(890), net=Decimal("747.90"),
        tax=Decimal("142.10"), total=Decimal(890), **values,
    )  # fmt: skip
    dearer = OfferOption(
        label="Longer", amount=Decimal(1190), net=Decimal(1000), tax=Decimal(190),
        total=Decimal(1190), **values,
    )  # fmt: skip
    order = accepted(options=(first, dearer))
    invoice = final(order)
    assert (invoice.net, invoice.tax, invoice.gross) == (1000, 190, 1190)
    assert "As chosen: Longer" in invoice.lines.get().detail


def test_change_after_the_yes_is_billed():
    order = accepted()
    AgreedChange.objects.create(
        order=order, knife=order.knives.get(), wish="A longer blade", more=Decimal(100),
        fee=Decimal(19), state="agreed", made_at=timezone.now(),
    )  # fmt: skip
    AgreedChange.objects.create(
        order=order, wish="Red", more=Decimal(50), state="open", made_at=timezone.now()
    )
    assert final(order).gross == 890 + 119
    assert InvoiceLine.objects.last().net == 100


def test_knife_that_was_cancelled_is_not_billed():
    order = accepted(
        ("knife", "500.00", 19), ("knife", "300.00", 19), ("discount", "80.00", 19)
    )
    Knife.objects.filter(pk=order.knives.last().pk).update(stage="cancelled")
    assert final(order).gross == 450  # with its share of the discount


def test_quote_of_a_program_that_kept_one_side_only_is_billed():
    order = accepted(("knife", "890.00", 19), ("knife", "310.00", 19), old=True)
    quote = billing_of(order).quote
    advance(order, "300")
    last = final(order)
    assert (last.net, last.tax, last.gross) == (quote.net, quote.tax, quote.total)
    assert sum(one.net for one in last.lines.all()) == quote.net
    assert {one.percent for one in last.lines.all()} == {19}


def test_old_quote_without_tax_is_taxed_as_the_shop_was():
    TaxSetting.objects.update(regime="small", rate=0)
    last = final(accepted(("knife", "500.00", 0), old=True))
    assert (last.regime, last.gross) == ("small", 500)


# --- tax ------------------------------------------------------------------------------


def test_rate_on_the_day_of_supply_counts():
    """German turnover tax act, section 27 (1), quoted from memory: verify."""
    order = accepted()
    before = advance(order, "119", today() - dt.timedelta(days=5))
    TaxSetting.objects.create(regime="standard", rate=16, valid_from=today())
    last = final(order)
    # 890 with 16 % in it; the advance has 19 of its 119.
    assert (before.tax, last.gross, last.tax) == (19, 890, Decimal("122.76"))
    assert last.due == 890 - 119


def test_shop_that_is_taxed_otherwise_now_is_told():
    order = accepted()
    TaxSetting.objects.create(regime="small", rate=0, valid_from=today())
    error = refusal(final, order)
    assert error.field == "tax_regime"
    assert "ask your adviser" in error.message


@pytest.mark.parametrize(
    ("regime", "category", "reason"),
    [("small", "E", "small business"), ("export", "G", "buyer pays import charges")],
)
def test_untaxed_invoice_says_why(regime, category, reason):
    TaxSetting.objects.update(regime=regime, rate=0)
    invoice = final(accepted(("knife", "500.00", 0), regime=regime))
    assert (invoice.tax, invoice.gross) == (0, 500)
    assert reason in invoice.taxes["reason"]
    assert invoice_terms(invoice)["BG-23"][0]["BT-118"] == category


def test_note_of_the_shops_own_stands_first():
    TaxSetting.objects.update(regime="small", rate=0, note="Exempt, section 19.")
    invoice = final(accepted(("knife", "500.00", 0), regime="small"))
    assert invoice.taxes["reason"] == "Exempt, section 19."


# --- kept -----------------------------------------------------------------------------


def test_numbers_run_on_within_a_year_over_all_orders():
    first, second = accepted(), accepted()
    numbers = [final(first).number, final(second).number]
    assert numbers == [f"{today():%Y}-0001", f"{today():%Y}-0002"]
    assert next_number(dt.date(2041, 1, 1)) == "2041-0001"


def test_number_that_is_gone_is_not_given_twice():
    order, shop = accepted(), Shop.current()
    number = next_number(today())
    final(accepted())
    with pytest.raises(NumberTaken):
        kept(lambda: final_draft(order, shop, today(), None, today=today()), number)
    assert final(order).number == f"{today():%Y}-0002"


def test_payment_that_came_meanwhile_is_not_overlooked():
    order, shop = accepted(), Shop.current()
    drafts = iter(range(2))

    def build():
        if next(drafts):
            paid(order, "10")
        return final_draft(order, shop, today(), None, today=today())

    error = refusal(kept, build)
    assert "just changed" in error.message


def test_paper_is_kept_by_its_hash():
    invoice = final(accepted())
    assert invoice.paper.sha256 == hashlib.sha256(invoicing.PAGE.body).hexdigest()
    assert (invoice.paper.kind, invoice.paper.revision) == ("final", 1)


def test_later_changes_of_shop_and_customer_do_not_reach_it():
    order = accepted(business=True, vat_number="XX22")
    invoice = final(order)
    Shop.objects.update(address="elsewhere")
    Customer.objects.update(address="elsewhere")
    back = cancelled(invoice)
    assert back.buyer["address"] == invoice.buyer["address"] == "Quay 9"
    assert invoice_terms(invoice)["BG-7"]["BT-48"] == "XX22"


def test_terms_hold_the_sums_of_the_rows():
    """Terms as EN 16931 numbers them; sums by its rules BR-CO-13 to BR-CO-16."""
    order = accepted(("knife", "500.00", 19), ("charge", "10.00", 7))
    advance(order, "100")
    terms = json.loads(json.dumps(invoice_terms(final(order))))
    sums = {name: Decimal(text) for name, text in terms["BG-22"].items()}
    assert sums["BT-109"] == sums["BT-106"] - sums["BT-107"] + sums["BT-108"]
    assert sums["BT-110"] == sum(Decimal(one["BT-117"]) for one in terms["BG-23"])
    assert sums["BT-112"] == sums["BT-109"] + sums["BT-110"] == 510
    assert sums["BT-115"] == sums["BT-112"] - sums["BT-113"] == 410
    assert terms["BG-13"] == {"BT-72": str(today())}
    assert (terms["BT-3"], terms["BT-20"]) == ("380", "at once")
