"""A customer's way to the private page: the link, the browser, what is sent there."""

import re

from django.test import Client
from django.utils import timezone

from quotes.private import tokens
from shop.models import CustomerLink, Order, Payment
from tests.quotes.orders import issue, ready_order
from tests.shop.typing_in import text_of

HERE = {"host": "localhost"}
"""On this machine itself, where no encryption is needed."""


def link_for(order):
    """A link to an order's page, with its token."""
    return tokens.make_link(order, by=None, at=timezone.now())


def visitor(**more):
    return Client(headers=HERE, **more)


def opened(order):
    """A browser that has come by a link, and that link."""
    link, token = link_for(order)
    client = visitor()
    assert client.get(f"/q/{token}/").status_code == 303
    return client, CustomerLink.objects.get(pk=link.pk)


def quoted_order(owner_client, **values):
    """An order with a quote that waits for its answer."""
    order = ready_order(**values)
    return issue(owner_client, order).order


def shown_hash(client):
    page = client.get("/q/view/").content.decode()
    return re.search(r'name="sha256" value="([0-9a-f]{64})"', page)[1]


def yes(client, sha256=None, **changes):
    """Send a yes as the page would."""
    data = {"answer": "yes", "typed_name": "Tilda Grauwacke", "agree": "on"}
    data["sha256"] = sha256 or shown_hash(client)
    return client.post("/q/answer/", data | changes)


def no(client, sha256=None, **changes):
    data = {"answer": "no", "reason": "", "sha256": sha256 or shown_hash(client)}
    return client.post("/q/answer/", data | changes)


def ordered(owner_client, **values):
    """An order that was said yes to on its page, and the browser it was said in."""
    order = quoted_order(owner_client, **values)
    customer, _link = opened(order)
    assert yes(customer).status_code == 303
    return Order.objects.get(pk=order.pk), customer


def receive(order, amount, *, back=False, day=None):
    """Money that arrived, or went back, as a row and no more."""
    return Payment.objects.create(
        order=order, amount=amount, back=back, at=timezone.now(),
        received_on=day or timezone.localdate(),
    )  # fmt: skip


def seen(customer):
    """What a private page says, in one line."""
    page = customer.get("/q/view/")
    assert page.status_code == 200
    return text_of(page)
