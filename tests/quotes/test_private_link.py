"""Links to the private page: made once, guessed never, ended at once, told nowhere.

Outside check: a capability address is long enough not to be guessed, has no effect
when it is looked at, can be revoked one by one, and is encrypted (W3C TAG, Good
Practices for Capability URLs; quoted from memory, verify).
"""

import datetime as dt
import logging
import re
import secrets

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from django.views.debug import ExceptionReporter

from quotes.private import throttle, tokens, way
from quotes.views import private as private_views
from shop.models import CustomerLink, LinkGuess, Order, Shop, StageEvent
from tests.factories import OrderFactory
from tests.quotes.orders import address, ready_shop, without_printer
from tests.quotes.privates import HERE, link_for, opened, quoted_order, visitor
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


def test_looking_changes_nothing(order):
    _link, token = link_for(order)
    before = CustomerLink.objects.values().get(), Order.objects.values().get()
    client = visitor()
    for _time in range(25):
        for where in (f"/q/{token}/", "/q/view/"):
            assert client.get(where).status_code in (200, 303)
            assert client.head(where).status_code in (200, 303)
    assert client.get("/q/answer/").status_code == 405
    assert client.get("/q/ask/").status_code == 405
    assert before == (CustomerLink.objects.values().get(), Order.objects.values().get())


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


# --- guessing ---------------------------------------------------------------------


def test_ten_thousand_guesses_hit_nothing_and_leave_few_rows(order):
    """Made below the page: 10,000 requests would take a minute."""
    link_for(order)
    now, written = timezone.now(), 0
    for _guess in range(10_000):
        assert tokens.find(secrets.token_urlsafe(32)) is None
        if not throttle.is_over("192.0.2.7", now):
            written += 1
            throttle.note("192.0.2.7", now)
    assert written == LinkGuess.objects.count() == throttle.MOST_BY_ONE


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


# --- told nowhere -----------------------------------------------------------------


def test_token_is_in_no_page_and_no_log(order, caplog):
    _link, token = link_for(order)
    caplog.set_level(logging.DEBUG)
    client = visitor()
    pages = [client.get(f"/q/{token}/"), client.get("/q/view/")]
    pages += [client.get(f"/q/{token}x/"), client.post(f"/q/{token}/")]
    assert [page.status_code for page in pages] == [303, 200, 404, 405]
    for page in pages:
        assert token not in page.content.decode()
        assert token not in repr(page.headers)
    assert "/q/open/" in caplog.text
    assert token not in "".join(repr(vars(one)) for one in caplog.records)


def test_report_of_a_fault_does_not_hold_the_token(order, monkeypatch, caplog):
    _link, token = link_for(order)

    def broken(given):
        raise RuntimeError("as if the database were gone")

    monkeypatch.setattr(tokens, "_link", broken)
    client = visitor(raise_request_exception=False)
    where = {"RAW_URI": f"/q/{token}/", "REQUEST_URI": f"/q/{token}/"}
    assert client.get(f"/q/{token}/", **where).status_code == 500
    (record,) = [one for one in caplog.records if one.levelname == "ERROR"]
    report = ExceptionReporter(record.request, *record.exc_info, is_email=True)
    assert "as if the database were gone" in report.get_traceback_text()
    assert token not in report.get_traceback_text()
    assert token not in report.get_traceback_html()
    assert token not in caplog.text


def test_token_stays_in_the_address_that_leads_on_to_https(order, settings):
    _link, token = link_for(order)
    settings.HTTPS = settings.SECURE_SSL_REDIRECT = True
    answer = visitor().get(f"/q/{token}/")
    assert answer.url == f"https://localhost/q/{token}/"


def test_sentence_why_no_link_is_made_names_the_way_out():
    assert "HTTPS" in str(way.WHY_NOT)
    assert ".deploy" in str(way.WHY_NOT)
