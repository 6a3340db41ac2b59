"""Messages to customers: looked over, sent once, kept, refused beside their box."""

import pytest
from django.core import mail as outbox
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quotes.mails import sending
from quotes.models import Mail
from shop.models import Customer, Shop
from tests.factories import OrderFactory, moment
from tests.quotes.mailing import begun, paper_of, post, send  # noqa: F401
from tests.quotes.orders import address
from tests.shop.typing_in import STOCK_WORDS, errors_on, key_on, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("post")]


@pytest.fixture
def order():
    return OrderFactory(knives=1, customer__email="tilda@grauwacke.example")


# --- sending -------------------------------------------------------------------------


def test_page_proposes_and_all_of_it_can_be_changed(owner_client, order):
    paper = paper_of(order)
    answer = send(
        owner_client, order, "quote", to="other@grauwacke.example",
        subject="Mine {name}", body="Mine.\n{{7*7}}", paper="",
        bare="on",
    )  # fmt: skip
    (message,) = outbox.outbox
    assert (message.to, message.subject, message.body, message.attachments) == (
        ["other@grauwacke.example"], "Mine {name}", "Mine.\n{{7*7}}", [],
    )  # fmt: skip
    assert message.reply_to == ["shop@forge.example"]
    kept = Mail.objects.get()
    assert (kept.kind, kept.state, kept.paper) == ("quote", "sent", None)
    page = owner_client.get(answer.url)
    assert "Sent to other@grauwacke.example" in text_of(page)
    assert 'name="send"' not in page.content.decode()
    assert (
        paper.get_absolute_url()
        in owner_client.get(address("mail-new", order, "quote")).content.decode()
    )


def test_double_click_sends_once(owner_client, order):
    page = owner_client.get(address("mail-new", order, "progress"))
    data = {**page.context["form"].initial, "form_key": key_on(page), "send": "1"}
    answers = [
        owner_client.post(address("mail-new", order, "progress"), data)
        for _click in range(5)
    ]
    assert len({answer.url for answer in answers}) == 1
    assert len(outbox.outbox) == Mail.objects.count() == 1


def test_server_is_spoken_to_outside_any_transaction(owner_client, order, monkeypatch):
    """The test's own transaction is the only one open then, and the row is written."""
    seen = []

    def hand_over(mail, shop):
        seen.append((list(connection.savepoint_ids), Mail.objects.get().state))

    monkeypatch.setattr(sending, "hand_over", hand_over)
    send(owner_client, order)
    assert seen == [([], "failed")]
    page = owner_client.get(address("mail-new", order, "progress"))
    assert "has not said yet whether it took this" in text_of(page)


def test_message_that_came_back_is_marked_and_tried_again(owner_client, order):
    send(owner_client, order)
    page = owner_client.get(address("mail-new", order, "quote"))
    mail = Mail.objects.get()
    data = {"form_key": key_on(page), "back": str(mail.pk)}
    answer = owner_client.post(address("mail-new", order, "quote"), data)
    mail.refresh_from_db()
    assert mail.state == "failed"
    page = owner_client.get(answer.url)
    assert "as far as is known. It came back" in text_of(page)
    assert page.context["form"]["body"].value() == mail.body


@pytest.mark.parametrize("odd", ["0", "999", "x", "9" * 40, ""])
def test_what_came_back_is_a_message_of_this_order(owner_client, order, odd):
    page = owner_client.get(address("mail-new", order, "quote"))
    data = {"form_key": key_on(page), "back": odd}
    answer = owner_client.post(address("mail-new", order, "quote"), data)
    assert "No message of this order" in text_of(owner_client.get(answer.url))


def test_message_of_another_order_is_not_shown(owner_client, order):
    other = OrderFactory()
    foreign = sending.write_down(
        other, {"kind": "quote", "to": "a@b.example", "subject": "Secret",
                "body": "Secret", "paper": None},
        copied=False, by=None, at=moment(),
    )  # fmt: skip
    for key in (foreign.pk, "x", 10**30):
        page = owner_client.get(f"{address('mail-new', order, 'quote')}?message={key}")
        assert "Secret" not in page.content.decode()


def test_unknown_kind_is_not_found(owner_client, order):
    assert owner_client.get(address("mail-new", order, "spam")).status_code == 404
    assert owner_client.post(address("mail-new", order, "spam")).status_code == 404


# --- without a server ----------------------------------------------------------------


@pytest.mark.parametrize("missing", ["EMAIL_HOST", "sender"])
def test_without_a_server_paper_and_text_are_offered(
    owner_client, order, settings, missing
):
    if missing == "sender":
        Shop.objects.update(email="")
        settings.DEFAULT_FROM_EMAIL = ""
    else:
        settings.EMAIL_HOST = ""
    paper = paper_of(order)
    page = owner_client.get(address("mail-new", order, "quote"))
    text = page.content.decode()
    assert "Copy the text into your own mail program" in text_of(page)
    assert paper.get_absolute_url() in text
    assert 'name="send"' not in text
    refused = send(owner_client, order, "quote")
    assert refused.status_code == 200
    assert not Mail.objects.exists()
    answer = send(owner_client, order, "quote", button="copied", body="By hand.")
    mail = Mail.objects.get()
    assert (mail.state, mail.body, mail.paper) == ("copied", "By hand.", paper)
    assert "as sent by yourself" in text_of(owner_client.get(answer.url))
    assert outbox.outbox == []


def test_page_to_print_is_not_attached_but_may_be_sent_by_hand(owner_client, order):
    paper_of(order, media="html")
    refused = send(owner_client, order, "quote", body="Mine.")
    assert "a page to print and no PDF" in errors_on(refused, "paper")
    assert outbox.outbox == []
    copied = send(owner_client, order, "quote", button="copied", body="Mine.")
    assert copied.status_code == 302


# --- bad input -----------------------------------------------------------------------


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\u2028", "\u0085", "\x0b"])
def test_line_break_in_a_subject_is_refused(owner_client, order, end):
    """RFC 5322, 2.2: a header ends with its line; what follows would be another."""
    page = send(owner_client, order, subject=f"Hello{end}Bcc: all@evil.example")
    assert "stands on one line" in errors_on(page, "subject")
    assert (outbox.outbox, Mail.objects.count()) == ([], 0)


@pytest.mark.parametrize(
    ("changes", "box", "words"),
    [
        ({"to": ""}, "to", "This box is empty"),
        ({"to": "tilda"}, "to", "like name@example.org"),
        ({"to": "a@b.example\nBcc: c@d.example"}, "to", "like name@example.org"),
        ({"to": "a@b.example, c@d.example"}, "to", "like name@example.org"),
        ({"to": "a" * 300 + "@b.example"}, "to", ""),
        ({"subject": ""}, "subject", "This box is empty"),
        ({"subject": "s" * 201}, "subject", "at most 200"),
        ({"body": "\u200b"}, "body", "This box is empty"),
        ({"body": "b" * 8001}, "body", "at most 8,000"),
        ({"paper": "999"}, "paper", "Choose one of the list."),
    ],
)
def test_what_is_wrong_is_said_beside_its_box(owner_client, order, changes, box, words):
    page = send(owner_client, order, **changes)
    assert errors_on(page, box)
    assert words in errors_on(page, box)
    assert page.context["form"]["body"].value() == changes.get(
        "body", page.context["proposal"].body
    )
    assert not any(stock in page.content.decode() for stock in STOCK_WORDS)
    assert (outbox.outbox, Mail.objects.count()) == ([], 0)


def test_paper_of_another_order_cannot_be_attached(owner_client, order):
    foreign = paper_of(OrderFactory())
    page = send(owner_client, order, paper=str(foreign.pk))
    assert "Choose one of the list." in errors_on(page, "paper")


def test_nobody_writes_to_an_erased_customer(owner_client, order):
    page = owner_client.get(address("mail-new", order, "quote"))
    Customer.objects.update(erased=moment())
    assert (
        'name="send"'
        not in owner_client.get(address("mail-new", order, "quote")).content.decode()
    )
    data = {"to": "a@b.example", "subject": "s", "body": "b", "paper": "",
            "form_key": key_on(page), "send": "1"}  # fmt: skip
    answer = owner_client.post(address("mail-new", order, "quote"), data)
    assert "This customer was erased" in text_of(answer)
    assert not Mail.objects.exists()


def test_what_was_written_is_shown_as_typed(owner_client, order):
    attack = "<script>alert(1)</script>"
    answer = send(owner_client, order, subject=attack, body=attack)
    assert "<script>alert" not in owner_client.get(answer.url).content.decode()


def test_page_asks_as_often_for_many_messages(
    owner_client, order, django_assert_num_queries
):
    def ask():
        return owner_client.get(address("mail-new", order, "progress"))

    send(owner_client, order)
    with CaptureQueriesContext(connection) as first:
        ask()
        asked = len(first)
    for _more in range(8):
        send(owner_client, order)
    with django_assert_num_queries(asked):
        ask()
