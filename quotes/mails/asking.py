"""A request for payment made on the way to a message that asks for it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from functools import partial

from django.utils import timezone

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.mails.papers import asked_now
from quotes.models import Paper
from quotes.pay.documents import keep_request, print_request, printed_before
from quotes.pay.request import request_paper
from shop.models import Order, Shop


def new_request(
    order: Order, kind: str, shop: Shop, at: dt.datetime
) -> Callable[..., Paper]:
    """Return what keeps a request for today's sum, printed before anybody waits.

    QuoteError where nothing is open, or no account is told.
    """
    asked = asked_now(order, kind)
    if asked is None:
        raise QuoteError(
            _("Nothing of it is open, so there is nothing to ask for."), field="what"
        )
    paper = request_paper(order, shop, asked[0], timezone.localdate(at))
    printed = None if printed_before(order, paper) else print_request(paper)
    return partial(keep_request, order, paper, printed, at=at)
