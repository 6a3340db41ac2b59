"""Empty the database on purpose, what was issued too."""

from __future__ import annotations

from typing import Any

from django.core.management.commands import flush
from django.db import connections

from quotes.triggers import taken_off


class Command(flush.Command):
    def handle(self, **options: Any) -> None:
        with taken_off(connections[options["database"]]):
            super().handle(**options)
