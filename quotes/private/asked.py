"""Whether the balance was asked for: before that its customer is not to pay it."""

from __future__ import annotations

from django.utils import timezone

from quotes.errors import QuoteError
from quotes.models import Mail
from quotes.pay.documents import printed_before, requests_of
from quotes.pay.request import request_paper
from shop import payments
from shop.models import Order, Shop, StageEvent

WRITTEN = ("sent", "copied")
"""Fates of a message that reached its customer."""


def balance_asked(order: Order, shop: Shop) -> bool:
    """Say whether a message or a request has asked for the balance.

    The final photos come with it, so the last stage of the bench alone asks for
    nothing.
    """
    if Mail.objects.filter(order=order, kind="balance", state__in=WRITTEN).exists():
        return True
    last = requests_of(order).first()
    if last is None:
        return False
    try:
        now = request_paper(order, shop, "balance", timezone.localdate())
    except QuoteError:
        return False
    return printed_before(order, now) is not None or _after_the_work(order)


def _after_the_work(order: Order) -> bool:
    """Say whether the last request came when only the balance was left to ask for."""
    if not payments.ready(order) or payments.deposit_missing(order) > 0:
        return False
    last = requests_of(order).first()
    done = StageEvent.objects.filter(
        knife__order=order, stage=payments.LAST_AT_THE_BENCH
    ).order_by("pk").last()  # fmt: skip
    return bool(last and done and last.made_at >= done.at)
