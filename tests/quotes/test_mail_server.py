"""What a mail server does with a message: kept, shown, tried again by hand."""

import email
import email.policy
import socket
import time

import pytest

from quotes import store
from quotes.models import Mail, Paper
from shop.models import Shop
from tests.factories import OrderFactory, moment
from tests.quotes.mail_server import mail_server
from tests.quotes.orders import address
from tests.shop.typing_in import key_on, text_of

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7 a quote"


@pytest.fixture
def order():
    Shop.objects.create(pk=1, name="Amboss & Söhne", email="shop@forge.example")
    return OrderFactory(knives=1, customer__email="tilda@grauwacke.example")


def paper_of(order, kind="quote", body=PDF, **values):
    return Paper.objects.create(
        sha256=store.keep(body), order=order, kind=kind, made_at=moment(),
        **{"media": "pdf", "revision": 1} | values,
    )  # fmt: skip


def send(client, order, kind="progress", button="send", **changes):
    """Send a message as proposed, but for some boxes."""
    page = client.get(address("mail-new", order, kind))
    proposed = page.context["form"].initial
    data = {**proposed, "form_key": key_on(page), button: "1"} | changes
    return client.post(address("mail-new", order, kind), data)


def read(message):
    return email.message_from_bytes(message, policy=email.policy.default)


def test_server_takes_the_message_with_its_paper(owner_client, order, settings):
    paper_of(order)
    with mail_server(settings) as server:
        answer = send(owner_client, order, "quote", subject="Größe 24")
    (taken,) = server.taken
    message = read(taken)
    assert message["subject"] == "Größe 24"
    assert message["to"] == "tilda@grauwacke.example"
    (sender,) = message["from"].addresses
    assert (sender.display_name, sender.addr_spec) == (
        "Amboss & Söhne", "shop@forge.example",
    )  # fmt: skip
    assert "Dear Tilda Grauwacke" in message.get_body().get_content()
    (attached,) = message.iter_attachments()
    assert attached.get_content() == PDF
    assert attached.get_filename() == f"quote-{order.number}-r1.pdf"
    mail = Mail.objects.get()
    assert (mail.state, mail.error, mail.by.username) == ("sent", "", "anvil")
    assert f"Sent to {mail.to}" in text_of(owner_client.get(answer.url))


@pytest.mark.parametrize(
    ("replies", "words"),
    [
        ({"RCPT": "550 no such box"}, "refused this address: 550 no such box"),
        ({"MAIL": "451 later"}, "refused the message: 451 later"),
        ({"DATA": "554 looks like spam"}, "refused the message: 554 looks like spam"),
    ],
)
def test_refusal_is_kept_and_shown_with_the_servers_words(
    owner_client, order, settings, replies, words
):
    with mail_server(settings, **replies):
        answer = send(owner_client, order, body="Typed with care.")
    mail = Mail.objects.get()
    assert mail.state == "failed"
    assert words in mail.error
    page = owner_client.get(answer.url)
    assert f"as far as is known. {mail.error}" in text_of(page)
    assert page.context["form"]["body"].value() == "Typed with care."


def test_server_that_hangs_is_given_up(owner_client, order, settings):
    began = time.monotonic()
    with mail_server(settings, silent=True, seconds=0.2):
        answer = send(owner_client, order)
    assert time.monotonic() - began < 3
    mail = Mail.objects.get()
    assert mail.state == "failed"
    assert "did not answer within 0.2 seconds" in mail.error
    assert "Try again" in text_of(owner_client.get(answer.url))


def test_server_that_hangs_is_given_up_after_ten_seconds(settings):
    assert settings.EMAIL_TIMEOUT == 10


def test_server_that_is_not_there_is_told(owner_client, order, settings):
    with socket.create_server(("127.0.0.1", 0)) as closed:
        port = closed.getsockname()[1]
    with mail_server(settings):
        settings.EMAIL_PORT = port
        send(owner_client, order)
    assert "could not be reached" in Mail.objects.get().error


def test_wrong_password_is_told_and_stands_nowhere(owner_client, order, settings):
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "anvil", "hush-hush"
    replies = {"EHLO": "250-here\r\n250 AUTH PLAIN", "AUTH": "535 wrong word"}
    with mail_server(settings, **replies):
        answer = send(owner_client, order)
    error = Mail.objects.get().error
    assert "does not take the name or password set for it: 535 wrong word" in error
    assert "hush-hush" not in owner_client.get(answer.url).content.decode() + error


def test_failed_message_is_tried_again_by_hand(owner_client, order, settings):
    with mail_server(settings, RCPT="450 full"):
        failed = send(owner_client, order, to="tilda@full.example")
    page = owner_client.get(failed.url)
    proposed = page.context["form"].initial
    assert proposed["to"] == "tilda@full.example"
    data = {**proposed, "to": "tilda@empty.example", "form_key": key_on(page)}
    with mail_server(settings) as server:
        owner_client.post(address("mail-new", order, "progress"), data | {"send": 1})
    assert len(server.taken) == 1
    assert [(one.to, one.state) for one in Mail.objects.order_by("pk")] == [
        ("tilda@full.example", "failed"), ("tilda@empty.example", "sent"),
    ]  # fmt: skip


def test_damaged_paper_is_not_sent(owner_client, order, settings):
    paper = paper_of(order)
    (settings.PAPER_DIR / paper.sha256).write_bytes(b"something else")
    with mail_server(settings) as server:
        send(owner_client, order, "quote")
    assert server.taken == []
    assert "missing or damaged" in Mail.objects.get().error
