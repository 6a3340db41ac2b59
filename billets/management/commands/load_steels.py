"""Fill the lists of steels, bars and equipment, and leave alone what is there."""

from __future__ import annotations

import dataclasses
from argparse import ArgumentParser
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any, TypeAlias

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import models, transaction

from billets import loading
from billets.fields import SIField
from billets.messages import sentence
from billets.models import BarSize, Equipment, Steel, TemperPoint
from billets.physics.errors import PlanError
from billets.units import exact

Temper: TypeAlias = tuple[float, float, str]
"""Temperature [K], duration [s] and source of a row of a temper table."""

LONGEST = 40
"""Signs of a text that a line of the report shows."""


class Command(BaseCommand):
    help = (
        "Make every steel of the list that the shop has not, with its bars and temper "
        "tables, and equipment of each kind the shop has none of. What is there stays "
        "as the shop has it, unless --refresh is given."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--refresh",
            action="store_true",
            help="set steels, printed temper tables and equipment back to the list, "
            "over the shop's own changes, add bars and rows of it that are missing, "
            "and say what that changed; rows the shop has measured stay",
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
        # Temper tables of steels that stay as they are need not be looked at.
        along = ["bars", "tempers"] if self.refresh else ["bars"]
        rows = {row.key: row for row in Steel.objects.prefetch_related(*along)}
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
        for what in ("steels", "bars", "temper rows", "equipment"):
            line = f"{what}: {self.made[what]} made, {self.kept[what]} kept"
            set_back = self.set_back[what]
            yield f"{line}, {set_back} set back" if set_back else line

    def _load_steel(self, row: Steel | None, entry: loading.SteelEntry) -> None:
        if row is None:
            row = Steel(key=entry.key, **entry.values)
            self._make(row, "steels")
            self._load_bars(row, entry, set())
            self._load_tempers(row, entry, {})
            return
        bars = {_size(bar) for bar in row.bars.all()}
        self.kept["bars"] += len(bars)
        self._keep(row, entry.values, "steels")
        if self.refresh:  # else what the shop has struck off stays off
            self._load_bars(row, entry, bars)
            tempers = {_temper(one): one for one in row.tempers.all()}
            self._load_tempers(row, entry, tempers)

    def _load_bars(
        self, row: Steel, entry: loading.SteelEntry, bars: set[tuple[float, float]]
    ) -> None:
        for bar in entry.bars:
            if _size(bar) not in bars:
                sizes = {
                    "thickness": bar.thickness,
                    "width": bar.width,
                    "length": bar.length,
                }
                self._make(BarSize(steel=row, **sizes), "bars")

    def _load_tempers(
        self, row: Steel, entry: loading.SteelEntry, tempers: dict[Temper, TemperPoint]
    ) -> None:
        """Add rows that are missing, set back printed ones, leave the shop's own."""
        for printed in entry.tempers:
            there = tempers.get(_temper(printed))
            if there is None:
                told = dataclasses.asdict(printed)
                self._make(TemperPoint(steel=row, own=False, **told), "temper rows")
            elif there.own:
                self.kept["temper rows"] += 1
            else:
                self._keep(there, {"hardness": printed.hardness}, "temper rows")

    def _make(self, row: models.Model, what: str) -> None:
        _check(row)
        row.save(force_insert=True)
        self.made[what] += 1

    def _keep(
        self,
        row: Steel | Equipment | TemperPoint,
        values: Mapping[str, Any],
        what: str,
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


def _temper(row: TemperPoint | loading.TemperEntry) -> Temper:
    """Return what tells rows of one steel's temper tables apart."""
    return round(row.temperature, 6), round(row.duration, 3), row.source


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
