"""Requests for payment on paper: what they say, and the code read back off the page."""

import datetime as dt
import io
import shutil
import subprocess
from decimal import Decimal

import pytest
import zxingcpp
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader

from billets.messages import sentence
from quotes import pdf
from quotes.changes_after import saving
from quotes.errors import QuoteError
from quotes.models import Paper
from quotes.pay.code import Transfer, no_code, transfer_code, transfer_to
from quotes.pay.documents import keep_request, print_request, request_html
from quotes.pay.request import request_paper
from shop import services
from shop.models import Order, Shop
from tests.quotes.orders import ready_shop as lay_in
from tests.quotes.paying import IBAN, account, bought, pay, stand_at

pytestmark = pytest.mark.django_db

needs_pdf = pytest.mark.skipif(
    not (pdf.available() and shutil.which("pdftoppm")), reason="no Pango or poppler"
)


def transfer(**changes):
    plain = {
        "name": "Tilda Grauwacke", "iban": IBAN, "bic": "", "currency": "EUR",
        "amount": Decimal("357.00"), "reference": "26-0417",
    }  # fmt: skip
    return Transfer(**plain | changes)


def paper_of(order, what="deposit"):
    order = Order.objects.select_related("customer").get(pk=order.pk)
    return request_paper(order, Shop.current(), what, timezone.localdate())


def seen(body):
    """The codes a camera finds on the first sheet of a PDF, at 150 dots an inch."""
    made = subprocess.run(
        ["pdftoppm", "-r", "150", "-png", "-singlefile", "-"],
        input=body, capture_output=True, check=True,
    )  # fmt: skip
    return zxingcpp.read_barcodes(Image.open(io.BytesIO(made.stdout)))


def text_in(body):
    read = PdfReader(io.BytesIO(body))
    return " ".join(" ".join(page.extract_text().split()) for page in read.pages)


# --- the code ---------------------------------------------------------------------


@needs_pdf
@pytest.mark.parametrize("language", ["en", "de"])
def test_code_on_the_paper_reads_back_as_the_transfer(language):
    """EPC069-12 (European Payments Council), section 2: twelve lines in this order.

    Read from a rendering of the paper by a general-purpose reader of codes.
    """
    account(account_holder="Özlem Grünwaldt & Söhne", bic="COBADEFFXXX")
    order = bought("1190.00", "357.10", language=language)
    (code,) = seen(print_request(paper_of(order)).body)
    assert code.format == zxingcpp.BarcodeFormat.QRCode
    lines = code.bytes.decode().split("\n")
    assert lines[:4] == ["BCD", "002", "1", "SCT"]  # tag, version, UTF-8, transfer
    bic, name, iban, amount, purpose, structured, text = lines[4:]
    assert (bic, name, iban) == ("COBADEFFXXX", "Özlem Grünwaldt & Söhne", IBAN)
    assert amount.startswith("EUR")
    assert Decimal(amount[3:]) == Decimal("357.10")
    assert (purpose, structured, text) == ("", "", order.number)


def test_code_keeps_the_limits_of_the_guideline():
    """EPC069-12, section 2: error level M, at most version 13 and 331 bytes."""
    long = transfer(name="Ö" * 70, bic="COBADEFFXXX", amount=Decimal("999999999.99"))
    code = transfer_code(long)
    assert code.error == "M"
    assert code.version <= 13


def test_lines_stand_as_in_the_guidelines_own_example():
    """EPC069-12, its printed example (quoted from memory, verify): a gift of EUR 1."""
    example = transfer(
        name="Red Cross of Belgium", iban="BE72000000001616", bic="BPOTBEB1",
        amount=Decimal(1), reference="Urgency fund",
    )  # fmt: skip
    drawn = io.BytesIO()
    transfer_code(example).save(drawn, kind="png", scale=4)
    (code,) = zxingcpp.read_barcodes(Image.open(drawn))
    lines = code.bytes.decode().split("\n")
    assert lines[4:8] == [
        "BPOTBEB1", "Red Cross of Belgium", "BE72000000001616", "EUR1",
    ]  # fmt: skip
    assert lines[10] == "Urgency fund"


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"currency": "GBP"}, "in euro only"),
        ({"iban": "CH9300762011623852957"}, "needs the bank's BIC"),
        ({"iban": "BR1800360305000010009795493C1", "bic": "ITAUBRSP"}, "area only"),
        ({"amount": Decimal("0.00")}, "cannot stand in a code"),
        ({"iban": "CH9300762011623852957", "bic": "UBSWCHZH80A"}, ""),
        ({}, ""),
    ],
)
def test_only_what_a_bank_can_read_gets_a_code(changes, why):
    found = no_code(transfer(**changes))
    assert why in found
    assert bool(found) == bool(why)


def test_payment_in_another_currency_has_the_bank_data_without_a_code():
    account(currency="GBP", iban="GB82WEST12345698765432", bic="WESTGB2L")
    page = request_html(paper_of(bought(currency="GBP")))
    assert "<svg" not in page
    assert "in euro only" in page
    assert "GB82 WEST 1234 5698 7654 32" in page
    assert "£357.00" in page


def test_request_without_an_account_is_refused_and_says_where_to_go():
    with pytest.raises(QuoteError) as refused:
        transfer_to(Shop.current(), Decimal(1), "EUR", "26-0417")
    assert "write down the shop's IBAN" in sentence(refused.value)


# --- the paper --------------------------------------------------------------------


@needs_pdf
def test_deposit_is_asked_for_with_its_tax_and_where_to_send_it():
    account()
    order = bought("1190.00", "357.00")
    body = print_request(paper_of(order)).body
    text = text_in(body)
    for said in (
        f"Request for payment {order.number}", "the deposit on what you ordered",
        "Agreed in all €1,190.00", "To pay now €357.00", "19 % €57.00",
        "DE89 3704 0044 0532 0130 00", "Tilda Grauwacke", "no invoice",
    ):  # fmt: skip
        assert said in text, said
    assert len(PdfReader(io.BytesIO(body)).pages) == 1


def test_balance_is_what_is_left_with_the_tax_that_is_left():
    account()
    order = bought("1190.00", "357.00")
    pay(order, "357.00")
    rows = {one.label: one.amount for one in paper_of(order, "balance").rows}
    assert rows["Received so far"] == "€357.00"
    assert rows["To pay now"] == "€833.00"
    assert rows["Tax in what is to pay now, 19\u00a0%"] == "€133.00"


def test_part_of_a_deposit_is_asked_for_as_far_as_it_is_open():
    account()
    order = bought("1190.00", "357.00")
    pay(order, "300.00")
    rows = {one.label: one.amount for one in paper_of(order).rows}
    assert rows["To pay now"] == "€57.00"
    pay(order, "57.00")
    with pytest.raises(QuoteError, match="nothing to ask for"):
        paper_of(order)


@pytest.mark.parametrize("knives", [1, 2])
def test_balance_says_when_it_is_due_and_that_it_was_handed_over(knives):
    account()
    order = bought("1190.00", "357.00", knives=knives)
    before = " ".join(paper_of(order, "balance").sentences)
    assert "before the knife is handed over" in before
    for knife in order.knives.all():
        stand_at(knife, "sharpen")
        services.move_knife(
            knife, "delivered", gate_passed=True, by=None, reason="on trust",
            at=dt.datetime(2026, 3, 2, 12, tzinfo=dt.UTC),
        )  # fmt: skip
    after = " ".join(paper_of(order, "balance").sentences)
    assert "before" not in after
    assert "handed over on 2 March 2026, so it is due now" in after


@pytest.mark.parametrize("handed", [0, 1])
def test_balance_of_a_cancelled_order_says_what_it_is_for(handed):
    """50 % of 1,190 is kept after the steel is cut: common practice, no source."""
    account()
    lay_in()
    order = bought("1190.00", "357.00", knives=2)
    pay(order, "357.00")
    if handed:
        stand_at(order.knives.first(), "delivered")
    saving.cancel(order, "moved", cut=True, by=None, at=timezone.now())
    order = Order.objects.get(pk=order.pk)
    paper = paper_of(order, "balance")
    kept = {0: "€595.00", 1: "€892.50"}[handed]
    said = " ".join(paper.sentences)
    assert f"{kept} " in said
    assert ("Your order was cancelled on" in said) == (not handed)
    assert ("With what was handed over" in said) == bool(handed)
    rows = {one.label: one.amount for one in paper.rows}
    first = (
        "Kept of what was cancelled",
        "Handed over, and kept of what was cancelled",
    )
    assert rows[first[handed]] == kept
    assert rows["To pay now"] == {0: "€238.00", 1: "€535.50"}[handed]
    assert any("Tax in" in label for label in rows) == bool(handed)
    assert "The invoice comes separately." in paper.notes[0] or not handed
    with pytest.raises(QuoteError, match="order is over"):
        paper_of(order, "deposit")


def test_untaxed_shop_says_why_and_shows_no_tax():
    account()
    paper = paper_of(bought("1000.00", tax="0", rate="0", regime="small"))
    assert not any("Tax" in row.label for row in paper.rows)
    assert any("small business" in note for note in paper.notes)


def test_markup_in_names_stays_text():
    account(account_holder="<b>Me</b>", name="<script>")
    page = request_html(paper_of(bought()))
    assert "<script>" not in page
    assert "<b>Me" not in page


def test_same_request_is_one_paper_and_another_a_new_revision():
    account()
    order = bought()

    def kept(what="deposit"):
        paper = paper_of(order, what)
        body = request_html(paper).encode()
        printed = type("P", (), {"body": body, "media": "html"})
        return keep_request(order, paper, printed, by=None, at=timezone.now())

    first = kept()
    assert kept() == first
    pay(order, "357.00")
    assert kept("balance").revision == 2
    assert Paper.objects.filter(kind="request").count() == 2
    assert len(first.sha256) == 64
