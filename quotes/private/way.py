"""The way a private page travels: encrypted, or not leaving this machine."""

from __future__ import annotations

import ipaddress

from django.http import HttpRequest
from django.http.request import split_domain_port
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.views.decorators.debug import sensitive_variables

from shop.models import Shop

LOCAL_NAMES = frozenset({"localhost", "127.0.0.1", "[::1]"})

FORWARDED = ("X-Forwarded-For", "X-Forwarded-Host", "X-Forwarded-Proto", "X-Real-IP",
             "Forwarded", "Via")  # fmt: skip
"""What a proxy says of whoever asks: one of them is enough to have come from afar."""

WHY_NOT: str | Promise = _(
    "Over plain HTTP anybody on the network could read such a link and say yes in your "
    "customer's name, so none is made here. Put HTTPS in front of the shop (examples "
    "are in .deploy), start it with HAMMERSCALE_HTTPS=yes and HAMMERSCALE_HOSTS, and "
    "open it at its https address. On this machine itself, at 127.0.0.1, links work "
    "for trying."
)


def is_safe(request: HttpRequest) -> bool:
    """Say whether nobody on a network can read along."""
    return request.is_secure() or is_local(request)


def is_local(request: HttpRequest) -> bool:
    """Say whether a request has not left this machine, nor came through a proxy.

    A proxy on this machine is known by what it adds (``FORWARDED``); one that adds
    nothing cannot be told from a browser here.
    """
    if any(name in request.headers for name in FORWARDED):
        return False
    host, _port = split_domain_port(request.get_host())
    try:
        from_here = ipaddress.ip_address(request.META.get("REMOTE_ADDR", ""))
    except ValueError:
        return False
    return host in LOCAL_NAMES and from_here.is_loopback


@sensitive_variables("token")
def link_address(request: HttpRequest, shop: Shop, token: str) -> str:
    """Return the whole address to send to a customer."""
    path = reverse("private", args=[token])
    if shop.site.startswith("https://"):
        return shop.site.rstrip("/") + path
    return request.build_absolute_uri(path)
