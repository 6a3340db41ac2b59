"""Where the token of a link is written down: nowhere but in the message sent."""

import datetime as dt
import logging
import socket

import pytest
from django.core import mail, signals
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.utils.log import AdminEmailHandler
from django.views.debug import ExceptionReporter
from gunicorn.config import Config
from gunicorn.http import wsgi
from gunicorn.http.parser import RequestParser

from quotes.private import tokens
from shop.management.commands import open as opening
from tests.quotes.orders import ready_shop, without_printer
from tests.quotes.privates import link_for, quoted_order, visitor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


@pytest.fixture
def order(owner_client):
    return quoted_order(owner_client)


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


def test_report_of_a_fault_does_not_hold_the_token(
    order, monkeypatch, caplog, settings
):
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
    settings.ADMINS = [("Owner", "owner@example.org")]
    AdminEmailHandler(include_html=True).emit(record)
    (sent,) = mail.outbox
    assert "as if the database were gone" in sent.body
    assert token not in sent.message().as_string()
    assert token not in repr((sent.subject, sent.body, sent.alternatives))


def test_token_stays_in_the_address_that_leads_on_to_https(order, settings):
    _link, token = link_for(order)
    settings.HTTPS = settings.SECURE_SSL_REDIRECT = True
    answer = visitor().get(f"/q/{token}/")
    assert answer.url == f"https://localhost/q/{token}/"


# --- the server -------------------------------------------------------------------


@pytest.fixture
def served(monkeypatch):
    """The settings of gunicorn as the start command gives them.

    A request of a server would close the connection this test has its rows in.
    """
    signals.request_started.disconnect(close_old_connections)
    yield config_of(monkeypatch)
    signals.request_started.connect(close_old_connections)


def config_of(monkeypatch):
    started = []
    monkeypatch.setattr(
        opening.os, "execv", lambda _name, all_of: started.append(all_of)
    )
    opening.serve(8000)
    told = started[0][started[0].index("gunicorn") + 1 :]
    config = Config()
    given = vars(config.parser().parse_args(told))
    for name, value in given.items():
        if name != "args" and value is not None:
            config.set(name, value)
    return config


def asked(config, where, **headers):
    """A request as gunicorn reads and answers it: all an access log can say of it."""
    lines = [f"GET {where} HTTP/1.1", "Host: localhost"]
    lines += [f"{name}: {value}" for name, value in headers.items()]
    raw = ("\r\n".join(lines) + "\r\n\r\n").encode()
    client, server = ("127.0.0.1", 40001), ("127.0.0.1", 8000)
    request = next(RequestParser(config, iter([raw]), client))
    with socket.socket() as unused:
        answer, environ = wsgi.create(request, unused, client, server, config)
        body = b"".join(get_wsgi_application()(environ, answer.start_response))
    logger = config.logger_class(config)
    took = dt.timedelta(milliseconds=5)
    return body, logger.atoms(answer, request, environ, took)


def test_access_log_of_the_server_does_not_hold_the_token(order, served):
    """Whatever format it is given; the start command keeps no access log at all."""
    assert served.accesslog is None
    _link, token = link_for(order)
    body, known = asked(served, f"/q/{token}/")
    assert known["s"] == "303"
    assert known["r"] == "GET /q/open/ HTTP/1.1"
    assert token not in repr(known)
    assert token.encode() not in body
    body, known = asked(served, f"/q/{token}x/?utm=1")
    assert known["s"] == "404"
    assert token not in repr(known)
