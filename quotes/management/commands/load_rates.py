"""Give a shop the shipped rates and prices it has none of yet."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction

from quotes.rate_book import shipped_values
from quotes.rates import SHIPPED_FROM
from shop.models import Rate, Shop


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
            for key, (value, note) in shipped_values().items()
            if key not in have
        ]
        Rate.objects.bulk_create(rows)
        if options["verbosity"]:
            self.stdout.write(f"{len(rows)} rates added, {len(have)} kept")
