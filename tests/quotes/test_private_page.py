"""What the private page shows of an order, how it stands, and nothing else."""

import dataclasses
import datetime as dt
import re
from decimal import Decimal
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse
from django.utils import timezone, translation

from quotes import store
from quotes.models import Paper
from quotes.private.knives import KnifeShown
from quotes.private.page import PrivatePage, private_page
from quotes.private.pending import PendingShown
from quotes.private.progress import Progress
from shop.models import Customer, CustomerQuestion, Knife, Shop
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import (
    drafted,
    issue,
    own_text,
    ready_order,
    ready_shop,
    without_printer,
)
from tests.quotes.privates import opened, quoted_order, yes
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db

HEADERS = {
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # Forms of a page that tells no referrer at all would be refused.
    "Referrer-Policy": "same-origin",
}
POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


@pytest.fixture
def order(owner_client):
    return quoted_order(owner_client)


def view(customer):
    page = customer.get("/q/view/")
    assert page.status_code == 200
    return page


# --- what is shown ----------------------------------------------------------------


def test_quote_is_shown_whole(order):
    Shop.objects.update(name="Test forge", phone="0100 200")
    own_text("terms", "Paid in cowries.")
    customer, _link = opened(order)
    quote, page = order.quotes.get(), view(customer)
    text = text_of(page)
    for part in (
        f"Quote {order.number}", "Test forge", "0100 200", "Paid in cowries.",
        "Test knife", "Edge, heel to tip", "163 mm", "This price is fixed",
        f"€{quote.total:,.2f}", f"A deposit of €{quote.deposit:,.2f}", "Care",
        "To know before you order", "19 %",
    ):  # fmt: skip
        assert part in text, part
    body = page.content.decode()
    assert body.count("<svg") == body.count('<figure class="scaled">') == 1
    assert reverse("private-paper", args=["quote", 1]) in body


def test_page_knows_only_what_is_allowed():
    """A new field has to be put here by hand: it is read by strangers."""
    names = [{field.name for field in dataclasses.fields(one)}
             for one in (PrivatePage, KnifeShown, Progress, PendingShown)]  # fmt: skip
    assert names == [
        {"title", "state", "said", "facts", "price", "kind", "changes", "knives",
         "tolerances", "prices", "parts", "steps", "agreed", "terms", "progress",
         "pending", "care", "photos", "papers", "questions", "options", "sha256"},
        {"name", "stage", "rows", "drawing", "made"},
        {"heading", "due", "needed", "calm", "sums", "reckoned", "moved", "pay_to",
         "code", "code_note"},
        {"key", "sha256", "name", "wish", "told", "facts", "back", "note"},
    ]  # fmt: skip


def test_template_is_given_no_row_of_the_database(order):
    customer, _link = opened(order)
    ours = {"page", "yes", "no", "ask", "form"}
    (context,) = [one for one in view(customer).context if "page" in one.flatten()][:1]
    held = context.flatten()
    assert isinstance(held["page"], PrivatePage)
    others = {"order", "quote", "link", "customer", "answer", "basis", "cost"}
    assert ours <= held.keys()
    assert not others & held.keys()


def test_nothing_of_cost_customer_or_others_reaches_the_page(owner_client):
    stranger = quoted_order(owner_client)
    CustomerFactory(name="Ottokar Feldspat", folded="ottokar feldspat")
    order = OrderFactory(
        customer=CustomerFactory(
            name="Walburga Basalt", address="Basalt lane 9", email="w@example.org",
            phone="0555 77", note="haggles",
        ),
        wish="As thin as it goes",
    )  # fmt: skip
    ready_order(order=order)
    Knife.objects.filter(order=order).update(note="mind the heel")
    quote = issue(owner_client, order)
    CustomerQuestion.objects.create(
        order=stranger, text="Whose question?", at=timezone.now()
    )
    customer, _link = opened(order)
    before = view(customer).content.decode()
    yes(customer)
    cost = quote.basis["cost"]
    for body in (before, view(customer).content.decode()):
        for kept in (
            "Walburga", "Basalt", "w@example.org", "0555 77", "haggles", "Feldspat",
            "Grauwacke", stranger.number, "Whose question?", "mind the heel",
            "As thin as it goes", "margin", "Margin",
        ):  # fmt: skip
            assert kept not in body, kept
        assert ">WB<" in body
        for name in ("direct", "cost", "margin", "net"):
            if Decimal(cost[name]) != quote.net:
                assert f"{Decimal(cost[name]):,.2f}" not in body, name
        for line in cost["lines"]:
            assert f"€{Decimal(line['amount']):,.2f}" not in body, line["label"]


def test_every_answer_carries_the_headers(order):
    customer, link = opened(order)
    answers = [
        customer.get("/q/view/"), customer.get(reverse("private-paper",
        args=["quote", 1])), customer.get("/q/paper/quote/99/"),
        customer.get("/q/answer/"), customer.post("/q/answer/", {}),
        customer.post("/q/ask/", {}),
    ]  # fmt: skip
    link.revoked_at = timezone.now()
    link.save()
    answers.append(customer.get("/q/view/"))
    assert [one.status_code for one in answers] == [200, 200, 404, 405, 400, 409, 410]
    for answer in answers:
        assert {name: answer.headers.get(name) for name in HEADERS} == HEADERS
        if answer.headers["Content-Type"] != "application/pdf":
            assert answer.headers["Content-Security-Policy"] == POLICY


def test_page_holds_no_script_and_nothing_inline(order):
    customer, _link = opened(order)
    body = view(customer).content.decode()
    assert not re.search(r"<script|style=|\son\w+=|https?://(?!www\.w3)", body)


def test_page_is_small_also_with_many_knives(owner_client):
    order = ready_order(*(f"Knife {place}" for place in range(6)))
    drafted(order, options=[("Olive", {"handle_material": "olive"})])
    issue(owner_client, order)
    customer, _link = opened(order)
    page = view(customer)
    sheets = [finders.find(name) for name in ("shop/shop.css", "quotes/private.css")]
    loaded = len(page.content) + sum(Path(one).stat().st_size for one in sheets)
    body = page.content.decode()
    assert body.count("<svg") == 4
    assert body.count("Its drawing is on the paper") == 2
    ids = re.findall(r'\sid="([^"]+)"', body)
    assert len(set(ids)) == len(ids)
    assert loaded <= 100_000


def test_number_of_queries_does_not_grow(owner_client, django_assert_max_num_queries):
    few, many = ready_order(), ready_order(*(f"Knife {place}" for place in range(5)))
    for order in (few, many):
        issue(owner_client, order)
        customer, _link = opened(order)
        with django_assert_max_num_queries(13):
            view(customer)


def test_customer_reads_their_own_language(owner_client):
    Customer.objects.create(name="Ada", folded="ada")
    order = OrderFactory(customer=CustomerFactory(language="de"))
    ready_order(order=order)
    issue(owner_client, order)
    customer, link = opened(order)
    assert '<html lang="de">' in view(customer).content.decode()
    with translation.override("de"):
        page = private_page(order, Shop.current())
    assert "Schneide" in str(page.knives[0].rows)
    link.revoked_at = timezone.now()
    link.save()
    assert '<html lang="de">' in customer.get("/q/view/").content.decode()


def test_run_out_quote_offers_no_yes(order, monkeypatch):
    customer, _link = opened(order)
    quote = order.quotes.get()
    late = quote.valid_until + dt.timedelta(days=1)
    monkeypatch.setattr("quotes.private.case.timezone.localdate", lambda *_at: late)
    page = view(customer)
    assert "It ran out on" in text_of(page)
    assert 'name="typed_name"' not in page.content.decode()


# --- papers -----------------------------------------------------------------------


def paper(order, kind, **more):
    return Paper.objects.create(
        sha256=store.keep(kind.encode()), media="pdf", kind=kind, order=order,
        revision=7, made_at=timezone.now(), **more,
    )  # fmt: skip


def test_papers_of_the_order_open_and_no_others(owner_client, order):
    other = quoted_order(owner_client)
    customer, _link = opened(order)
    given = customer.get(reverse("private-paper", args=["quote", 1]))
    assert given.content == store.read(order.quotes.get().paper.sha256)
    assert "quote-" in given.headers["Content-Disposition"]
    paper(order, "sheet", knife=order.knives.get())
    paper(other, "final")
    for kind, revision in (("sheet", 7), ("final", 7), ("quote", 2), ("quote", 10**25)):
        page = customer.get(reverse("private-paper", args=[kind, revision]))
        assert page.status_code == 404
        assert "There is nothing at this address" in text_of(page)
    paper(order, "request")
    assert customer.get("/q/paper/request/7/").content == b"request"
    assert "Request for payment 7" in text_of(view(customer))


def test_damaged_paper_is_told_and_not_shown(order, settings):
    customer, _link = opened(order)
    (settings.PAPER_DIR / order.quotes.get().paper.sha256).write_bytes(b"changed")
    page = customer.get(reverse("private-paper", args=["quote", 1]))
    assert page.status_code == 500
    assert "cannot be read" in text_of(page)
