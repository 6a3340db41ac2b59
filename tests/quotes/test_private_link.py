"""Links to the private page: made once, opened by looking, ended at once.

Outside check: a capability address is long enough not to be guessed, has no effect
when it is looked at, can be revoked one by one, and is encrypted (W3C TAG, Good
Practices for Capability URLs; quoted from memory, verify).
"""

import datetime as dt
import re

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quotes.errors import QuoteError
from quotes.private import tokens, way
from quotes.views import private as private_views
from shop.models import Customer, CustomerLink, Order, Shop, StageEvent
from tests.factories import OrderFactory
from tests.quotes.orders import address, ready_shop, without_printer
from tests.quotes.privates import (
    HERE,
    link_for,
    opened,
    quoted_order,
    shown_hash,
    visitor,
)
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


@pytest.fixture
def order(owner_client):
    return quoted_order(owner_client)


def make(client, order, **more):
    page = client.get(address("links", order), **more)
    key = re.search(r'name="form_key" value="([^"]+)"', page.content.decode())[1]
    return client.post(address("links", order), {"form_key": key}, **more), key


def told(page):
    return re.search(r"<textarea[^>]*>([^<]+)</textarea>", page.content.decode())[1]


# --- making -----------------------------------------------------------------------


def test_owner_makes_a_link_that_is_shown_once(owner_client, order):
    page, key = make(owner_client, order, headers=HERE)
    found = told(page)
    token = re.fullmatch(r"http://localhost/q/([\w-]{43})/", found)[1]
    again = owner_client.post(
        address("links", order), {"form_key": key}, headers=HERE, follow=True
    )
    assert CustomerLink.objects.count() == 1
    assert token not in again.content.decode()
    assert "Works until" in text_of(again)
    assert visitor().get(f"/q/{token}/").status_code == 303


def test_database_holds_no_token(owner_client, order):
    page, _key = make(owner_client, order, headers=HERE)
    token = told(page).rstrip("/").rpartition("/")[2]
    tables = connection.introspection.table_names()
    with connection.cursor() as cursor:
        for table in tables:
            cursor.execute(f'SELECT * FROM "{table}"')
            assert token not in repr(cursor.fetchall()), table


def test_link_needs_a_quote(owner_client):
    order = OrderFactory(knives=1)
    page = owner_client.get(address("links", order), headers=HERE)
    assert "Issue a quote first" in text_of(page)
    sent = {"form_key": "k1"}
    page = owner_client.post(address("links", order), sent, headers=HERE)
    assert "Issue a quote first" in text_of(page)
    assert not CustomerLink.objects.exists()


def test_erased_customer_gets_no_link(order):
    """Whoever asks: the page leaves the button out, and the act refuses."""
    Customer.objects.filter(pk=order.customer_id).update(erased=timezone.now())
    with pytest.raises(QuoteError, match="erased"):
        tokens.make_link(order, by=None, at=timezone.now())
    assert not CustomerLink.objects.exists()


def test_token_in_large_letters_of_the_address_is_kept_out_of_it_too(client, db):
    """A mail program that writes /Q/ tells no token on."""
    page = client.get("/Q/" + "a" * 43 + "/")
    assert page.headers["Referrer-Policy"] == "no-referrer"
    assert page.headers["X-Robots-Tag"].startswith("noindex")
    assert page.wsgi_request.path_info == "/q/open/"


def test_no_link_is_made_over_plain_http_on_a_network(owner_client, order):
    for page in (
        owner_client.get(address("links", order)),
        owner_client.post(address("links", order), {"form_key": "k1"}),
    ):
        assert "HAMMERSCALE_HTTPS=yes" in text_of(page)
        assert "Make a link" not in text_of(page)
    assert not CustomerLink.objects.exists()


def test_link_over_https_names_the_shop_s_own_address(owner_client, order):
    page, _key = make(owner_client, order, secure=True)
    assert told(page).startswith("https://testserver/q/")
    Shop.objects.update(site="https://forge.example/")
    page, _key = make(owner_client, order, secure=True)
    assert told(page).startswith("https://forge.example/q/")


def test_link_works_thirty_days_longer_than_the_quote(order):
    link, _token = link_for(order)
    assert link.expires_on == order.quotes.get().valid_until + 30 * DAY


# --- opening ----------------------------------------------------------------------


def test_token_is_swapped_for_a_cookie(order):
    _link, token = link_for(order)
    answer = visitor().get(f"/q/{token}/")
    assert (answer.status_code, answer.url) == (303, "/q/view/")
    cookie = answer.cookies["hammerscale-private-key"]
    assert token not in cookie.value
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    assert answer.headers["Referrer-Policy"] == "no-referrer"


def test_cookie_over_https_belongs_to_this_host_alone(order):
    _link, token = link_for(order)
    client = Client()
    cookie = client.get(f"/q/{token}/", secure=True).cookies["__Host-private-key"]
    assert (cookie["secure"], cookie["path"], cookie["domain"]) == (True, "/", "")
    assert client.get("/q/view/", secure=True).status_code == 200


def test_changed_cookie_opens_nothing(order):
    client, _link = opened(order)
    client.cookies["hammerscale-private-key"] = "0" * 64
    assert client.get("/q/view/").status_code == 403


@pytest.mark.parametrize("where", ["/q/view/", "/q/{token}/"])
def test_plain_http_on_a_network_is_refused(order, where):
    _link, token = link_for(order)
    page = Client().get(where.format(token=token))
    assert page.status_code == 403
    assert "needs an encrypted connection" in text_of(page)
    far = Client(REMOTE_ADDR="192.0.2.7", headers=HERE)
    assert far.get(where.format(token=token)).status_code == 403


@pytest.mark.parametrize("name", way.FORWARDED)
def test_plain_http_through_a_proxy_of_this_machine_is_refused(
    owner_client, order, name
):
    _link, token = link_for(order)
    client = Client(headers={**HERE, name: "198.51.100.4"})
    assert client.get(f"/q/{token}/").status_code == 403
    assert client.get("/q/view/").status_code == 403
    through = {**HERE, name: "198.51.100.4"}
    page = owner_client.get(address("links", order), headers=through)
    assert "Make a link" not in text_of(page)
    assert client.get(f"/q/{token}/", secure=True).status_code == 303


def every_row():
    """All the database holds, but for the sessions of the owner."""
    return {
        model._meta.label: list(model._base_manager.order_by("pk").values())
        for model in apps.get_models()
        if model._meta.label != "sessions.Session"
    }


def test_hundred_looks_of_a_machine_change_nothing(order):
    """Mail programs open links, by GET and by HEAD, with and without the cookie."""
    _link, token = link_for(order)
    client, before = visitor(), every_row()
    known = [f"/q/{token}/", "/q/view/", "/q/paper/quote/1/", "/q/view/?answer=yes"]
    for number in range(100):
        look = client.get if number % 2 else client.head
        assert look(known[number // 2 % 4]).status_code in (200, 303)
    for where in ("/q/answer/", "/q/ask/"):
        for look in (client.get, client.head):
            assert look(where, {"answer": "yes", "agree": "on"}).status_code == 405
        assert visitor().get(where).status_code == 403
    assert every_row() == before


# --- ending -----------------------------------------------------------------------


def test_revoked_link_is_dead_at_the_next_request(owner_client, order):
    client, link = opened(order)
    other, _link = opened(order)
    _revoked = owner_client.post(reverse("link-revoke", args=[order.number, link.pk]))
    page = client.get("/q/view/")
    assert page.status_code == 410
    assert "no longer works" in text_of(page)
    assert other.get("/q/view/").status_code == 200
    first = CustomerLink.objects.get(pk=link.pk).revoked_at
    owner_client.post(reverse("link-revoke", args=[order.number, link.pk]))
    assert CustomerLink.objects.get(pk=link.pk).revoked_at == first


def test_link_of_another_order_is_not_ended_by_this_one(owner_client, order):
    _client, link = opened(order)
    elsewhere = OrderFactory(knives=1)
    wrong = reverse("link-revoke", args=[elsewhere.number, link.pk])
    assert owner_client.post(wrong).status_code == 404
    assert CustomerLink.objects.get().revoked_at is None


def later(monkeypatch, days):
    day = timezone.localdate() + days * DAY
    monkeypatch.setattr(private_views.standing, "today", lambda: day)


def test_expired_link_says_so(order, monkeypatch):
    link, token = link_for(order)
    client = visitor()
    days = (link.expires_on - timezone.localdate()).days
    later(monkeypatch, days)
    assert client.get(f"/q/{token}/").status_code == 303
    later(monkeypatch, days + 1)
    for where in (f"/q/{token}/", "/q/view/"):
        page = client.get(where)
        assert page.status_code == 410
        assert "expired" in text_of(page)


def test_expired_link_answers_asks_and_opens_nothing(order, monkeypatch):
    client, link = opened(order)
    sent = {"sha256": shown_hash(client), "typed_name": "T", "agree": "on"}
    before = every_row()
    later(monkeypatch, (link.expires_on - timezone.localdate()).days + 1)
    for page in (
        client.post("/q/answer/", {**sent, "answer": "yes"}),
        client.post("/q/answer/", {**sent, "answer": "no"}),
        client.post("/q/ask/", {**sent, "question": "Still there?"}),
        client.get("/q/paper/quote/1/"),
    ):
        assert page.status_code == 410
    assert every_row() == before


def test_page_of_an_order_in_work_stays_and_ends_after_the_handing_over(order):
    link, _token = link_for(order)
    far = link.expires_on + 400 * DAY
    assert tokens.ended(link, far) == "expired"
    Order.objects.update(state="accepted")
    link = CustomerLink.objects.select_related("order").get()
    assert tokens.ended(link, far) == ""
    Order.objects.update(state="delivered")
    at = timezone.now() + 300 * DAY
    StageEvent.objects.create(knife=order.knives.get(), stage="delivered", at=at)
    link = CustomerLink.objects.select_related("order").get()
    until = timezone.localdate(at) + 30 * DAY
    assert tokens.works_until(link) == until
    assert (tokens.ended(link, until), tokens.ended(link, until + DAY)) == (
        "", "expired",
    )  # fmt: skip


def test_sentence_why_no_link_is_made_names_the_way_out():
    assert "HTTPS" in str(way.WHY_NOT)
    assert ".deploy" in str(way.WHY_NOT)
