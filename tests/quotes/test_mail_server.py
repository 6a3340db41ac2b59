"""What a mail server does with a message: kept, shown, tried again by hand."""

import socket
import time

import pytest
from django.utils import timezone

from quotes.mails import sending
from quotes.models import Mail
from shop.models import Shop
from shop.photos import file_name, read_large
from tests.factories import OrderFactory
from tests.quotes.mail_server import mail_server
from tests.quotes.mailing import PDF, paper_of, read, send
from tests.quotes.orders import address
from tests.quotes.test_mail_photos import marked
from tests.shop.typing_in import key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    Shop.objects.create(pk=1, name="Amboss & Söhne", email="shop@forge.example")
    order = OrderFactory(knives=1, customer__email="tilda@grauwacke.example")
    order.agreed = 0  # so that nothing is open of it
    order.save()
    return order


def test_server_takes_the_message_with_its_paper(owner_client, order, settings):
    paper_of(order)
    body = "Grüße aus Weißenfels, Jörg.\nStraße 5 – 10 €"
    with mail_server(settings) as server:
        answer = send(owner_client, order, "quote", subject="Größe 24", body=body)
    (taken,) = server.taken
    message = read(taken)
    assert message["subject"] == "Größe 24"
    assert message["to"] == "tilda@grauwacke.example"
    assert message["reply-to"] == "shop@forge.example"
    (sender,) = message["from"].addresses
    assert (sender.display_name, sender.addr_spec) == (
        "Amboss & Söhne", "shop@forge.example",
    )  # fmt: skip
    assert message.get_body().get_content().strip().replace("\r\n", "\n") == body
    (attached,) = message.iter_attachments()
    assert attached.get_content() == PDF
    assert attached.get_content_type() == "application/pdf"
    assert attached.get_filename() == f"quote-{order.number}-r1.pdf"
    mail = Mail.objects.get()
    assert (mail.state, mail.error, mail.by.username) == ("sent", "", "anvil")
    assert f"Sent to {mail.to}" in text_of(owner_client.get(answer.url))


def test_server_takes_photos_as_jpeg(owner_client, order, settings):
    photo = marked(order, final=True)
    with mail_server(settings) as server:
        send(owner_client, order, "balance")
    (attached,) = read(server.taken[0]).iter_attachments()
    assert attached.get_content_type() == "image/jpeg"
    assert attached.get_content() == read_large(photo)
    assert attached.get_filename() == file_name(photo, "large")


def test_own_sender_is_set_and_answers_come_to_the_shop(owner_client, order, settings):
    settings.DEFAULT_FROM_EMAIL = "Forge <post@host.example>"
    with mail_server(settings) as server:
        send(owner_client, order)
    message = read(server.taken[0])
    assert message["from"] == "Forge <post@host.example>"
    assert message["reply-to"] == "shop@forge.example"
    assert server.said["MAIL"].endswith(" FROM:<post@host.example>")
    assert server.said["RCPT"].endswith(" TO:<tilda@grauwacke.example>")


@pytest.mark.parametrize("place", ["shop", "subject", "to"])
def test_no_line_break_becomes_a_head_of_its_own(owner_client, order, settings, place):
    """RFC 5322, 2.2: a header ends with its line (from memory). One that got past the
    boxes, out of a row, is refused or folded, never sent as another head."""
    evil = "Hello\nBcc: all@evil.example"
    mail = Mail(
        order=order, kind="quote", to="tilda@grauwacke.example", subject="s", body="b",
        state="failed", at=timezone.now(),
    )  # fmt: skip
    shop = Shop.current()
    if place == "shop":
        shop.name = evil
    else:
        setattr(mail, place, evil)
    mail.save()
    with mail_server(settings) as server:
        sending.hand_over(mail, shop)
    for taken in server.taken:
        assert b"\nBcc:" not in taken
        assert "bcc" not in read(taken)
    assert place == "shop" or server.taken == []
    assert place == "shop" or "cannot be written" in mail.error


@pytest.mark.parametrize(
    ("replies", "words"),
    [
        ({"RCPT": "550 no such box"}, "refused this address: 550 no such box"),
        ({"RCPT": "550 weg mit Größe"}, "550 weg mit Größe"),
        ({"DATA": "354 go on", ".": "552 too large"}, "message: 552 too large"),
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


@pytest.mark.parametrize("word", ["EHLO", "MAIL", "RCPT", "DATA", "."])
def test_server_that_hangs_at_any_word_is_given_up(owner_client, order, settings, word):
    began = time.monotonic()
    with mail_server(settings, seconds=0.2, **{word: "hang"}):
        answer = send(owner_client, order)
    assert time.monotonic() - began < 3
    assert "did not answer within 0.2 seconds" in Mail.objects.get().error
    assert "may have been sent all the same" in text_of(owner_client.get(answer.url))


@pytest.mark.parametrize("word", ["EHLO", "MAIL", "RCPT", "DATA", "."])
def test_server_that_closes_the_line_is_told(owner_client, order, settings, word):
    with mail_server(settings, **{word: "close"}):
        answer = send(owner_client, order, body="Typed with care.")
    mail = Mail.objects.get()
    assert mail.state == "failed"
    assert "closed the line before it said that it took this" in mail.error
    page = owner_client.get(answer.url)
    assert page.context["form"]["body"].value() == "Typed with care."


def test_server_that_speaks_something_else_is_told(owner_client, order, settings):
    with mail_server(settings, hello="<html>no mail here</html>"):
        send(owner_client, order)
    assert Mail.objects.get().state == "failed"
    assert Mail.objects.get().error


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
        send(owner_client, order, "quote", body="Mine.")
    assert server.taken == []
    assert "missing or damaged" in Mail.objects.get().error
