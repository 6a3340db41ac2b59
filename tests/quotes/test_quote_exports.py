"""An issued quote as JSON and CSV: from its rows, to the cent, and without harm."""

import csv
import io
import json
from decimal import Decimal

import pytest

from quotes.models import Extra
from quotes.offer.exports import COLUMNS, TERMS, harmless
from shop.models import Rate
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import (
    address,
    drafted,
    issue,
    older_quote,
    ready_order,
    ready_shop,
    without_printer,
)
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db

TERMS_OF_IT = {
    "extras": (("sheath", "61.50"), ("shipping", "14.90", "", Decimal(7))),
    "discount": Decimal(25), "discount_reason": "old friend",
    "options": (("Bog oak", {"handle_material": "bog_oak"}),),
}  # fmt: skip


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


def issued(client, *names, business=False, **terms):
    customer = CustomerFactory(name="Jalmari", address="Quay 9", business=business)
    order = ready_order(*names, order=OrderFactory(customer=customer))
    drafted(order, **(TERMS_OF_IT | terms))
    return issue(client, order)


def json_of(client, quote):
    answer = client.get(address("quote-json", quote.order, quote.revision))
    return json.loads(answer.content)


def csv_of(client, quote):
    body = client.get(address("quote-csv", quote.order, quote.revision)).content
    return list(csv.DictReader(io.StringIO(body.decode("utf-8-sig"), newline="")))


def amounts(rows, part, column):
    return [Decimal(row[column]) for row in rows if row["part"] == part and row[column]]


# --- what they say -----------------------------------------------------------------


@pytest.mark.parametrize("business", [False, True])
def test_json_says_what_the_rows_say(owner_client, business):
    quote = issued(owner_client, "One", "Other", business=business, kind="estimate")
    said = json_of(owner_client, quote)
    assert said["quote"] == quote.order.number
    assert (said["revision"], said["kind"], said["currency"]) == (1, "estimate", "EUR")
    assert said["mode"] == ("net" if business else "gross")
    assert said["paper_sha256"] == quote.paper.sha256
    kinds = ["knife", "knife", "extra", "charge", "discount"]
    assert [line["kind"] for line in said["lines"]] == kinds
    read = sum(Decimal(line["amount"]) for line in said["lines"])
    assert read == Decimal(said["total"]) == (quote.net if business else quote.total)
    assert all("." in line["amount"] for line in said["lines"])
    assert [one["name"] for one in said["options"]] == ["As described above", "Bog oak"]


def test_sums_bear_the_terms_of_the_standard_and_hold_its_rules(owner_client):
    """EN 16931: BR-CO-10, 13, 14 and 15 of the open validation rules."""
    said = json_of(owner_client, issued(owner_client))
    sums = {one["term"]: Decimal(one["amount"]) for one in said["sums"]}
    assert sums["BT-106"] == sum(
        Decimal(line["net"]) for line in said["lines"]
        if line["kind"] in ("knife", "extra")
    )  # fmt: skip
    assert sums["BT-109"] == sums["BT-106"] - sums["BT-107"] + sums["BT-108"]
    assert sums["BT-110"] == sum(Decimal(one["tax"]) for one in said["taxes"])
    assert sums["BT-112"] == sums["BT-109"] + sums["BT-110"]
    assert sums["BT-107"] > 0


def test_csv_says_the_same_as_json(owner_client):
    quote = issued(owner_client, "One", "Other")
    rows, said = csv_of(owner_client, quote), json_of(owner_client, quote)
    for column in ("amount", "net", "gross"):
        assert amounts(rows, "line", column) == [
            Decimal(line[column]) for line in said["lines"]
        ]
    for column, name in (("net", "base"), ("tax", "tax"), ("tax_percent", "percent")):
        assert amounts(rows, "tax", column) == [
            Decimal(one[name]) for one in said["taxes"]
        ]
    assert {row["name"]: row["amount"] for row in rows if row["part"] == "sum"} == {
        one["name"]: one["amount"] for one in said["sums"]
    }
    assert amounts(rows, "total", "amount") == [Decimal(said["total"])]
    assert amounts(rows, "deposit", "amount") == [Decimal(said["deposit"])]
    assert amounts(rows, "option", "amount") == [
        Decimal(one["amount"]) for one in said["options"]
    ]
    for row in rows:
        assert (row["revision"], row["kind"], row["mode"]) == ("1", "fixed", "gross")
        assert (row["quote"], row["currency"]) == (quote.order.number, "EUR")
    assert tuple(rows[0]) == COLUMNS
    assert {row["term"] for row in rows} >= set(TERMS.values())


def test_files_stay_as_issued_whatever_changes(owner_client):
    quote = issued(owner_client)
    before = json_of(owner_client, quote), csv_of(owner_client, quote)
    Rate.objects.update(value=Decimal(1))
    Extra.objects.all().delete()
    assert (json_of(owner_client, quote), csv_of(owner_client, quote)) == before


# --- how they are given out ---------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "media", "ending"),
    [
        ("quote-json", "application/json", "json"),
        ("quote-csv", "text/csv; charset=utf-8", "csv"),
    ],
)
def test_files_are_taken_away_under_a_plain_name(owner_client, name, media, ending):
    quote = issued(owner_client)
    answer = owner_client.get(address(name, quote.order, 1))
    assert answer["Content-Type"] == media
    said = f'attachment; filename="quote-{quote.order.number}-r1.{ending}"'
    assert answer["Content-Disposition"] == said
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "no-store"
    assert owner_client.get(address(name, quote.order, 7)).status_code == 404
    assert owner_client.post(address(name, quote.order, 1)).status_code == 405
    page = owner_client.get(quote.get_absolute_url()).content.decode()
    assert address(name, quote.order, 1) in page


def test_csv_begins_with_the_mark_spreadsheets_need(owner_client):
    quote = issued(owner_client)
    body = owner_client.get(address("quote-csv", quote.order, 1)).content
    assert body.startswith(b"\xef\xbb\xbfquote,revision,")
    assert body.count(b"\r\n") == body.count(b"\n")


# --- what cannot be done with them --------------------------------------------------

SIGNS = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")
FORMULAS = (
    "1+1", "cmd|' /C calc'!A0", 'HYPERLINK("http://example.org","x")', "SUM(A1:A9)",
)  # fmt: skip
PAYLOADS = [
    *(sign + formula for sign in SIGNS for formula in FORMULAS),
    " =1+1", "\t=1+1", "\r=1+1", "\n=1+1", "\x0b=1+1", "\u2028=1+1",
    "oak;=1+1", "oak; =1+1", 'oak";=1+1', "oak\n=1+1", "oak\t@SUM(A1)",
    "\ufeff=1+1",
]  # fmt: skip


def begins_a_formula(cell):
    return cell.lstrip("\ufeff\u200b \u00a0")[:1] in (*SIGNS, "\t", "\r")


@pytest.mark.parametrize("payload", PAYLOADS)
def test_no_text_becomes_a_formula_wherever_cells_are_parted(payload):
    """OWASP, CSV injection (from memory): signs that begin a formula, also behind a
    separator of another program, get an apostrophe before them."""
    text = io.StringIO(newline="")
    csv.writer(text).writerow(["1", harmless(payload), "2"])
    for delimiter in ",;\t":
        for quote in (csv.QUOTE_MINIMAL, csv.QUOTE_NONE):
            rows = csv.reader(
                io.StringIO(text.getvalue(), newline=""), delimiter=delimiter,
                quoting=quote,
            )  # fmt: skip
            cells = [cell for row in rows for cell in row]
            # Read without quotes a cell may begin with one, which is text.
            assert not [cell for cell in cells if begins_a_formula(cell)], delimiter


def test_there_are_forty_payloads_and_more():
    assert len(set(PAYLOADS)) >= 40


def test_formula_in_a_name_is_text_in_the_file_and_numbers_stay_numbers(owner_client):
    quote = issued(
        owner_client, "=1+1", extras=(("other", "5.00", "@SUM(A1:A9)"),),
        options=(("+44 555", {"handle_material": "olive"}),),
    )  # fmt: skip
    rows = csv_of(owner_client, quote)
    names = [row["name"] for row in rows if row["part"] in ("line", "option")]
    assert names[:2] == ["'=1+1", "'@SUM(A1:A9)"]
    assert names[-1] == "'+44 555"
    off = next(row for row in rows if row["line_kind"] == "discount")
    assert off["amount"] == "-25.00"
    assert json_of(owner_client, quote)["lines"][0]["name"] == "=1+1"


# --- older quotes -------------------------------------------------------------------


def test_quote_of_an_older_program_is_shown_and_given_out(owner_client):
    order = ready_order("One", "Other")
    quote = older_quote(order)
    text = text_of(owner_client.get(quote.get_absolute_url()))
    for said in ("a fixed price", "One", "Other", f"€{quote.total:,.2f}", "of it tax"):
        assert said in text
    said = json_of(owner_client, quote)
    sums = {one["name"]: Decimal(one["amount"]) for one in said["sums"]}
    assert sums["lines"] == sums["net"] == quote.net
    assert (sums["tax"], sums["gross"]) == (quote.tax, quote.total)
    assert [Decimal(one["tax"]) for one in said["taxes"]] == [quote.tax]
    assert [line["net"] for line in said["lines"]] == [None, None]
    rows = csv_of(owner_client, quote)
    assert amounts(rows, "line", "net") == []
    assert sum(amounts(rows, "line", "amount")) == quote.total
