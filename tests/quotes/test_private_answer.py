"""A yes, a no and a question on the private page: once, and to what was read."""

import concurrent.futures
import datetime as dt

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone

from quotes.models import QuoteAnswer
from quotes.private import standing
from shop import services as shop_services
from shop.models import CustomerLink, CustomerQuestion, Knife, Order
from tests.quotes.orders import (
    answer,
    drafted,
    issue,
    ready_order,
    ready_shop,
    without_printer,
)
from tests.quotes.privates import (
    HERE,
    link_for,
    no,
    opened,
    quoted_order,
    shown_hash,
    visitor,
    yes,
)
from tests.shop.typing_in import STOCK_WORDS, errors_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


@pytest.fixture
def order(owner_client):
    return quoted_order(owner_client)


@pytest.fixture
def customer(order):
    return opened(order)[0]


def refused(page, *words, status=409):
    assert page.status_code == status
    text = text_of(page)
    assert all(word in text for word in words)
    return True


# --- yes and no -------------------------------------------------------------------


def test_yes_binds_to_the_paper_that_was_shown(order, customer):
    sha256 = shown_hash(customer)
    done = yes(customer, sha256)
    assert (done.status_code, done.url) == (303, "/q/view/")
    given = QuoteAnswer.objects.get()
    quote = order.quotes.get()
    assert given.sha256 == sha256 == quote.paper.sha256
    assert (given.accepted, given.typed_name, given.by) == (
        True, "Tilda Grauwacke", None,
    )  # fmt: skip
    assert given.note == "on the private page"
    order.refresh_from_db()
    assert (order.state, order.agreed, order.deposit_due) == (
        "accepted", quote.total, quote.deposit,
    )  # fmt: skip
    assert Knife.objects.get().stage == "forge"
    assert CustomerLink.objects.get().used_at is not None


def test_owner_reads_the_typed_name(owner_client, order, customer):
    yes(customer, typed_name="T. <b>Grauwacke</b>")
    page = owner_client.get(order.quotes.get().get_absolute_url())
    assert "T. &lt;b&gt;Grauwacke&lt;/b&gt;" in page.content.decode()


def test_no_is_kept_with_its_reason(order, customer):
    assert no(customer, reason="Too dear for now").status_code == 303
    given = QuoteAnswer.objects.get()
    assert (given.accepted, given.note) == (
        False, "on the private page: Too dear for now",
    )  # fmt: skip
    order.refresh_from_db()
    assert order.state == "declined"
    assert "Declined on" in text_of(customer.get("/q/view/"))


def test_hundred_posts_are_one_acceptance(customer):
    sha256 = shown_hash(customer)
    ends = {(page.status_code, page.url) for page in (yes(customer, sha256)
            for _time in range(100))}  # fmt: skip
    assert ends == {(303, "/q/view/")}
    assert QuoteAnswer.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "box", "said"),
    [
        ({"typed_name": " \u200b "}, "typed_name", "This box is empty: fill it in."),
        ({"typed_name": "x" * 121}, "typed_name", "Use at most 120 signs here"),
        ({"agree": ""}, "agree", "Tick this box if you want to order."),
    ],
)
def test_yes_without_name_or_tick_is_asked_for(customer, changes, box, said):
    page = yes(customer, **changes)
    assert page.status_code == 200
    assert said in errors_on(page, box)
    assert "<title>Error:" in page.content.decode()
    assert not any(word in text_of(page) for word in STOCK_WORDS)
    assert not QuoteAnswer.objects.exists()
    if box == "agree":
        assert 'value="Tilda Grauwacke"' in page.content.decode()


def test_long_reason_stays_in_its_box(customer):
    page = no(customer, reason="y" * 151)
    assert "Use at most 150 signs" in errors_on(page, "reason")
    assert "y" * 151 in page.content.decode()
    assert not QuoteAnswer.objects.exists()


def test_yes_to_options_names_one(owner_client):
    order = ready_order()
    drafted(order, options=[("Olive", {"handle_material": "olive"})])
    quote = issue(owner_client, order)
    customer, _link = opened(order)
    page = yes(customer)
    assert "Choose the option you take." in errors_on(page, "option")
    assert "Choose one of the list" in errors_on(yes(customer, option="9"), "option")
    assert not QuoteAnswer.objects.exists()
    assert yes(customer, option="2").status_code == 303
    order.refresh_from_db()
    olive = quote.options.get(position=2)
    assert (order.agreed, Knife.objects.get().handle_material) == (olive.total, "olive")
    assert yes(customer, quote.paper.sha256, option="2").status_code == 303
    assert refused(yes(customer, quote.paper.sha256, option="1"), "answered already")


# --- answers that cannot be taken -------------------------------------------------


def test_yes_under_another_hash_changes_nothing(order, customer):
    for sha256 in ("0" * 64, "", "x" * 500, "\x00"):
        page = yes(customer, sha256 or " ")
        assert refused(page, "another quote", "Nothing was changed.")
    assert not QuoteAnswer.objects.exists()
    order.refresh_from_db()
    assert order.state == "quoted"


def test_yes_to_somebody_else_s_quote_changes_nothing(owner_client, customer):
    other = quoted_order(owner_client)
    assert refused(yes(customer, other.quotes.get().paper.sha256), "another quote")
    assert not QuoteAnswer.objects.exists()


def test_yes_to_a_superseded_revision_is_none(owner_client, order, customer):
    before = shown_hash(customer)
    issue(owner_client, order)
    for answered in (yes, no):
        page = answered(customer, before)
        assert refused(page, "newer revision", "Nothing was changed.")
    assert not QuoteAnswer.objects.exists()
    assert yes(customer).status_code == 303
    assert QuoteAnswer.objects.get().quote.revision == 2


def test_yes_after_an_answer_by_telephone_is_told(owner_client, order, customer):
    sha256 = shown_hash(customer)
    answer(owner_client, order.quotes.get(), "no")
    assert refused(yes(customer, sha256), "answered already", "The first answer stands")
    assert QuoteAnswer.objects.get().accepted is False
    assert no(customer, sha256).status_code == 303  # the same again is no mistake


def test_yes_to_a_quote_that_has_run_out_is_refused(customer, monkeypatch):
    sha256 = shown_hash(customer)
    late = timezone.localdate() + dt.timedelta(days=31)
    monkeypatch.setattr(standing, "today", lambda: late)
    assert refused(yes(customer, sha256), "has run out", "Nothing was changed.")
    assert not QuoteAnswer.objects.exists()
    assert no(customer, sha256).status_code == 303


def test_yes_to_a_knife_changed_since_is_refused(order, customer):
    sha256 = shown_hash(customer)
    shop_services.change_knife(order.knives.get(), {"finish": "mirror"})
    assert refused(yes(customer, sha256), "has to look at this quote first")
    assert not QuoteAnswer.objects.exists()


def test_yes_to_a_cancelled_order_is_refused(order, customer):
    sha256 = shown_hash(customer)
    shop_services.cancel_order(order, reason="no steel", by=None, at=timezone.now())
    assert refused(yes(customer, sha256), "takes no answer now")
    assert "has closed this order" in text_of(customer.get("/q/view/"))


def test_yes_by_a_link_that_has_ended_is_refused(order, customer):
    sha256 = shown_hash(customer)
    CustomerLink.objects.update(revoked_at=timezone.now())
    assert refused(yes(customer, sha256), "no longer works", status=410)
    assert not QuoteAnswer.objects.exists()


@pytest.mark.parametrize("said", [None, "", "maybe", "YES"])
def test_neither_yes_nor_no_changes_nothing(order, customer, said):
    data = {"sha256": shown_hash(customer)} | ({} if said is None else {"answer": said})
    page = customer.post("/q/answer/", data)
    assert refused(page, "Neither a yes nor a no", "Nothing was changed.", status=400)
    assert not QuoteAnswer.objects.exists()
    order.refresh_from_db()
    assert order.state == "quoted"


@pytest.mark.parametrize("what", ["yes", "no", "ask"])
def test_link_ended_meanwhile_writes_nothing(order, customer, monkeypatch, what):
    """The link is ended after the page let the browser in, before it is written."""
    shown, known = shown_hash(customer), standing.quote_shown

    def ended_now(order, sha256):
        CustomerLink.objects.update(revoked_at=timezone.now())
        return known(order, sha256)

    monkeypatch.setattr(standing, "quote_shown", ended_now)
    data = {"question": "Still there?", "sha256": shown}
    send = {"yes": lambda: yes(customer, shown), "no": lambda: no(customer, shown),
            "ask": lambda: customer.post("/q/ask/", data)}  # fmt: skip
    assert refused(send[what](), "no longer works", status=410)
    assert not QuoteAnswer.objects.exists()
    assert not CustomerQuestion.objects.exists()
    order.refresh_from_db()
    assert order.state == "quoted"


def test_whoever_was_quicker_leaves_a_clear_page(order, customer, monkeypatch):
    sha256 = shown_hash(customer)
    monkeypatch.setattr(standing, "refusal", lambda *_what: "")
    yes(customer, sha256)
    page = yes(customer, sha256)
    assert refused(page, "has to look at this quote first")
    assert QuoteAnswer.objects.count() == 1


def test_yes_from_another_site_is_refused(order):
    _link, token = link_for(order)
    client = Client(headers=HERE, enforce_csrf_checks=True)
    client.get(f"/q/{token}/")
    assert yes(client).status_code == 403
    null = client.post("/q/answer/", {"answer": "yes"}, headers={"origin": "null"})
    assert null.status_code == 403
    assert "X-Robots-Tag" in null.headers


def test_nobody_answers_without_a_link(order):
    sha256 = order.quotes.get().paper.sha256
    assert refused(yes(visitor(), sha256), "Open this page by your link", status=403)
    assert not QuoteAnswer.objects.exists()


# --- at once ----------------------------------------------------------------------


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(
    "connection.vendor == 'sqlite'", reason="needs the server that .ci/run starts"
)
def test_hundred_parallel_posts_are_one_acceptance(owner_client):
    order = quoted_order(owner_client)
    customer, _link = opened(order)
    sha256, cookies = shown_hash(customer), customer.cookies

    def send(_number):
        client = visitor()
        client.cookies = cookies
        try:
            return yes(client, sha256).status_code
        finally:
            connection.close()

    with concurrent.futures.ThreadPoolExecutor(20) as threads:
        ends = list(threads.map(send, range(100)))
    # Whoever is overtaken is led on as well, or told that it is answered.
    assert 303 in ends
    assert set(ends) <= {303, 409}
    assert QuoteAnswer.objects.count() == 1
    assert Order.objects.get().state == "accepted"
    assert Knife.objects.get().events.count() == 1
