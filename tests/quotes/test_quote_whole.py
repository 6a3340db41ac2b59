"""Whole quotes through their pages: page, paper, JSON and CSV say the same."""

import csv
import io
import json
import re
from decimal import Decimal

import pytest
from pypdf import PdfReader

from quotes import pdf
from quotes.money import EXPONENTS
from shop.models import Shop, TaxSetting
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import address, drafted, issue, ready_order, ready_shop
from tests.shop.typing_in import text_of

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(not pdf.available(), reason="PDF needs Pango"),
]

BESIDE = {
    "extras": (("saya", "88.00"), ("shipping", "14.90", "", Decimal(7))),
    "discount_percent": Decimal("2.5"), "discount_reason": "two at once",
}  # fmt: skip
WAYS = {"options": (("Ash", {"handle_material": "ash"}),
                    ("Olive", {"handle_material": "olive", "more": 12}))}  # fmt: skip

CASES = {
    "consumer": {},
    "consumer with everything": {"terms": BESIDE | WAYS, "names": ("One", "Other")},
    "business": {"business": True, "terms": BESIDE},
    "round total": {"terms": {**BESIDE, "step": 50}},
    "total asked for": {"terms": {**WAYS, "asked": Decimal("1999.99")}},
    "abroad": {"terms": {"regime": "export", **WAYS}},
    "small business": {"regime": "small"},
    "francs, in German": {"currency": "CHF", "language": "de", "terms": BESIDE},
    "crowns": {"currency": "CZK", "business": True, "terms": WAYS},
}


def issued(client, *, names=("One",), terms=None, **how):
    """A quote issued by its page, in a shop of one currency and regime."""
    ready_shop()
    Shop.objects.update(currency=how.get("currency", "EUR"))
    if regime := how.get("regime"):
        TaxSetting.objects.update(regime=regime, rate=0)
    customer = CustomerFactory(
        name="Aune", address="Quay 9", business=how.get("business", False),
        language=how.get("language", "en"),
    )  # fmt: skip
    order = ready_order(*names, order=OrderFactory(customer=customer))
    drafted(order, **(terms or {}))
    return issue(client, order)


def written(amount, quote):
    """An amount as the paper has it, in its customer's language."""
    amount = Decimal(amount)
    places = EXPONENTS[quote.currency]
    text = f"{abs(amount):,.{places}f}"
    if quote.order.customer.language == "de":
        text = text.translate(str.maketrans(",.", ".,"))
    return text


@pytest.mark.parametrize("case", CASES)
def test_page_paper_json_and_csv_say_the_same(owner_client, case):
    quote = issued(owner_client, **CASES[case])
    said = json.loads(get(owner_client, "quote-json", quote))
    check_sums(said)
    found = amounts_of(said)
    rows = csv.DictReader(io.StringIO(
        get(owner_client, "quote-csv", quote).decode("utf-8-sig"), newline=""
    ))  # fmt: skip
    assert amounts_in(list(rows)) == found
    paper = paper_text(owner_client, quote)
    page = text_of(owner_client.get(quote.get_absolute_url()))
    for amount in {one for ones in found.values() for one in ones}:
        assert written(amount, quote) in paper, amount
        assert f"{abs(Decimal(amount)):,.2f}" in page, amount


def get(client, name, quote):
    return client.get(address(name, quote.order, quote.revision)).content


def check_sums(said):
    """Law: lines add up to the total as read; base and tax to the total with tax."""
    read = sum(Decimal(line["amount"]) for line in said["lines"])
    assert read == Decimal(said["total"])
    sums = {one["name"]: Decimal(one["amount"]) for one in said["sums"]}
    bases = sum(Decimal(one["base"]) + Decimal(one["tax"]) for one in said["taxes"])
    assert bases == sums["gross"]


def amounts_of(said):
    """Amounts of JSON by what they are."""
    return {
        "line": [line["amount"] for line in said["lines"]],
        "tax": [one["tax"] for one in said["taxes"] if Decimal(one["percent"])],
        "total": [said["total"]],
        "deposit": [said["deposit"]],
        "option": [one["amount"] for one in said["options"]],
    }


def amounts_in(rows):
    """Amounts of CSV by what they are."""
    found = {
        part: [row["amount"] for row in rows if row["part"] == part]
        for part in ("line", "total", "deposit", "option")
    }
    taxes = [row for row in rows if row["part"] == "tax"]
    found["tax"] = [row["tax"] for row in taxes if Decimal(row["tax_percent"])]
    return found


def paper_text(client, quote):
    body = client.get(quote.paper.get_absolute_url()).content
    pages = PdfReader(io.BytesIO(body)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))
