"""The private link of a message: made when it is wanted, its secret kept nowhere."""

from __future__ import annotations

import datetime as dt
import ipaddress
from urllib.parse import urlsplit

from django.contrib.auth.models import User
from django.http import HttpRequest
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables

from quotes.mails.masking import MASK, unmasked, with_mark
from quotes.mails.standing import text_key
from quotes.mails.texts import LINKS
from quotes.private import tokens, way
from shop.context import shop_of
from shop.models import Order, Shop


def can_link(request: HttpRequest, order: Order) -> bool:
    """Say whether a link to the private page of an order can be made from here."""
    return way.is_safe(request) and tokens.last_quote(order) is not None


def leads_out(request: HttpRequest, shop: Shop) -> bool:
    """Say whether a link made here is one that a customer can open, and safely."""
    address = urlsplit(way.link_address(request, shop, "x"))
    host = address.hostname or ""
    return address.scheme == "https" and not _is_this_machine(host)


def _is_this_machine(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")


@sensitive_variables()
def new_address(
    request: HttpRequest, order: Order, *, by: User | None, at: dt.datetime
) -> str:
    """Make a link and return its address; QuoteError without a quote to show."""
    _link, token = tokens.make_link(order, by=by, at=at)
    return way.link_address(request, shop_of(request), token)


@sensitive_variables()
def put_in(body: str, address: str, order: Order, kind: str, shop: Shop) -> str:
    """Return a text with a link in the place of its mark, or before the name."""
    with translation.override(order.customer.language):
        said = LINKS.get(text_key(order, kind), LINKS["progress"])
        said = _(said).format(link=MASK)
    signed = signature(shop)
    return unmasked(with_mark(body, said, signed), address)


def signature(shop: Shop) -> str:
    """Return the lines under a message."""
    return "\n".join(dict.fromkeys(filter(None, (shop.owner, shop.name))))
