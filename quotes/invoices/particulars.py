"""Who sells and who buys: the particulars no invoice may lack."""

from __future__ import annotations

from typing import Any, Literal

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.gaps import Gap
from shop.models import Customer, Order, Shop

SELLER = ("name", "owner", "address", "country", "vat_number", "tax_number",
          "legal_id", "email", "phone", "account_holder", "iban", "bic")  # fmt: skip
BUYER = ("name", "address", "country", "vat_number", "business", "language")


def lacking(order: Order, shop: Shop) -> list[Gap]:
    """Return the particulars every invoice needs and this one would not have."""
    found = []
    if not (shop.name.strip() and shop.address.strip()):
        found.append(_gap("shop", _(
            "An invoice says who sells: write down the shop's name and address first."
        )))  # fmt: skip
    if not (shop.tax_number.strip() or shop.vat_number.strip()):
        found.append(_gap("shop", _(
            "An invoice bears the seller's tax number or VAT number: write one down "
            "first."
        )))  # fmt: skip
    if not order.customer.address.strip():
        found.append(_gap("customer", _(
            "An invoice says who buys: {name} has no address yet."
        ), name=order.customer.name))  # fmt: skip
    return found


def _gap(place: Literal["shop", "customer"], message: str, **values: object) -> Gap:
    error = QuoteError(message, field="address", **values)
    return Gap(error=error, place=place)


def check_whole(order: Order, shop: Shop) -> None:
    """Refuse an invoice that lacks particulars; the first of them is named."""
    for gap in lacking(order, shop):
        raise gap.error


def seller_of(shop: Shop) -> dict[str, Any]:
    """Return who sells, as printed."""
    return {name: getattr(shop, name) for name in SELLER}


def buyer_of(customer: Customer) -> dict[str, Any]:
    """Return who buys; a VAT number is a business's."""
    found = {name: getattr(customer, name) for name in BUYER}
    if not customer.business:
        found["vat_number"] = ""
    return found
