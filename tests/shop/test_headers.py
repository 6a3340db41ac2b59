"""Every answer carries the security headers; hosts and methods are held to."""

import pytest
from django.conf import settings
from django.test import Client

WANTED = {
    "Content-Security-Policy": settings.SECURE_CSP,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
ANSWERS = [
    ("/login/", 200), ("/", 302), ("/nowhere/", 404),
    ("/static/shop/nothing.css", 404), ("/orders/?q=%00", 400),
]  # fmt: skip


@pytest.mark.parametrize(("address", "status"), ANSWERS)
def test_answer_carries_the_headers(client, db, address, status):
    answer = client.get(address)
    assert answer.status_code == status
    assert {name: answer.headers.get(name) for name in WANTED} == WANTED


@pytest.mark.parametrize(
    "address", ["/", "/nowhere/", "/orders/?q=%00", "/orders/99-9999/"]
)
def test_owner_s_pages_are_not_kept_by_the_browser(owner_client, address):
    answer = owner_client.get(address)
    assert answer.headers["Cache-Control"] == "no-store"
    assert {name: answer.headers.get(name) for name in WANTED} == WANTED


def test_policy_allows_nothing_inline_and_nobody_else():
    assert "unsafe" not in settings.SECURE_CSP
    assert "http" not in settings.SECURE_CSP
    assert "default-src 'none'" in settings.SECURE_CSP


def test_other_host_is_refused(client, db):
    assert client.get("/login/", headers={"host": "evil.example"}).status_code == 400
    forwarded = client.get("/login/", headers={"x-forwarded-host": "evil.example"})
    assert forwarded.status_code == 200
    assert b"evil.example" not in forwarded.content


@pytest.mark.parametrize(
    "onward",
    ["//evil.example", "///evil.example", "/\\evil.example", "https:evil.example",
     "http:///evil.example", "https://evil.example/", "javascript:alert(1)",
     "\thttps://evil.example"],
)  # fmt: skip
def test_login_stays_on_this_site(client, owner, onward):
    sent = {"username": "anvil", "password": "long enough word", "next": onward}
    answer = client.post(f"/login/?next={onward}", sent)
    assert answer.status_code == 302
    assert answer.headers["Location"] == "/"


def test_form_without_token_is_refused(owner):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(owner)
    assert strict.post("/orders/new/", {"wish": "x"}).status_code == 403


def test_too_many_fields_are_refused_in_words(owner_client):
    answer = owner_client.post("/orders/new/", {f"f{n}": "x" for n in range(1500)})
    assert answer.status_code == 400
