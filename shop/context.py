"""What every page may ask for."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext_lazy as _

from shop.models import Shop

SECTIONS = {
    "front": "work",
    "orders": "orders", "order": "orders", "knife": "orders", "customer": "orders",
    "price": "orders", "quote": "orders", "sheet": "orders", "stacks": "orders",
    "after": "orders", "weighed": "orders", "links": "orders", "link": "orders",
    "question": "orders",
    "payments": "orders", "request": "orders", "change": "orders",
    "mail": "orders", "photos": "orders", "photo": "orders",
    "invoices": "orders", "invoice": "orders",
    "plans": "billets", "plan": "billets", "gas": "billets",
    "sure": "billets", "floor": "floor",
    "kept": "shop", "shop": "shop", "rates": "shop", "texts": "shop", "hours": "shop",
}  # fmt: skip
"""Where in the head of the page an address belongs, by the first word of its name."""

DEMO_SENTENCE = _(
    "This is a demo: the shop and everyone in it are invented. "
    "Begin your own shop with: python3 manage.py open --own"
)


def shop(request: HttpRequest) -> dict[str, Any]:
    """Return the shop, who may see prices, and where in the shop the page is."""
    return {
        "shop": SimpleLazyObject(lambda: shop_of(request)),
        "shop_is_demo": settings.DEMO,
        "banner_sentence": DEMO_SENTENCE if settings.DEMO else "",
        "may_see_prices": SimpleLazyObject(lambda: may_see_prices(request)),
        "section": section_of(request),
    }


def shop_of(request: HttpRequest) -> Shop:
    """Return the shop's row, read once a request by the middleware."""
    found: Shop | None = getattr(request, "shop", None)
    return found or Shop.current()


def may_see_prices(request: HttpRequest) -> bool:
    """Say whether whoever asks may see costs and prices."""
    user = getattr(request, "user", None)
    return user is not None and user.has_perm("shop.see_prices")


def section_of(request: HttpRequest) -> str:
    """Return which link in the head of the page stands for this address."""
    match = request.resolver_match
    name = (match.url_name if match else None) or ""
    return SECTIONS.get(name.partition("-")[0], "")
