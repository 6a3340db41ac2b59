"""How often an unknown token may be asked for.

Guesses are counted in rows, so that all workers, and a restart, know of them. Every
token is looked up first, by one question to an index: whoever holds a link gets in,
however much others guess. While an address, or everybody together, has guessed too
often, a guess is refused and costs no row any more.
"""

from __future__ import annotations

import datetime as dt
import ipaddress

from django.conf import settings
from django.db.models import Count, Q
from django.http import HttpRequest

from shop.guesses import WINDOW, forget
from shop.models import LinkGuess

MOST_BY_ONE, MOST_BY_ALL = 30, 300
"""Unknown tokens within the window."""

NOWHERE = "0.0.0.0"  # noqa: S104  stands for an address that is not told
HOME = 64
"""Bits of an IPv6 address that name a household; the rest its owner chooses freely."""


def address_of(request: HttpRequest) -> str:
    """Return where a request comes from; of IPv6 the household.

    With HTTPS a proxy stands in front, which says so in X-Real-IP and has to set it
    itself, whatever it was sent (README, Settings).
    """
    told = request.headers.get("X-Real-IP", "") if settings.HTTPS else ""
    for text in (told, request.META.get("REMOTE_ADDR", "")):
        try:
            found = ipaddress.ip_address(text)
        except ValueError:
            continue
        if found.version == 4:
            return str(found)
        return str(ipaddress.ip_network((int(found), HOME), strict=False)[0])
    return NOWHERE


def is_over(address: str, at: dt.datetime) -> bool:
    """Say whether unknown tokens of an address are only refused for now."""
    counted = LinkGuess.objects.filter(at__gt=at - WINDOW).aggregate(
        everybody=Count("pk"), one=Count("pk", filter=Q(address=address))
    )
    one, everybody = int(counted["one"]), int(counted["everybody"])
    return one >= MOST_BY_ONE or everybody >= MOST_BY_ALL


def note(address: str, at: dt.datetime) -> None:
    """Write a guess down, and delete those that no longer count."""
    forget(at)
    LinkGuess.objects.create(address=address, at=at)
