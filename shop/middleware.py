"""What every request and every answer carries."""

from __future__ import annotations

import re
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import translation

Handler = Callable[[HttpRequest], HttpResponse]

HEADERS = {
    "Content-Security-Policy": settings.SECURE_CSP,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # same-origin, not no-referrer: with the latter Django refuses every form.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}

PRIVATE, OPENED = "/q/", "/q/open/"
"""Where the customers' private pages are, and what is left of a link's address."""

PRIVATE_PAGES = re.compile(
    r"/q/(view|answer|change|ask|paper/[a-z]+/[0-9]+|photo/[\w-]{22}/(small|large))/?",
    re.ASCII,
)
"""The private pages themselves; whatever else is below ``PRIVATE`` holds a token."""

PRIVATE_HEADERS = {
    # Nothing but the style sheet and drawings: these pages need no script.
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; img-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
}


def security_headers(get_response: Handler) -> Handler:
    """Put the security headers on every answer, errors and files included."""

    def middleware(request: HttpRequest) -> HttpResponse:
        private = request.path_info.lower().startswith(PRIVATE)
        by_token = private and _hide_token(request)
        response = get_response(request)
        for name, value in (HEADERS | PRIVATE_HEADERS if private else HEADERS).items():
            response.headers.setdefault(name, value)
        if by_token:  # Django has set its own by now
            response.headers["Referrer-Policy"] = "no-referrer"
        if not request.path.startswith(settings.STATIC_URL):
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    return middleware


def _hide_token(request: HttpRequest) -> bool:
    """Take a token out of the address, so that no log or report of a fault has it.

    Left in where plain HTTP is about to be led on to HTTPS, which needs all of it.
    """
    if PRIVATE_PAGES.fullmatch(request.path_info):
        return False
    if settings.SECURE_SSL_REDIRECT and not request.is_secure():
        return True
    token = request.path_info[len(PRIVATE) :].removesuffix("/")
    request.private_token = token  # type: ignore[attr-defined]  # for quotes.views
    request.path = request.META.get("SCRIPT_NAME", "") + OPENED
    request.path_info = OPENED
    for name in ("PATH_INFO", "RAW_URI", "REQUEST_URI"):  # as servers tell it
        if name in request.META:
            request.META[name] = OPENED
    return True


def shop_language(get_response: Handler) -> Handler:
    """Speak the shop's language on its own pages; keep its row on the request."""

    def middleware(request: HttpRequest) -> HttpResponse:
        from shop.models import Shop

        shop = Shop.current()
        request.shop = shop  # type: ignore[attr-defined]  # for shop.context
        with translation.override(shop.language):
            return get_response(request)

    return middleware


def clean_query(get_response: Handler) -> Handler:
    """Refuse control characters in addresses: PostgreSQL cannot even look for NUL."""

    def middleware(request: HttpRequest) -> HttpResponse:
        texts = [*request.GET.keys(), *(v for vs in request.GET.lists() for v in vs[1])]
        if any(
            ord(sign) < 32 and sign not in "\t\r\n" for text in texts for sign in text
        ):
            return render(request, "400.html", status=400)
        return get_response(request)

    return middleware
