"""The page of invoices: looked at, issued once, refused beside the box."""

import json

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from quotes import pdf
from quotes.invoices.drafts import advance_draft
from quotes.models import Invoice
from quotes.views import invoices as page_of
from shop.models import Customer, Order, Payment, Shop
from tests.factories import OrderFactory
from tests.quotes import invoicing
from tests.quotes.invoicing import PAGE, accepted, final, month, paid, ready_shop, today
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop():
    return ready_shop()


@pytest.fixture
def printer(monkeypatch):
    """No paper is laid out; returns the titles that were printed."""
    made = []

    def printed(paper):
        made.append(paper.title)
        return PAGE

    monkeypatch.setattr(page_of, "print_invoice", printed)
    return made


def where(order):
    return reverse("invoices", args=[order.number])


def look(client, order, act, **values):
    key = client.get(where(order)).context["form_key"]
    data = {"form_key": key, "act": act, **values}
    return client.post(where(order), data | {"look": "1"}), data


def issue(client, order, act, **values):
    looked, data = look(client, order, act, **values)
    assert looked.context["paper"], looked.context["form"].errors
    data |= {"content": looked.context["content"], "issue": "1"}
    return client.post(where(order), data), data


def said(answer):
    return " ".join(text_of(answer).split())


# --- as it is meant -------------------------------------------------------------------


def test_advance_is_looked_at_then_issued(owner_client, printer):
    order = accepted()
    payment = paid(order, "300")
    values = {"payment": payment.pk, "expected": str(month())}
    looked, _data = look(owner_client, order, "advance", **values)
    assert not Invoice.objects.exists()
    for words in (
        f"Advance invoice {today():%Y}-0001", "an invoice over an advance",
        "Test yard 1", "11/222", "Quay 9", "€252.10", "€47.90", "€300.00",
        f"Delivery is expected in {month():%B %Y}.", "Payment received",
    ):  # fmt: skip
        assert words in said(looked), words
    answer, _data = issue(owner_client, order, "advance", **values)
    assert answer.status_code == 302
    invoice = Invoice.objects.get()
    assert (invoice.kind, invoice.gross, invoice.supplied_on) == (
        "advance", 300, payment.received_on,
    )  # fmt: skip
    assert printer == [f"Advance invoice {today():%Y}-0001"]


def test_final_invoice_shows_advances_and_what_is_due(owner_client, printer):
    order = accepted()
    invoicing.advance(order, "300")
    paid(order, "90")
    day = str(today())
    looked, _data = look(owner_client, order, "final", supplied_on=day)
    taken = f"less advance invoice {today():%Y}-0001"
    for words in ("Date of supply", taken, "−€47.90", "−€300.00",
                  "−€90.00", "€500.00", "Please pay at once."):  # fmt: skip
        assert words in said(looked), words
    answer, _data = issue(owner_client, order, "final", supplied_on=day)
    assert (answer.status_code, Invoice.objects.last().due) == (302, 500)


def test_what_was_issued_stands_on_the_page_with_its_fate(owner_client, printer):
    order = accepted()
    first = final(order)
    answer, _data = issue(
        owner_client, order, "cancel", invoice=first.pk, reason="wrong name"
    )
    assert answer.status_code == 302
    page = said(owner_client.get(where(order)))
    assert f"cancelled by {today():%Y}-0002" in page
    assert f"cancels {today():%Y}-0001" in page
    assert "−€890.00" in page
    looked, _data = look(owner_client, order, "final", supplied_on=str(today()))
    assert looked.context["paper"].title == f"Invoice {today():%Y}-0003"


def test_sending_twice_issues_once(owner_client, printer):
    order = accepted()
    _answer, data = issue(owner_client, order, "final", supplied_on=str(today()))
    again = owner_client.post(where(order), data)
    assert again.status_code == 302
    assert (Invoice.objects.count(), len(printer)) == (1, 1)


def test_other_number_taken_meanwhile_is_printed_anew(owner_client, monkeypatch):
    order, other, made = accepted(), accepted(), []

    def slow_printer(paper):
        if not made:
            final(other)  # somebody else is quicker
        made.append(paper.title)
        return PAGE

    monkeypatch.setattr(page_of, "print_invoice", slow_printer)
    answer, _data = issue(owner_client, order, "final", supplied_on=str(today()))
    assert answer.status_code == 302
    assert made == [f"Invoice {today():%Y}-000{place}" for place in (1, 2)]
    assert Invoice.objects.get(order=order).number == f"{today():%Y}-0002"


def test_vat_number_of_a_business_is_printed_and_of_nobody_else(owner_client):
    for business, shown in ((True, True), (False, False)):
        order = accepted(business=business, vat_number="XX123")
        looked, _data = look(owner_client, order, "final", supplied_on=str(today()))
        assert ("XX123" in said(looked)) is shown


def test_json_of_an_invoice_is_a_file_of_its_terms(owner_client):
    invoice = final(accepted())
    place = reverse("invoice-json", args=[invoice.order.number, invoice.pk])
    answer = owner_client.get(place)
    number = f"{today():%Y}-0001"
    assert answer["Content-Disposition"] == f'attachment; filename="{number}.json"'
    terms = json.loads(answer.content)
    assert (terms["BT-1"], terms["BG-22"]["BT-112"]) == (number, "890.00")
    other = OrderFactory()
    place = reverse("invoice-json", args=[other.number, invoice.pk])
    assert owner_client.get(place).status_code == 404


# --- refused --------------------------------------------------------------------------


def test_order_without_a_yes_is_told(owner_client):
    order = OrderFactory(knives=1)
    Customer.objects.update(address="Quay 9")
    page = owner_client.get(where(order))
    assert "An invoice needs a yes" in said(page)
    assert not page.context["forms"]


def test_what_is_lacking_is_named_with_its_page(owner_client):
    order = accepted(address="")
    Shop.objects.update(tax_number="")
    page = owner_client.get(where(order))
    assert "tax number or VAT number" in said(page)
    assert "has no address yet" in said(page)
    assert f'href="{reverse("shop")}"' in page.content.decode()
    assert not page.context["forms"]


@pytest.mark.parametrize(
    ("values", "box", "words"),
    [
        ({"supplied_on": ""}, "supplied_on", "when it was supplied"),
        ({"supplied_on": "next month"}, "supplied_on", "still to come"),
        ({"supplied_on": "sometime"}, "supplied_on", ""),
        ({"supplied_on": "today", "due_on": "2021-01-01"}, "due_on", "later day"),
    ],
)
def test_bad_day_is_said_beside_its_box_and_stays(owner_client, values, box, words):
    order = accepted()
    days = {"today": str(today()), "next month": str(month())}
    values = {name: days.get(text, text) for name, text in values.items()}
    looked, _data = look(owner_client, order, "final", **values)
    assert (looked.status_code, looked.context["paper"]) == (200, None)
    form = looked.context["form"]
    assert words in str(form.errors[box])
    assert form.data[box] == values[box]
    assert not Invoice.objects.exists()


def test_payment_above_the_total_is_told_with_its_amounts(owner_client):
    order = accepted()
    payment = paid(order, "900")
    looked, _data = look(
        owner_client, order, "advance", payment=payment.pk, expected=str(month())
    )
    assert "€900.00 is no advance where €890.00" in said(looked)


@pytest.mark.parametrize(
    "odd",
    [
        {"act": "advance", "payment": "999", "expected": "2099-01-01"},
        {"act": "cancel", "invoice": "x", "reason": "no"},
        {"act": "cancel", "invoice": "", "reason": ""},
        {"act": "refund"},
        {},
    ],
)
def test_odd_posts_change_nothing(owner_client, odd):
    order = accepted()
    paid(order, "10")
    final(order)
    answer = owner_client.post(where(order), odd | {"form_key": "k", "issue": "1"})
    assert answer.status_code == 200
    assert Invoice.objects.count() == 1


def again(client, order, **sent):
    """Send a form that the page does not show any more."""
    answer = client.post(where(order), {"form_key": "k", "look": "1", **sent})
    assert answer.status_code == 200
    assert answer.context["paper"] is None
    return said(answer)


def test_invoice_is_cancelled_once(owner_client):
    order = accepted()
    first, other = invoicing.advance(order, "100"), invoicing.advance(order, "50")
    back = invoicing.cancelled(first)
    for invoice, words in (
        (first, f"Invoice {first.number} is cancelled already"),
        (back, "A cancelling document is not cancelled"),
    ):
        sent = {"act": "cancel", "invoice": invoice.pk, "reason": "once more"}
        assert words in again(owner_client, order, **sent)
    assert Invoice.objects.count() == 3
    assert not Invoice.objects.filter(cancels=other).exists()


def test_what_was_issued_meanwhile_is_not_issued_again(owner_client):
    order = accepted()
    payment = paid(order, "100")
    sent = {"act": "advance", "payment": payment.pk, "expected": str(month())}
    shop = Shop.current()
    invoicing.kept(lambda: advance_draft(order, shop, payment, month(), today=today()))
    assert "has its advance invoice already" in again(owner_client, order, **sent)
    last = final(order)
    sent = {"act": "final", "supplied_on": str(today())}
    assert f"Invoice {last.number} stands already" in again(owner_client, order, **sent)
    assert Invoice.objects.count() == 2


@pytest.mark.parametrize("act", ["advance", "final", "cancel"])
def test_no_invoice_is_issued_before_the_yes(owner_client, act):
    order = OrderFactory(knives=1, quoted=True)
    Customer.objects.update(address="Quay 9")
    sent = {"supplied_on": str(today()), "payment": "1", "invoice": "1", "issue": "1"}
    assert "An invoice needs a yes" in again(owner_client, order, act=act, **sent)
    assert not Invoice.objects.exists()


def test_change_between_looking_and_issuing_is_read_again(owner_client, printer):
    order = accepted()
    looked, data = look(owner_client, order, "final", supplied_on=str(today()))
    paid(order, "100")
    data |= {"content": looked.context["content"], "issue": "1"}
    answer = owner_client.post(where(order), data)
    assert "has changed since you looked at it" in said(answer)
    assert answer.context["paper"].draft.bill.due == 790
    assert (Invoice.objects.count(), printer) == (0, [])


def test_payment_taken_back_is_shown(owner_client):
    order = accepted()
    invoicing.advance(order, "300")
    Payment.objects.update(taken_back=timezone.now())
    page = said(owner_client.get(where(order)))
    assert f"The payment of advance invoice {today():%Y}-0001 was taken back" in page


def test_page_reads_invoices_in_a_number_of_queries_that_does_not_grow(owner_client):
    def queries(order):
        with CaptureQueriesContext(connection) as asked:
            owner_client.get(where(order))
        return len(asked)

    few, many = accepted(), accepted()
    queries(few)  # whatever is kept from one request to the next is kept now
    invoicing.advance(few, "10")
    for amount in ("10", "20", "30", "40"):
        invoicing.advance(many, amount)
    assert queries(many) == queries(few)


# --- on paper -------------------------------------------------------------------------


@pytest.mark.skipif(not pdf.available(), reason="PDF needs Pango")
@pytest.mark.parametrize(("size", "width"), [("A4", 595), ("letter", 612)])
def test_paper_is_a_pdf_of_the_shops_size_with_all_particulars(
    owner_client, size, width
):
    import io

    from pypdf import PdfReader

    Shop.objects.update(
        paper=size, iban="XX00 1111 2222", account_holder="A. Holder", vat_number="XX9"
    )
    order = accepted(("knife", "500.00", 19), ("charge", "10.00", 7))
    order = Order.objects.select_related("customer").get(pk=order.pk)
    issue(owner_client, order, "final", supplied_on=str(today()))
    answer = owner_client.get(Invoice.objects.get().paper.get_absolute_url())
    sheets = PdfReader(io.BytesIO(answer.content)).pages
    text = " ".join(" ".join(sheet.extract_text() for sheet in sheets).split())
    text = text.replace("\u00a0", " ")
    for words in (
        f"Invoice {today():%Y}-0001", "Test yard 1", "Quay 9", "11/222", "XX9",
        "Date of supply",
        "Test thing", "1 pc.", "19 %", "7 %", "tax, 19 % on €420.17", "€510.00",
        "Please pay at once.", "A. Holder", "XX00 1111 2222",
    ):  # fmt: skip
        assert words in text, words
    assert round(float(sheets[0].mediabox.width)) == width
