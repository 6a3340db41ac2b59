"""The private link in a message: put in by one tap, and its secret kept nowhere."""

import json
import logging
import re

import pytest
from django.apps import apps
from django.core import mail as outbox
from django.utils import timezone

from quotes.mails import sending
from quotes.mails.masking import MASK
from quotes.models import Mail, Quote
from quotes.private import tokens
from quotes.views import mails
from shop.models import CustomerLink, Shop
from tests.factories import OrderFactory, moment
from tests.quotes.mailing import begun, paper_of, post, proposal, send  # noqa: F401
from tests.quotes.orders import address
from tests.quotes.paying import bought
from tests.quotes.privates import visitor
from tests.shop.typing_in import errors_on, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("post")]

HERE = {"host": "localhost"}
SITE = "https://forge.example"
LINK = re.compile(r"https://forge\.example/q/([A-Za-z0-9_-]{43})/")
TO = "tilda@grauwacke.example"


@pytest.fixture
def order():
    return OrderFactory(knives=1, customer__email=TO)


@pytest.fixture
def quoted():
    """An order with a yes, in a shop customers can reach: it has a private page."""
    Shop.objects.update(site=SITE)
    return bought()


def press(client, order, kind="progress", button="send", **changes):
    """Press a button of the page as opened on this machine itself."""
    data = {**begun(client, order, kind, **HERE), button: "1", "to": TO} | changes
    return client.post(address("mail-new", order, kind), data, headers=HERE)


def everything():
    """Every row of every table, as text."""
    rows = [row for model in apps.get_models() for row in model.objects.values()]
    return json.dumps(rows, default=str, ensure_ascii=False)


# --- put in -----------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["quote", "request", "progress", "balance"])
def test_text_leads_to_the_private_page_where_there_is_one(quoted, kind):
    body = proposal(quoted, kind, linked=True).body
    assert "On a page of your own" in body
    assert body.count(MASK) == 1
    assert MASK not in proposal(quoted, kind).body


def test_sending_puts_a_new_link_in_the_place_of_its_mark(owner_client, quoted, caplog):
    caplog.set_level(logging.DEBUG)
    answer = press(owner_client, quoted)
    (message,) = outbox.outbox
    token = LINK.search(message.body)[1]
    assert MASK not in message.body
    assert tokens.find(token).order == quoted
    assert visitor().get(f"/q/{token}/").status_code == 303
    kept = Mail.objects.get()
    assert (kept.state, kept.body.count(MASK)) == ("sent", 1)
    shown = owner_client.get(answer.url, headers=HERE).content.decode()
    for place in (everything(), shown, answer.url, caplog.text):
        assert token not in place


def test_sending_twice_makes_one_link(owner_client, quoted):
    data = {**begun(owner_client, quoted, **HERE), "to": TO, "send": "1"}
    for _click in range(3):
        owner_client.post(address("mail-new", quoted, "progress"), data, headers=HERE)
    assert len(outbox.outbox) == CustomerLink.objects.count() == 1


def test_link_is_put_into_the_text_in_one_tap_and_shown_once(owner_client, quoted):
    page = press(owner_client, quoted, button="link", subject="Mine")
    form = page.context["form"]
    token = LINK.search(form.initial["body"])[1]
    assert form.initial["subject"] == "Mine"
    assert MASK not in form.initial["body"]
    assert token in page.content.decode()
    assert "It is shown this once" in text_of(page)
    assert page.headers["Cache-Control"] == "no-store"
    assert token not in everything()
    data = {**form.initial, "form_key": page.context["form_key"], "send": "1"}
    owner_client.post(address("mail-new", quoted, "progress"), data, headers=HERE)
    (message,) = outbox.outbox
    assert LINK.findall(message.body) == [token]
    assert CustomerLink.objects.count() == 1
    assert token not in everything()


def test_link_goes_before_the_name_where_the_mark_was_taken_out(owner_client, quoted):
    Shop.objects.update(owner="Ida Amboss", name="Test forge")
    body = "Dear Tilda,\r\n\r\nit is done.\r\n\r\nIda Amboss\r\nTest forge"
    page = press(owner_client, quoted, button="link", body=body)
    typed = page.context["form"].initial["body"]
    begun_with, _end, name = typed.partition("/\n\nIda Amboss")
    assert begun_with.startswith("Dear Tilda,\n\nit is done.\n\nOn a page of your own")
    assert name == "\nTest forge"


def test_second_link_takes_the_place_of_the_first(owner_client, quoted):
    first = press(owner_client, quoted, button="link").context["form"].initial["body"]
    page = press(owner_client, quoted, button="link", body=first)
    again = page.context["form"].initial["body"]
    assert len(LINK.findall(again)) == 1
    assert LINK.findall(again) != LINK.findall(first)
    assert again.count("On a page of your own") == 1


def test_tap_sent_again_tells_no_link_a_second_time(owner_client, quoted):
    data = {**begun(owner_client, quoted, **HERE), "to": TO, "link": "1"}
    where = address("mail-new", quoted, "progress")
    first, again = (owner_client.post(where, data, headers=HERE) for _click in range(2))
    assert LINK.search(first.content.decode())
    assert not LINK.search(again.content.decode())
    assert CustomerLink.objects.count() == 1


# --- where there can be none --------------------------------------------------------


def test_over_plain_http_no_link_is_offered_or_made(owner_client, quoted):
    afar = {"host": "127.0.0.1", "x-forwarded-for": "192.0.2.1"}
    page = owner_client.get(address("mail-new", quoted, "progress"), headers=afar)
    assert 'name="link"' not in page.content.decode()
    assert MASK not in page.context["form"].initial["body"]
    data = {**page.context["form"].initial, "link": "1", "body": "Typed.",
            "form_key": page.context["form_key"]}  # fmt: skip
    page = owner_client.post(page.request["PATH_INFO"], data, headers=afar)
    assert "No private link can be made from here" in text_of(page)
    assert page.context["form"].initial["body"] == "Typed."
    assert not CustomerLink.objects.exists()


def test_without_a_quote_no_link_is_offered(owner_client, order):
    assert not Quote.objects.exists()
    page = owner_client.get(address("mail-new", order, "progress"), headers=HERE)
    assert 'name="link"' not in page.content.decode()
    assert MASK not in page.context["form"].initial["body"]


def test_subject_takes_no_link(owner_client, quoted):
    page = press(owner_client, quoted, subject=f"Look at {MASK}")
    assert "does not belong into a subject" in errors_on(page, "subject")
    assert outbox.outbox == []


def test_text_said_to_be_sent_by_hand_has_no_dead_mark(owner_client, quoted):
    page = press(owner_client, quoted, button="copied")
    assert "opens nothing: make a new link" in errors_on(page, "body")
    assert not Mail.objects.exists()
    linked = press(owner_client, quoted, button="link").context["form"].initial
    assert press(owner_client, quoted, button="copied", body=linked["body"]).url
    assert Mail.objects.get().body.count(MASK) == 1


# --- typed by hand, kept masked -------------------------------------------------------


def test_link_typed_by_hand_is_sent_whole_and_kept_masked(owner_client, order):
    secret = "x-_7" * 10 + "abc"
    body = f"Read it at https://forge.example/q/{secret}/ please."
    answer = send(owner_client, order, subject=f"/q/{secret}", body=body)
    (message,) = outbox.outbox
    assert message.body == body
    kept = Mail.objects.get()
    assert kept.body == "Read it at https://forge.example/q/…/ please."
    assert (kept.subject, kept.state) == ("/q/…", "sent")
    assert secret not in owner_client.get(answer.url).content.decode()


def test_server_that_repeats_a_link_leaves_no_secret(order, monkeypatch):
    secret = "a" * 43
    mail = sending.write_down(
        order, {"kind": "quote", "to": "a@b.example", "subject": "s", "body": "b",
                "paper": None},
        copied=False, by=None, at=moment(),
    )  # fmt: skip
    monkeypatch.setattr(sending, "_refusal", lambda *_of: f"no /q/{secret}/ here")
    sending.hand_over(mail, Shop.current())
    assert Mail.objects.get().error == "no /q/…/ here"


def test_message_tried_again_gets_a_new_link(owner_client, quoted):
    press(owner_client, quoted)
    first = LINK.search(outbox.outbox.pop().body)[1]
    mail = Mail.objects.get()
    sending.came_back(mail)
    here = f"{address('mail-new', quoted, 'progress')}?message={mail.pk}"
    page = owner_client.get(here, headers=HERE)
    data = {**page.context["form"].initial, "form_key": page.context["form_key"]}
    owner_client.post(here.partition("?")[0], data | {"send": 1}, headers=HERE)
    (message,) = outbox.outbox
    assert LINK.search(message.body)[1] != first
    assert message.body.count(f"{SITE}/q/") == 1


# --- a fault of the program -----------------------------------------------------------


@pytest.mark.parametrize("button", ["send", "link"])
def test_mail_of_a_fault_tells_no_secret(
    owner_client, quoted, settings, monkeypatch, button, caplog
):
    """With HTML or without, what was typed and what was at hand is left out."""
    settings.ADMINS = [("Ida", "ida@forge.example")]
    handler = next(
        one for one in logging.getLogger("django").handlers
        if type(one).__name__ == "AdminEmailHandler"
    )  # fmt: skip
    monkeypatch.setattr(handler, "include_html", True)
    secret, body = "c" * 43, f"Read https://forge.example/q/{'c' * 43}/ and {MASK}"

    def fails(*_args, **_kwargs):
        raise RuntimeError("the program is at fault")

    fault = {"send": (sending, "hand_over"), "link": (mails, "put_in")}
    monkeypatch.setattr(*fault[button], fails)
    owner_client.raise_request_exception = False
    link, token = tokens.make_link(quoted, by=None, at=timezone.now())
    owner_client.get(f"/q/{token}/", headers=HERE)
    made = []
    real = tokens.secrets.token_urlsafe
    monkeypatch.setattr(
        tokens.secrets, "token_urlsafe", lambda *of: made.append(real(*of)) or made[-1]
    )
    answer = press(owner_client, quoted, button=button, body=body, subject="Hush hush")
    assert answer.status_code == 500
    (report,) = outbox.outbox
    said = report.body + "".join(str(one) for one in report.alternatives)
    assert "the program is at fault" in said
    cookie = owner_client.cookies[tokens.cookie_name(answer.wsgi_request)].value
    new = [one for one in made if len(one) == 43]
    assert len(new) == 1
    for hidden in (secret, token, cookie, link.digest, *new):
        assert hidden not in said + answer.content.decode() + caplog.text
