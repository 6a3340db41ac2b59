"""Guesses at links: none hits, most are held back, no customer is shut out."""

import collections
import datetime as dt
import secrets

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quotes.private import throttle
from quotes.views import private as private_views
from shop.models import LinkGuess
from tests.quotes.orders import address, ready_shop, without_printer
from tests.quotes.privates import HERE, link_for, opened, quoted_order, visitor
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


@pytest.fixture
def order(owner_client):
    return quoted_order(owner_client)


def guesses(rf, monkeypatch, count, address_of, *, every=0, token=""):
    """Answers to so many guesses, and to the right token between them.

    Asked below the middleware, and the pages not laid out: with both it takes a minute.
    """
    monkeypatch.setattr(private_views, "notice_page", lambda _request, key: key)
    found, request = collections.Counter(), rf.get("/q/open/", secure=True)
    for number in range(count):
        request.META["REMOTE_ADDR"] = address_of(number)
        found[private_views.private_open(request, secrets.token_urlsafe(32))] += 1
        if every and number % every == every - 1:
            found[private_views.private_open(request, token).status_code] += 1
    return found


def test_ten_thousand_guesses_of_one_hit_nothing(rf, order, monkeypatch):
    """30 within ten minutes are looked at, the others refused; the link works on."""
    link, token = link_for(order)
    found = guesses(
        rf, monkeypatch, 10_000, lambda _n: "192.0.2.7", every=100, token=token
    )
    assert found == {"unknown": 30, "throttled": 9_970, 303: 100}
    assert LinkGuess.objects.count() == 30
    link.refresh_from_db()
    assert link.used_at is None


def test_guesses_of_many_are_held_back_together(rf, order, monkeypatch):
    """300 within ten minutes by everybody, none of them by one more than 30."""
    _link, token = link_for(order)
    found = guesses(
        rf, monkeypatch, 2_000, lambda n: f"198.51.100.{n % 200}", every=500,
        token=token,
    )  # fmt: skip
    assert found == {"unknown": 300, "throttled": 1_700, 303: 4}
    by_one = collections.Counter(LinkGuess.objects.values_list("address", flat=True))
    assert sum(by_one.values()) == 300
    assert max(by_one.values()) <= throttle.MOST_BY_ONE


@pytest.mark.parametrize(("age", "over"), [(599, True), (600, False)])
def test_guesses_count_for_ten_minutes(order, age, over):
    now = timezone.now()
    for _guess in range(30):
        throttle.note("192.0.2.7", now - dt.timedelta(seconds=age))
    assert throttle.is_over("192.0.2.7", now) is over


def test_guesses_are_refused_while_whoever_holds_a_link_gets_in(order):
    """A look-up is one question to an index; what is over the limit leaves no row."""
    _link, token = link_for(order)
    client = visitor()
    with CaptureQueriesContext(connection) as asked:
        pages = [client.get(f"/q/{secrets.token_urlsafe(32)}/") for _ in range(100)]
    looked_up = [one for one in asked if 'FROM "shop_customerlink"' in one["sql"]]
    assert len(looked_up) == 100
    statuses = [page.status_code for page in pages]
    assert (statuses.count(404), statuses.count(429)) == (30, 70)
    assert LinkGuess.objects.count() == 30
    assert "Wait" in text_of(pages[-1])
    assert client.get(f"/q/{token}/").status_code == 303
    assert client.get("/q/none/").status_code == 429
    long_ago = timezone.now() - throttle.WINDOW
    LinkGuess.objects.update(at=long_ago)
    assert client.get("/q/none/").status_code == 404
    assert LinkGuess.objects.count() == 1  # those that no longer count are deleted


def test_everybody_together_is_held_back_as_well(order):
    now = timezone.now()
    for house in range(throttle.MOST_BY_ALL // 30):
        for _guess in range(30):
            throttle.note(f"198.51.100.{house}", now)
    assert throttle.is_over("203.0.113.9", now)


def test_three_hundred_guesses_shut_no_customer_out(order):
    now = timezone.now()
    for number in range(throttle.MOST_BY_ALL):
        throttle.note(f"198.51.100.{number % 250}", now)
    _link, token = link_for(order)
    assert visitor().get(f"/q/{token}/").status_code == 303
    assert visitor().get("/q/none/").status_code == 429


@pytest.mark.parametrize("by", ["links page", "open"])
def test_addresses_of_old_guesses_go_at_the_next_look(owner_client, order, by):
    throttle.note("198.51.100.4", timezone.now() - throttle.WINDOW)
    throttle.note("198.51.100.5", timezone.now())
    if by == "open":
        opened(order)
    else:
        owner_client.get(address("links", order), headers=HERE)
    assert LinkGuess.objects.get().address == "198.51.100.5"


@pytest.mark.parametrize(
    ("https", "told_by_proxy", "peer", "found"),
    [
        (True, "198.51.100.4", "127.0.0.1", "198.51.100.4"),
        (False, "198.51.100.4", "203.0.113.5", "203.0.113.5"),
        (True, "nonsense", "127.0.0.1", "127.0.0.1"),
        (True, "2001:db8:1:2:3:4:5:6", "127.0.0.1", "2001:db8:1:2::"),
        (False, "", "", "0.0.0.0"),
    ],
)
def test_address_is_the_proxy_s_word_only_where_there_is_one(
    rf, settings, https, told_by_proxy, peer, found
):
    settings.HTTPS = https
    request = rf.get("/q/x/", REMOTE_ADDR=peer, HTTP_X_REAL_IP=told_by_proxy)
    assert throttle.address_of(request) == found


@pytest.mark.parametrize("odd", ["x", "view%00", "%C3%A4" * 43, "a/b/c", "", "." * 400])
def test_odd_token_is_a_link_that_is_not_known(odd):
    page = visitor().get(f"/q/{odd}")
    page = visitor().get(page.url) if page.status_code == 301 else page
    assert page.status_code == 404
    assert "This link is not known" in text_of(page)
    assert page.headers["X-Robots-Tag"] == "noindex, nofollow, noarchive"
