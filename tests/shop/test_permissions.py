"""Who may open what: every address by name, so that a new one needs a row here."""

import re

import pytest
from django.test import Client
from django.urls import URLResolver, get_resolver, reverse
from django.utils.http import url_has_allowed_host_and_scheme

from billets.models import Plan
from shop.models import Knife, Order, Shop
from tests.factories import OrderFactory, PlanFactory
from tests.shop.cameras import kept_photo
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db

ANYONE = {"login"}
"""Addresses for whoever is not signed in."""

CUSTOMER = {"private", "private-view", "private-answer", "private-ask", "private-paper",
            "private-photo", "private-change"}  # fmt: skip
"""Addresses for whoever came by a customer's link, without signing in."""

BENCH = {
    "front", "orders", "order-new", "order", "order-edit", "order-decline",
    "order-cancel", "knife-new", "customer-list", "customer-new", "customer",
    "customer-edit", "knife", "knife-edit", "assign-plan", "knife-move", "knife-back",
    "knife-leave", "logout", "plans", "plan", "plan-new", "sheet", "gas",
    "knife-hours", "weighed", "photos", "photo",
}  # fmt: skip
"""Addresses for everybody of the shop."""

OWNER = {
    "shop", "shop-tax", "price", "quote", "quote-new", "quote-answer", "rates", "sure",
    "quote-terms",
    "quote-json", "quote-csv",
    "shop-hour", "hours", "after",
    "stacks", "floor", "texts", "change-new", "change",
    "invoices", "invoice-json",
    "payments", "request-pdf",
    "mail-new", "customer-data", "customer-erase", "kept",
    "links", "link-revoke", "question-answered", "photos-marks",
}  # fmt: skip
"""Addresses for whoever may see prices."""

BY_KIND = {"paper", "photo-back"}
"""Addresses whose own tests say who may open which."""

POST_ONLY = {
    "order-decline", "assign-plan", "knife-move", "knife-back",
    "knife-leave", "shop-tax", "logout", "knife-hours", "customer-erase",
    "request-pdf", "link-revoke", "question-answered", "photos-marks", "photo-back",
}  # fmt: skip


def named(patterns, namespace=""):
    """Every name with a path; the admin keeps its own gate."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            if pattern.namespace != "admin":
                yield from named(pattern.url_patterns)
        elif pattern.name:
            yield pattern.name, tuple(pattern.pattern.converters)


NAMES = dict(named(get_resolver().url_patterns))


@pytest.fixture
def shop():
    order = OrderFactory(knives=1, accepted=True)
    return {
        "name": kept_photo(order.knives.get()).name,
        "size": "small",
        "number": order.number,
        "serial": order.knives.get().serial,
        "pk": PlanFactory().pk,
        "revision": 1,
        "kind": "quote",
        "token": "x" * 43,
    }


def address(name, shop):
    keys = {}
    if name.startswith("customer"):
        keys = {"pk": Order.objects.get().customer_id}
    if name == "gas":
        keys = {"pk": Plan.objects.get().forge_id}
    return reverse(name, kwargs={key: (shop | keys)[key] for key in NAMES[name]})


def test_every_address_has_a_row():
    assert set(NAMES) == set(NAMES) & (ANYONE | CUSTOMER | BENCH | OWNER | BY_KIND)


@pytest.mark.parametrize("name", sorted(set(NAMES) & CUSTOMER))
@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("who", ["client", "helper_client", "owner_client"])
def test_nobody_opens_a_customer_s_page_without_a_link(
    request, shop, name, method, who
):
    client = request.getfixturevalue(who)
    where = address(name, shop)
    answer = getattr(client, method)(where, headers={"host": "localhost"})
    refusals = {"get": 404, "post": 405} if name == "private" else {}
    assert answer.status_code == refusals.get(method, 403)
    assert shop["number"] not in answer.content.decode()


@pytest.mark.parametrize("name", sorted(set(NAMES) - ANYONE - CUSTOMER))
@pytest.mark.parametrize("method", ["get", "post"])
def test_strangers_are_asked_to_sign_in(client, shop, name, method):
    answer = getattr(client, method)(address(name, shop))
    if name == "logout" and method == "post":
        return
    assert answer.status_code == 302 or (name == "logout" and answer.status_code == 405)
    if answer.status_code == 302:
        assert answer.url.startswith("/login/?next=")


@pytest.mark.parametrize("name", sorted(set(NAMES) & OWNER))
@pytest.mark.parametrize("method", ["get", "post"])
def test_helpers_see_no_prices_and_no_settings(helper_client, shop, name, method):
    answer = getattr(helper_client, method)(address(name, shop))
    assert answer.status_code == 403
    assert "kept to whoever runs the shop" in text_of(answer)


@pytest.mark.parametrize("name", sorted(set(NAMES) & BENCH))
@pytest.mark.parametrize("method", ["get", "post"])
def test_helpers_do_the_work_of_the_shop(helper_client, shop, name, method):
    answer = getattr(helper_client, method)(address(name, shop))
    assert answer.status_code in (200, 302, 400, 405, 409)


@pytest.mark.parametrize("name", sorted(set(NAMES) & (OWNER | BENCH)))
@pytest.mark.parametrize("method", ["get", "post"])
def test_owners_are_never_turned_away(owner_client, shop, name, method):
    answer = getattr(owner_client, method)(address(name, shop))
    assert answer.status_code in (200, 302, 400, 404, 405, 409)


@pytest.mark.parametrize("name", sorted(POST_ONLY))
def test_what_changes_something_does_not_answer_a_link(owner_client, shop, name):
    before = list(Order.objects.values()), list(Knife.objects.values())
    assert owner_client.get(address(name, shop)).status_code == 405
    assert (list(Order.objects.values()), list(Knife.objects.values())) == before


@pytest.mark.parametrize(
    "name", sorted((set(NAMES) & (BENCH | {"shop", "shop-tax"})) - {"logout"})
)
def test_forms_without_a_token_are_refused(owner, shop, name):
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner)
    answer = client.post(address(name, shop), {"form_key": "k"})
    assert answer.status_code in (403, 405)


def test_helpers_find_no_price_on_the_pages_they_may_see(helper_client, shop):
    for name in ("front", "orders", "order", "knife", "customer"):
        text = helper_client.get(address(name, shop)).content.decode()
        assert f'"{reverse("shop")}"' not in text
        assert "/price/" not in text
        assert "No quote has been issued" not in text


@pytest.mark.parametrize(
    "odd",
    [
        *("/orders/26-9999/", "/orders/0/", "/orders/abc/", "/orders/26-1'/"),
        *("/orders/26-0001%00/", "/knives/ZZZZ/", "/knives/0OIL/", "/knives/-1/"),
        *("/customers/0/", "/customers/999/", "/customers/-1/", "/customers/abc/"),
        f"/customers/{10**30}/",
    ],
)
def test_unknown_things_are_not_found(owner_client, odd):
    for address in (odd, f"{odd}edit/"):
        answer = owner_client.get(address)
        assert answer.status_code == 404
        assert "There is nothing at this address" in text_of(answer)
    assert owner_client.post(f"{odd}edit/").status_code == 404


# --- signing in ---------------------------------------------------------------------


def test_wrong_word_is_told_without_stock_words(client, owner):
    answer = client.post(
        "/login/", {"username": "anvil", "password": "wrong word here"}
    )
    assert "do not go together" in text_of(answer)
    assert "Please" not in text_of(answer)
    assert 'value="anvil"' in answer.content.decode()
    empty = client.post("/login/", {})
    assert (
        text_of(empty).count("This box is empty: fill it in.") == 4
    )  # above and beside


@pytest.mark.parametrize(
    "target",
    ["//evil.example", "///evil.example", "/\\evil.example", "https:evil.example",
     "http:///evil.example", "https://evil.example/", "javascript:alert(1)",
     "\thttps://evil.example"],
)  # fmt: skip
def test_signing_in_stays_on_this_site(client, owner, target):
    data = {"username": "anvil", "password": "long enough word", "next": target}
    answer = client.post("/login/", data)
    assert answer.status_code == 302
    assert url_has_allowed_host_and_scheme(answer.url, allowed_hosts=None)


def test_signing_out_ends_the_session(owner_client):
    assert owner_client.post("/logout/").status_code == 302
    assert owner_client.get("/").status_code == 302


def test_no_answer_without_its_headers(client, owner_client):
    Shop.objects.create(pk=1)
    for address in (
        "/",
        "/login/",
        "/orders/",
        "/nowhere/",
        "/orders/new/",
        "/shop/tax/",
    ):
        answer = owner_client.get(address)
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
        assert "no-store" in answer.headers["Cache-Control"]
        assert answer.headers["X-Frame-Options"] == "DENY"
        assert not re.search(r"<script(?![^>]*src)|style=", answer.content.decode())
