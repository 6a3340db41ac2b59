"""What every request and every answer carries."""

from __future__ import annotations

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


def security_headers(get_response: Handler) -> Handler:
    """Put the security headers on every answer, errors and files included."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if not request.path.startswith(settings.STATIC_URL):
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    return middleware


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
