"""Fill the lists of steels, bars and equipment, and leave alone what is there."""

from __future__ import annotations

from argparse import ArgumentParser
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import models, transaction

from billets import loading
from billets.fields import SIField
from billets.messages import sentence
from billets.models import BarSize, Equipment, Steel
from billets.physics.errors import PlanError
from billets.units import exact

LONGEST = 40
"""Signs of a text that a line of the report shows."""


class Command(BaseCommand):
    help = (
        "Make every steel of the list that the shop has not, with its bars, and "
        "equipment of each kind the shop has none of. What is there stays as the shop "
        "has it, unless --refresh is given."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--refresh",
            action="store_true",
            help="set steels and equipment back to the list, over the shop's own "
            "changes, add bars of it that are missing, and say what that changed",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        loader = Loader(refresh=options["refresh"])
        try:
            loader.load(loading.read_steels(), loading.read_equipment())
        except PlanError as error:
            raise CommandError(sentence(error)) from error
        if options["verbosity"]:
            for line in (*loader.changes, *loader.summary()):
                self.stdout.write(line)


class Loader:
    """One run: makes what is missing and keeps, or refreshes, what is there."""

    def __init__(self, *, refresh: bool) -> None:
        self.refresh = refresh
        self.changes: list[str] = []
        self.made, self.kept, self.set_back = (Counter[str]() for _ in range(3))

    @transaction.atomic
    def load(
        self,
        steels: tuple[loading.SteelEntry, ...],
        equipment: tuple[loading.EquipmentEntry, ...],
    ) -> None:
        """Load both lists, or nothing."""
        rows = {row.key: row for row in Steel.objects.prefetch_related("bars")}
        for entry in steels:
            self._load_steel(rows.get(entry.key), entry)
        present = {row.name: row for row in Equipment.objects.all()}
        kinds = {row.kind for row in present.values()}
        for tool in equipment:
            row = present.get(tool.name)
            if row is not None:
                self._keep(row, tool.values, "equipment")
            # A press under another name is a press: no second one is made beside it.
            elif tool.values["kind"] not in kinds:
                self._make(Equipment(name=tool.name, **tool.values), "equipment")

    def summary(self) -> Iterator[str]:
        """Yield a line for each list: how many were made, kept and set back."""
        for what in ("steels", "bars", "equipment"):
            line = f"{what}: {self.made[what]} made, {self.kept[what]} kept"
            set_back = self.set_back[what]
            yield f"{line}, {set_back} set back" if set_back else line

    def _load_steel(self, row: Steel | None, entry: loading.SteelEntry) -> None:
        bars = set()
        if row is None:
            row = Steel(key=entry.key, **entry.values)
            self._make(row, "steels")
        else:
            bars = {_size(bar) for bar in row.bars.all()}
            self.kept["bars"] += len(bars)
            self._keep(row, entry.values, "steels")
            if not self.refresh:
                return  # a bar the shop has struck off stays off
        for bar in entry.bars:
            if _size(bar) not in bars:
                sizes = {
                    "thickness": bar.thickness,
                    "width": bar.width,
                    "length": bar.length,
                }
                self._make(BarSize(steel=row, **sizes), "bars")

    def _make(self, row: models.Model, what: str) -> None:
        _check(row)
        row.save(force_insert=True)
        self.made[what] += 1

    def _keep(
        self, row: Steel | Equipment, values: Mapping[str, Any], what: str
    ) -> None:
        """Leave a row as it is, or set back whatever differs from the list."""
        others = [name for name, new in values.items() if getattr(row, name) != new]
        if not (self.refresh and others):
            self.kept[what] += 1
            return
        known_as = str(row)
        for name in others:
            before = _said(row, name)
            setattr(row, name, values[name])
            self.changes.append(f"{known_as}, {name}: {before} -> {_said(row, name)}")
        _check(row)
        row.save(update_fields=others)
        self.set_back[what] += 1


def _size(bar: BarSize | loading.BarEntry) -> tuple[float, float]:
    """Return what tells bars of one steel apart, to the micrometre."""
    return round(bar.thickness, 6), round(bar.width, 6)


def _check(row: models.Model) -> None:
    """Hold a row from a file to the rules of a form."""
    try:
        row.full_clean()
    except ValidationError as error:
        wrong = "; ".join(
            f"{name}: {' '.join(texts)}" for name, texts in error.message_dict.items()
        )
        raise CommandError(f"{row} cannot be loaded. {wrong}") from error


def _said(row: models.Model, name: str) -> str:
    """Return a value of a row as the report prints it."""
    field, value = row._meta.get_field(name), getattr(row, name)
    if value is None or value == "":
        return "nothing"
    if isinstance(field, SIField):
        return exact(value, field.kind)
    text = " ".join(str(value).split())
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}..."
