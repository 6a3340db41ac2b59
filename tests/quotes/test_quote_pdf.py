"""The quote as a PDF: laid out, counted and read; no pictures are compared."""

import datetime as dt
import io
import logging
import re
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes import documents, pdf
from quotes.offer.sentences import Dates
from quotes.pricing import price_order
from shop.models import Customer, Order, Shop, TaxSetting
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import drafted, own_text, ready_order, ready_shop

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(not pdf.available(), reason="PDF needs Pango"),
]

WHEN = dt.datetime(2026, 5, 18, 9, 30, tzinfo=dt.UTC)
HOLDS = dt.date(2026, 6, 17)
FOUR_HUNDRED = "Word " * 80
BESIDE = {
    "extras": (("sheath", "61.50"), ("shipping", "14.90", "", Decimal(7))),
    "discount_percent": Decimal(5), "discount_reason": "the second knife",
}  # fmt: skip


@pytest.fixture(autouse=True)
def shop():
    ready_shop()
    Shop.objects.filter(pk=1).update(
        name="Forge at the Mill Race", owner="Ottilie Sandbach",
        address="Hammer Lane 4\n00777 Erlenbruch", phone="+00 555 0199",
        email="forge@example.org", tax_number="77 001 0042",
    )  # fmt: skip


def paper_of(*names, customer=None, terms=None, **values):
    customer = customer or CustomerFactory(name="Brun Ødegaard", address="Quay 9")
    order = ready_order(*names, order=OrderFactory(customer=customer), **values)
    drafted(order, **(terms or {}))
    priced = price_order(order, timezone.localdate())
    dates = Dates(issued_at=WHEN, valid_until=HOLDS)
    return documents.quote_paper(priced, Shop.current(), 2, dates)


def read(body):
    from pypdf import PdfReader

    return PdfReader(io.BytesIO(body))


def text_of(body):
    text = " ".join(page.extract_text() for page in read(body).pages)
    return " ".join(text.replace("\u00a0", " ").split())


# --- what it says ------------------------------------------------------------------


def test_head_says_who_offers_what_to_whom_and_until_when():
    text = text_of(documents.quote_pdf(paper_of()))
    number = Order.objects.get().number
    for said in (
        "Forge at the Mill Race", "Ottilie Sandbach", "Hammer Lane 4",
        "00777 Erlenbruch", "+00 555 0199", "forge@example.org", "77 001 0042",
        "Brun Ødegaard", "Quay 9", f"Quote {number}", "Revision 2",
        "18 May 2026", "17 June 2026",
    ):  # fmt: skip
        assert said in text


def test_specification_stands_in_words_and_numbers():
    text = text_of(documents.quote_pdf(paper_of(finish="acid etched, hand rubbed")))
    for said in (
        "santoku", "163 mm ± 2.5 mm", "46 mm ± 1.5 mm",
        "2.7 mm – 2.1 mm – 1.1 mm ± 0.3 mm", "0.23 mm behind the edge, 14° a side",
        "convex, bevel line at 75 % of the height", "60 HRC (± 1)",
        "acid etched, hand rubbed", "octagon, black walnut, 128 mm ± 1.2 mm",
        "hidden tang, ferrule of buffalo horn", "302 mm", "(± 10 %)",
        "in front of the heel", "layers of Dark steel and Pale steel",
        "hand-forged: figure and outline vary", "ISO 2768-1", "Scale 1:2",
    ):  # fmt: skip
        assert said in text


def test_layers_are_counted_by_the_real_sequence():
    """Eleven pieces from A to A, cut in three and laid A on A: two joints vanish."""
    assert f"about {3 * 11 - 2} layers" in text_of(documents.quote_pdf(paper_of()))


def test_amounts_are_those_of_the_offer():
    paper = paper_of("One", "Other")
    text = text_of(documents.quote_pdf(paper))
    offer = paper.offer
    for amount in (
        *(line.amount for line in offer.lines), offer.total, offer.tax, offer.deposit,
        offer.net, offer.total - offer.deposit,
    ):  # fmt: skip
        assert f"€{amount:,.2f}" in text
    assert offer.total == sum(line.amount for line in offer.lines)
    assert "halves up" in text
    assert f"of it tax, 19 % on €{offer.net:,.2f}" in text


@pytest.mark.parametrize(
    ("kind", "heading", "until"),
    [
        ("fixed", "Fixed price. This price is fixed", "The price is fixed until"),
        ("estimate", "Estimate. This is an estimate", "The estimate stands until"),
    ],
)
def test_paper_says_at_once_whether_the_price_binds(kind, heading, until):
    text = text_of(documents.quote_pdf(paper_of(terms={"kind": kind})))
    assert text.index(heading) < text.index("What you get")
    assert f"{until} 17 June 2026" in text


def test_shop_says_in_its_own_words_whether_the_price_binds():
    own_text("estimate", "Roughly this, give or take a goose.")
    text = text_of(documents.quote_pdf(paper_of(terms={"kind": "estimate"})))
    assert "Estimate. Roughly this, give or take a goose." in text


def test_paper_says_what_happens_next_and_how_a_knife_is_looked_after():
    text = text_of(documents.quote_pdf(paper_of()))
    for said in (
        "The week of delivery is agreed when you accept.",
        "A deposit of", "place in the queue", "The price is fixed until 17 June 2026",
        "dry it at once", "the right of withdrawal may not apply", "nickel",
        "must measure 100 mm",
    ):  # fmt: skip
        assert said in text


def test_promised_week_stands_on_the_paper():
    order = ready_order(order=OrderFactory(promised_week=dt.date(2026, 8, 3)))
    priced = price_order(order, timezone.localdate())
    dates = Dates(issued_at=WHEN, valid_until=HOLDS)
    paper = documents.quote_paper(priced, Shop.current(), 1, dates)
    assert "week 32, Monday 3 August 2026" in text_of(documents.quote_pdf(paper))


def test_small_business_shows_its_note_and_no_tax():
    TaxSetting.objects.update(regime="small", rate=Decimal(0))
    paper = paper_of()
    text = text_of(documents.quote_pdf(paper))
    assert "No tax is shown: the small business exemption applies." in text
    assert "tax included" not in text
    assert paper.offer.tax == 0


def test_shops_own_words_take_the_place_of_the_usual_ones():
    own_text("terms", "Paid in nails.")
    own_text("care", "Feed it onions.")
    text = text_of(documents.quote_pdf(paper_of()))
    assert "Paid in nails." in text
    assert "Feed it onions." in text
    assert "specification printed here" not in text


def test_paper_that_charges_for_sending_does_not_speak_of_collecting():
    paper = paper_of()
    assert "collected at the shop" in text_of(documents.quote_pdf(paper))
    order = Order.objects.get()
    order.draft.extras.create(position=1, key="shipping", amount=15)
    priced = price_order(Order.objects.get(), timezone.localdate())
    dates = Dates(issued_at=WHEN, valid_until=HOLDS)
    sent = documents.quote_paper(priced, Shop.current(), 1, dates)
    text = text_of(documents.quote_pdf(sent))
    assert "collected at the shop" not in text
    assert "It is sent to you" in text


COST_WORDS = (
    "margin", "cost", "labour", "bench work", "propane", "gas", "electricity", "belt",
    "borax", "epoxy", "etchant", "quench", "grinder", "kiln", "risk", "failure",
    "chance", "hour", "rate of", "per kg", "overhead", "scrap", "kWh", "billet",
)  # fmt: skip


def test_customer_reads_nothing_of_what_it_costs_the_shop():
    paper = paper_of("One", "Other")
    text = text_of(documents.quote_pdf(paper)).replace("What it costs", "")
    text = text.replace("at cost", "")  # sending, in the usual terms
    for word in COST_WORDS:
        assert not re.search(rf"\b{word}", text, re.IGNORECASE), word
    kept = price_order(Order.objects.get(), timezone.localdate()).lines
    for line in (*kept.lines, kept.risk):
        if line.amount > 20:  # small sums may be part of other numbers
            assert f"{line.amount:,.2f}" not in text


def test_german_customer_reads_german_dates_and_numbers():
    customer = CustomerFactory(name="Brun Ødegaard", language="de")
    text = text_of(documents.quote_pdf(paper_of(customer=customer)))
    assert "18. Mai 2026" in text
    assert "163 mm ± 2,5 mm" in text
    assert re.search(r"\d,\d\d €", text)


def test_inch_shop_prints_inches_and_ounces():
    Shop.objects.filter(pk=1).update(units="inch", paper="letter")
    text = text_of(documents.quote_pdf(paper_of(length=0.2032)))
    assert "8.00 in" in text
    assert " oz " in text
    assert " g (" not in text


# --- how it is laid out ------------------------------------------------------------


@pytest.mark.parametrize(("knives", "pages"), [(1, 2), (2, 2), (3, 3)])
def test_two_sheets_suffice_for_two_knives(knives, pages):
    """Two drawings at half size fill a sheet; a third knife needs another."""
    long = {"family": "gyuto", "length": 0.245, "height": 0.052}
    paper = paper_of(*(f"Knife {place}" for place in range(knives)), **long)
    assert len(read(documents.quote_pdf(paper)).pages) == pages


@pytest.mark.parametrize("knives", [1, 2])
def test_longer_words_still_fit_on_two_sheets(knives):
    """Other languages need more room: here a third more."""
    from dataclasses import replace

    paper = paper_of(*(f"Knife {place}" for place in range(knives)), length=0.235)
    longer = replace(
        paper,
        notes=tuple(
            (head, text + text[: len(text) // 3]) for head, text in paper.notes
        ),
        parts=tuple(
            (head, [one + one[: len(one) // 3] for one in said])
            for head, said in paper.parts
        ),
        tolerances=paper.tolerances + paper.tolerances[: len(paper.tolerances) // 3],
    )
    assert len(read(documents.quote_pdf(longer)).pages) == 2


@pytest.mark.parametrize(
    ("knives", "size", "length"),
    [(1, "A4", 0.225), (2, "A4", 0.225), (2, "A4", 0.163), (2, "letter", 0.225)],
)
def test_two_sheets_suffice_with_everything_but_options(knives, size, length):
    """Upright drawings, and those that turn the sheet."""
    Shop.objects.filter(pk=1).update(paper=size)
    names = [f"Knife number {place}" for place in range(knives)]
    terms = BESIDE | {"kind": "estimate"}
    customer = CustomerFactory(name="Inn", address="Quay 9\n0001 Town", business=True)
    paper = paper_of(*names, length=length, terms=terms, customer=customer)
    assert len(read(documents.quote_pdf(paper)).pages) == 2


def test_long_knife_turns_the_sheet():
    """A4 is 595.276 by 841.890 pt (ISO 216: 210 by 297 mm)."""
    boxes = [page.mediabox for page in read(
        documents.quote_pdf(paper_of(family="sujihiki", length=0.27, height=0.038))
    ).pages]  # fmt: skip
    sizes = [(round(float(box.width)), round(float(box.height))) for box in boxes]
    assert sizes == [(595, 842), (842, 595)]


def test_letter_paper_is_letter():
    """US Letter is 8.5 by 11 in, 612 by 792 pt (ANSI/ASME Y14.1, from memory)."""
    Shop.objects.filter(pk=1).update(paper="letter")
    boxes = [page.mediabox for page in read(documents.quote_pdf(paper_of())).pages]
    assert {round(float(box.width)) for box in boxes} <= {612, 792}
    assert {round(float(box.height)) for box in boxes} <= {612, 792}


def test_long_texts_are_printed_whole():
    own_text("terms", FOUR_HUNDRED * 7 + "the very end")
    body = documents.quote_pdf(paper_of("x" * 60))
    assert "the very end" in text_of(body)


def test_many_knives_are_all_there():
    names = [f"Knife number {place}" for place in range(7)]
    text = text_of(documents.quote_pdf(paper_of(*names)))
    for name in names:
        assert text.count(name) >= 3  # specification, price, drawing


def test_same_paper_gives_the_same_bytes():
    paper = paper_of()
    assert documents.quote_pdf(paper) == documents.quote_pdf(paper)


def test_printer_has_nothing_to_say_about_our_styles(caplog):
    pdf._style.cache_clear()
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        documents.quote_pdf(paper_of("One", "Other"))
    said = [one.getMessage() for one in caplog.records if "weasyprint" in one.name]
    assert said == []


def test_style_sheet_stays_small():
    """A PDF pays for every rule."""
    text = (pdf.STYLES / "paper.css").read_text("utf-8")
    assert text.count("{") < 60


def test_customer_without_an_address_gets_a_paper():
    Customer.objects.all().delete()
    customer = CustomerFactory(name="Brun Ødegaard", address="")
    assert "Brun Ødegaard" in text_of(documents.quote_pdf(paper_of(customer=customer)))
