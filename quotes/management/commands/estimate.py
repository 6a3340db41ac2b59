"""Plan, cost and price of a job file, as text or JSON."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from billets.messages import Said, sentence
from billets.units import to_si
from quotes.errors import QuoteError
from quotes.estimate_report import as_json, as_text
from quotes.estimating import KeyedError, Stock, estimate, shipped_stock, shop_stock
from quotes.jobfile import JobFileError, read_job
from quotes.management.commands.load_rates import shipped
from quotes.pricing import prices_in
from shop.database import holds_shop

CHANCE = 80.0
BAD_INPUT = 2


class Command(BaseCommand):
    help = "Print plan, cost and price of the job in FILE (its form is in README.md)."
    requires_system_checks = []  # no page is needed, and a second is all there is

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--json", action="store_true", help="exact values as JSON")
        parser.add_argument(
            "--fit", nargs="?", type=float, const=CHANCE, metavar="CHANCE",
            help="fit the stack to a chance in percent, 80 unless told otherwise",
        )  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        chance = options["fit"] if options["fit"] is not None else CHANCE
        try:
            text = options["file"].read_text("utf-8")
        except (OSError, UnicodeDecodeError) as error:
            self.refuse([f"{options['file']}: {error}"])
        if not 0 < chance < 100:
            self.refuse([f"--fit: a chance lies between 0 and 100, not at {chance:g}."])
        try:
            job = read_job(text, to_si)
            done = estimate(
                job, stock(), chance=chance / 100, fit=options["fit"] is not None
            )
        except JobFileError as error:
            self.refuse(_said(one.field, one) for one in error.problems)
        except KeyedError as error:
            self.refuse([_said(error.key, error.error)])
        except QuoteError as error:
            self.refuse([_said(error.field, error)])
        if options["json"]:
            self.stdout.write(json.dumps(as_json(done), indent=2, ensure_ascii=False))
        else:
            self.stdout.write(as_text(done))

    def refuse(self, sentences: Iterable[str]) -> Any:
        """Say each thing that is wrong on a line of its own and end with status 2."""
        for one in sentences:
            self.stderr.write(one)
        sys.exit(BAD_INPUT)


def stock() -> Stock:
    """Return what the shop has, if it has a database, else what is shipped."""
    if settings.DEMO or settings.DATABASE_URL or holds_shop(settings.SHOP_FILE):
        return shop_stock(timezone.localdate())
    values: dict[str, Decimal] = {
        key: value for key, (value, _note) in shipped().items()
    }
    return shipped_stock(prices_in(values))


def _said(key: str | None, error: Said) -> str:
    return f"{key}: {sentence(error)}" if key else sentence(error)
