"""What stands in the way of an answer given on the private page, and giving it."""

from __future__ import annotations

import datetime as dt
import re

from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from quotes.models import Quote, QuoteAnswer
from quotes.private import tokens
from quotes.services import Reply, answer_quote, changed_since
from shop.models import CustomerLink, CustomerQuestion, Order, Shop
from shop.services import hold_order, hold_shop

HASH = re.compile("[0-9a-f]{64}")
MOST_OPEN = 10
"""So many questions may wait for an answer."""

DONE = "done"
"""This very answer has been given before: nothing is left to do, and nothing wrong."""


def quote_shown(order: Order, sha256: str) -> Quote | None:
    """Return the quote of an order whose paper a page was made from."""
    if not HASH.fullmatch(sha256):
        return None
    known = Quote.objects.filter(order=order, paper__sha256=sha256)
    return known.select_related("order", "paper").order_by("-revision").first()


def refusal(quote: Quote | None, reply: Reply, day: dt.date) -> str:
    """Return why an answer cannot be taken, by the key of its page; empty if it can."""
    if quote is None:
        return "other"
    if quote.order.quotes.filter(revision__gt=quote.revision).exists():
        return "superseded"
    given = QuoteAnswer.objects.filter(quote=quote).select_related("option").first()
    if given:
        return DONE if _same(given, reply) else "answered"
    if Order.objects.get(pk=quote.order_id).state != "quoted":
        return "closed"
    if reply.accepted and quote.valid_until < day:
        return "run_out"
    return "changed" if reply.accepted and changed_since(quote) else ""


def _same(given: QuoteAnswer, reply: Reply) -> bool:
    taken = given.option.position if given.option else None
    return given.accepted == reply.accepted and taken == reply.option


class LinkEndedError(Exception):
    """The link was ended after the page was opened and before this was written."""


def hold_link(link: CustomerLink) -> None:
    """Read a link once more, and let nobody end it until this is written.

    Taken after the order, as an erasure does, so that two never wait for each other.
    """
    rows = CustomerLink.objects.select_for_update()
    if rows.filter(pk=link.pk, revoked_at=None).first() is None:
        raise LinkEndedError


@transaction.atomic
def take(link: CustomerLink, quote: Quote, reply: Reply, at: dt.datetime) -> None:
    """Write an answer down; a Refusal or LinkEndedError leaves nothing behind."""
    hold_order(quote.order)
    hold_link(link)
    answer_quote(quote, reply, by=None, at=at)
    tokens.touch(link, at)


def how(shop: Shop, reason: str = "") -> str:
    """Say for the shop where an answer was given, and what was said with it."""
    with translation.override(shop.language):
        place = _("on the private page")
    return f"{place}: {reason}" if reason else place


@transaction.atomic
def ask(link: CustomerLink, text: str, at: dt.datetime) -> bool:
    """Write a question down, once however often it is sent; False if too many wait.

    An erasure waits meanwhile, or has ended the link before: LinkEndedError.
    """
    hold_shop()
    hold_order(link.order)
    hold_link(link)
    waiting = CustomerQuestion.objects.filter(order=link.order, answered_at=None)
    asked = list(waiting.values_list("text", flat=True))
    if text in asked:
        return True
    if len(asked) >= MOST_OPEN:
        return False
    CustomerQuestion.objects.create(order=link.order, text=text, at=at)
    tokens.touch(link, at)
    return True


def today() -> dt.date:
    """Return the shop's day."""
    return timezone.localdate()
