"""Links to a customer's private page: made, found, remembered, ended.

A token is 256 random bits. The database keeps its SHA-256 only, so nothing in it, nor
in a copy of it, opens a page. The first visit swaps the token for a signed cookie, so
that no address the customer sees or shares by mistake carries it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
import secrets

from django.contrib.auth.models import User
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.debug import sensitive_variables

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.models import Quote
from shop import stages
from shop.models import CustomerLink, Order, StageEvent

BYTES = 32
TOKEN = re.compile(r"[A-Za-z0-9_-]{43}", re.ASCII)
AFTER = dt.timedelta(days=30)
"""So long after a quote has run out, or its knives are handed over, a link works."""

SALT = "quotes.private"
REMEMBERED = dt.timedelta(days=90)


# --- making and ending -----------------------------------------------------------


@transaction.atomic
@sensitive_variables("token")
def make_link(
    order: Order, *, by: User | None, at: dt.datetime
) -> tuple[CustomerLink, str]:
    """Make a link; its token is returned this once and kept nowhere.

    QuoteError where there is no quote the page could show, or nobody to show it to.
    """
    if Order.objects.filter(pk=order.pk).exclude(customer__erased=None).exists():
        raise QuoteError(
            _("This customer was erased: there is nobody a private page is for."),
            field="order",
        )
    quote = last_quote(order)
    if quote is None:
        raise QuoteError(
            _("Issue a quote first: the private page shows the customer a quote."),
            field="order",
        )
    token = secrets.token_urlsafe(BYTES)
    link = CustomerLink.objects.create(
        order=order, digest=digest(token), made_at=at, by=by,
        expires_on=max(quote.valid_until, timezone.localdate(at)) + AFTER,
    )  # fmt: skip
    return link, token


def revoke(link: CustomerLink, at: dt.datetime) -> None:
    """End a link from now on; the first time counts."""
    CustomerLink.objects.filter(pk=link.pk, revoked_at=None).update(revoked_at=at)


def touch(link: CustomerLink, at: dt.datetime) -> None:
    """Write down that a customer did something on the page; looking is nothing."""
    CustomerLink.objects.filter(pk=link.pk).update(used_at=at)


# --- finding ---------------------------------------------------------------------


@sensitive_variables()
def digest(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


@sensitive_variables()
def find(token: str) -> CustomerLink | None:
    """Return the link of a token, also one that has ended."""
    return _link(digest(token)) if TOKEN.fullmatch(token) else None


def _link(kept: str) -> CustomerLink | None:
    known = CustomerLink.objects.select_related("order__customer")
    return known.filter(digest=kept).first()


def last_quote(order: Order) -> Quote | None:
    """Return the revision that counts, with its answer."""
    return (
        Quote.objects.filter(order=order)
        .select_related("paper", "answer__option")
        .order_by("-revision")
        .first()
    )


# --- how long it works -----------------------------------------------------------


def ended(link: CustomerLink, day: dt.date) -> str:
    """Return how a link has ended, "revoked" or "expired"; empty while it works."""
    if link.revoked_at:
        return "revoked"
    if link.expires_on >= day:
        return ""
    until = works_until(link)
    return "expired" if until and until < day else ""


def works_until(link: CustomerLink) -> dt.date | None:
    """Return the last day of a link; None as long as its order is in work."""
    order = link.order
    if order.state == "accepted":
        return None
    return max(link.expires_on, _quote_until(order), _work_until(order))


def _quote_until(order: Order) -> dt.date:
    """Return how long the page of a quote is shown, a later revision's included."""
    quote = last_quote(order) if order.state == "quoted" else None
    return quote.valid_until + AFTER if quote else dt.date.min


def _work_until(order: Order) -> dt.date:
    """Return how long the page of knives that left the bench is shown."""
    left = StageEvent.objects.filter(
        knife__order=order, stage__in=(stages.STAGES[-1].key, *stages.EXITS)
    )
    last = left.order_by("-pk").first()
    return timezone.localdate(last.at) + AFTER if last else dt.date.min


# --- the cookie ------------------------------------------------------------------


def cookie_name(request: HttpRequest) -> str:
    """Return the cookie's name; browsers hold the first one to this very host."""
    return "__Host-private-key" if request.is_secure() else "hammerscale-private-key"


def remember(response: HttpResponse, request: HttpRequest, link: CustomerLink) -> None:
    """Let a browser open the page without the token; holds the digest, signed."""
    response.set_signed_cookie(
        cookie_name(request), link.digest, salt=SALT, max_age=REMEMBERED, path="/",
        secure=request.is_secure(), httponly=True, samesite="Lax",
    )  # fmt: skip


def remembered(request: HttpRequest) -> CustomerLink | None:
    """Return the link a browser came by, also one that has ended."""
    kept = request.get_signed_cookie(
        cookie_name(request), default="", salt=SALT, max_age=REMEMBERED
    )
    return _link(kept) if kept else None
