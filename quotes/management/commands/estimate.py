"""Plan, cost and price of a job file, as text or JSON."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NoReturn

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone, translation

from billets.messages import Said, sentence
from billets.units import System, to_si
from quotes.errors import QuoteError
from quotes.estimate.chain import Estimate, estimate
from quotes.estimate.keys import KeyedError
from quotes.estimate.report import as_json
from quotes.estimate.stock import Stock, shipped_stock, shop_stock
from quotes.estimate.text import as_text
from quotes.jobfile import JobFileError, read_job
from quotes.pricing import prices_in
from quotes.rate_book import shipped_values
from shop.database import holds_shop

CHANCE = 80.0
BAD_INPUT = 2


class Command(BaseCommand):
    help = "Print plan, cost and price of the job in FILE (its form is in README.md)."
    requires_system_checks = []  # no page is needed, and a second is all there is

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument("--json", action="store_true", help="exact values as JSON")
        parser.add_argument(
            "--fit", nargs="?", type=float, const=CHANCE, metavar="CHANCE",
            help="after FILE: fit the stack to a chance in percent, 80 unless told",
        )  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        wanted = options["fit"]
        chance = CHANCE if wanted is None else wanted
        if not 0 < chance < 100:
            self.refuse([f"--fit: a chance lies between 0 and 100, not at {chance:g}."])
        text = self.read(options["file"])
        try:
            have = stock()
        except QuoteError as error:
            self.refuse([_said(error.field, error)])
        with translation.override(have.language):
            done = self.estimated(text, have, chance=chance / 100, fit=bool(wanted))
            self.stdout.write(_json(done) if options["json"] else as_text(done))

    def read(self, file: Path) -> str:
        """Return what a file holds, or end."""
        try:
            return file.read_text("utf-8")
        except FileNotFoundError:
            self.refuse([f"{file}: there is no such file."])
        except (OSError, UnicodeDecodeError):
            self.refuse([f"{file}: this cannot be read as text."])

    def estimated(
        self, text: str, have: Stock, *, chance: float, fit: bool
    ) -> Estimate:
        """Return what comes of a job file, or end and say what is wrong with it."""
        try:
            return estimate(read_job(text, to_si), have, chance=chance, fit=fit)
        except JobFileError as error:
            self.refuse(_said(one.field, one, have.system) for one in error.problems)
        except KeyedError as error:
            self.refuse([_said(error.key, error.error, have.system)])

    def refuse(self, sentences: Iterable[str]) -> NoReturn:
        """Say each thing that is wrong on a line of its own and end with status 2."""
        for one in sentences:
            self.stderr.write(one.replace("\u00a0", " "))
        sys.exit(BAD_INPUT)


def stock() -> Stock:
    """Return what the shop has, if it has a database, else what is shipped."""
    if settings.DEMO or settings.DATABASE_URL or holds_shop(settings.SHOP_FILE):
        return shop_stock(timezone.localdate())
    values = {key: value for key, (value, _note) in shipped_values().items()}
    return shipped_stock(prices_in(values))


def _json(done: Estimate) -> str:
    return json.dumps(as_json(done), indent=2, ensure_ascii=False, allow_nan=False)


def _said(key: str | None, error: Said, system: System = "metric") -> str:
    said = sentence(error, system)
    return f"{key}: {said}" if key else said
