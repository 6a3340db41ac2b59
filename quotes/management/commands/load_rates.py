"""Give a shop the shipped rates and prices it has none of yet."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import transaction
from django.utils.translation import gettext

from quotes.rate_items import RATE_ITEMS
from quotes.rates import SHIPPED_FROM
from shop.models import Rate, Shop

PRICES = Path(settings.BASE_DIR) / "shop" / "data" / "prices.toml"
BOUGHT = ("steel", "handle", "ferrule")


class Command(BaseCommand):
    help = (
        "Add shipped rates and prices that are missing; never change one that is there."
    )

    @transaction.atomic
    def handle(self, *args: Any, **options: Any) -> None:
        Shop.objects.get_or_create(pk=1)
        have = set(Rate.objects.values_list("key", flat=True))
        rows = [
            Rate(key=key, value=value, valid_from=SHIPPED_FROM, note=note)
            for key, (value, note) in shipped().items()
            if key not in have
        ]
        Rate.objects.bulk_create(rows)
        if options["verbosity"]:
            self.stdout.write(f"{len(rows)} rates added, {len(have)} kept")


def shipped() -> dict[str, tuple[Decimal, str]]:
    """Return every shipped rate and price with its note, by key."""
    prices = tomllib.loads(PRICES.read_text("utf-8"))
    bought = {
        f"{kind}.{key}": (Decimal(price), prices["note"])
        for kind in BOUGHT
        for key, price in prices[kind].items()
    }
    shipped_note = gettext(
        "Shipped default: common practice or invented, put in your own."
    )
    return {item.key: (item.default, shipped_note) for item in RATE_ITEMS} | bought
