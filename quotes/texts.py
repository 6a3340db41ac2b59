"""What a quote says where the shop has written no sentences of its own.

They are translated into the customer's language. None is a verdict: the page of
settings tells the owner to check them with an adviser, and the shop's own words there
take the place of these.
"""

from __future__ import annotations

from django.utils.translation import gettext as _

from shop.models import Shop


def terms(shop: Shop) -> str:
    """Return the terms."""
    return shop.terms.strip() or _(
        "Made by hand to the specification printed here. The balance is due before the "
        "knife is handed over. It is collected at the shop; sending it is agreed "
        "apart, at cost."
    )


def care(shop: Shop) -> str:
    """Return how a knife is looked after."""
    return shop.care.strip() or _(
        "The blade is carbon steel: it can rust, and it darkens with use. Wash it by "
        "hand, dry it at once, oil it thinly. Never put it into a dishwasher. It cuts "
        "food on wood or plastic; bones, frozen food and prising break its edge."
    )


def legal(shop: Shop) -> str:
    """Return what the law may want said."""
    return shop.legal.strip() or _(
        "The knife is made to your own specification, in words and numbers above; for "
        "such goods the right of withdrawal may not apply. Where the law sets an age "
        "for buying knives, it has to be proved before one is handed over. Layered "
        "steel often holds nickel: tell us before you order if nickel harms your skin."
    )
