"""Messages as the page of an order proposes and sends them."""

import email
import email.policy

import pytest
from django.core import mail as outbox
from django.utils import timezone

from quotes import store
from quotes.mails.proposal import proposed
from quotes.models import Paper
from shop.models import Shop
from tests.factories import moment
from tests.quotes.orders import address
from tests.shop.typing_in import key_on

PDF = b"%PDF-1.7 a quote"


@pytest.fixture
def post(settings):
    """A shop that may send mail; what went out is kept in memory."""
    settings.EMAIL_HOST = "mail.example"
    told = {"name": "Test forge", "owner": "Ida Amboss", "email": "shop@forge.example"}
    Shop.objects.update_or_create(pk=1, defaults=told)
    return outbox.outbox


def proposal(order, kind, **more):
    return proposed(order, kind, Shop.current(), timezone.localdate(), **more)


def paper_of(order, kind="quote", body=PDF, **values):
    return Paper.objects.create(
        sha256=store.keep(body), order=order, kind=kind, made_at=moment(),
        **{"media": "pdf", "revision": 1} | values,
    )  # fmt: skip


def begun(client, order, kind="progress", **headers):
    """What the page of a message would send, and its address."""
    page = client.get(address("mail-new", order, kind), headers=headers)
    return {**page.context["form"].initial, "form_key": key_on(page)}


def send(client, order, kind="progress", button="send", **changes):
    """Send a message as proposed, but for some boxes."""
    data = {**begun(client, order, kind), button: "1"} | changes
    return client.post(address("mail-new", order, kind), data)


def read(message):
    return email.message_from_bytes(message, policy=email.policy.default)
