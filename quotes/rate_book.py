"""The shop's rates as a book: what holds, since when, what comes, what was before.

A change never overwrites: it is a new row that counts from a day on, so that what was
priced before can be told from what is priced now.
"""

from __future__ import annotations

import datetime as dt
import tomllib
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as translate

from billets.models import Steel
from billets.physics.errors import _
from billets.physics.materials import MATERIALS
from quotes.errors import QuoteError
from quotes.rate_items import GROUPS, POINTS, RATE_ITEMS
from quotes.rate_kinds import RateItem
from quotes.rates import SHIPPED_FROM
from quotes.services import digest
from quotes.year.items import MACHINE_OF, YEAR_GROUPS, YEAR_ITEM_OF, YEAR_ITEMS
from shop.models import Rate
from shop.services import hold_shop

BOUGHT: Mapping[str, tuple[str, str]] = {
    "steel": (_("Steel, what replacing it costs"), _("per kg")),
    "handle": (_("Handle material"), _("for one knife")),
    "ferrule": (_("Ferrule material"), _("each")),
}
"""Groups of prices with a row for each thing, and what each price is for."""

PRICES = Path(settings.BASE_DIR) / "shop" / "data" / "prices.toml"

MOST_ROWS = 100
"""So many rows of history a page shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One rate of the book.

    Attributes
    ----------
    key, label, unit, kind : str
        As in ``RateItem``, in the language of the page.
    of : str
        What it is one of three points of, or the machine it is about; else empty.
    row : Rate or None
        What holds today.
    later : tuple of Rate
        What will hold, from a day to come.
    """

    key: str
    label: str
    unit: str
    kind: str
    of: str
    row: Rate | None
    later: tuple[Rate, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """The rates that stand together; ``rows`` gives those that share a line."""

    label: str
    entries: tuple[Entry, ...]

    @property
    def rows(self) -> list[tuple[str, list[Entry]]]:
        """Return the entries by what they are of, in their order."""
        found: dict[str, list[Entry]] = {}
        for entry in self.entries:
            found.setdefault(entry.of, []).append(entry)
        return list(found.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """All rates on a day; ``seen`` changes with any of them."""

    chapters: tuple[Chapter, ...]
    seen: str

    @property
    def entries(self) -> dict[str, Entry]:
        """Every rate by its key."""
        return {one.key: one for chapter in self.chapters for one in chapter.entries}


Chapters = Iterable[tuple[str, Iterable[RateItem]]]


def book_on(day: dt.date) -> Book:
    """Return the rates that make prices as they stand on a day."""
    return _book(
        [
            *_by_group(GROUPS, RATE_ITEMS),
            *((label, _bought(key, unit)) for key, (label, unit) in BOUGHT.items()),
        ],
        day,
    )


def year_book_on(day: dt.date) -> Book:
    """Return what the shop's hour is made of as it stands on a day."""
    return _book(_by_group(YEAR_GROUPS, YEAR_ITEMS), day)


def _by_group(groups: Mapping[str, str], items: Iterable[RateItem]) -> Chapters:
    rows = list(items)
    return [
        (label, [one for one in rows if one.group == key])
        for key, label in groups.items()
    ]


def _book(chapters: Chapters, day: dt.date) -> Book:
    rows = list(Rate.objects.order_by("key", "valid_from"))
    now = {row.key: row for row in rows if row.valid_from <= day}
    later = [row for row in rows if row.valid_from > day]
    return Book(
        chapters=tuple(
            Chapter(
                label=translate(label),
                entries=tuple(_entry(item, now.get(item.key), later) for item in items),
            )
            for label, items in chapters
        ),
        seen=digest([(row.key, str(row.value), row.valid_from) for row in rows]),
    )


def _entry(item: RateItem, row: Rate | None, later: Iterable[Rate]) -> Entry:
    of, label = _named(item)
    return Entry(
        key=item.key,
        label=translate(label),
        unit=translate(item.unit) if item.unit else "",
        kind=item.kind,
        of=translate(of) if of else "",
        row=row,
        later=tuple(one for one in later if one.key == item.key),
    )


def _named(item: RateItem) -> tuple[str, str]:
    """Return what a rate belongs to, if it shares a line, and its own label."""
    if item.group == "hours":
        return item.label, POINTS[item.key.rpartition("_")[2]]
    return MACHINE_OF.get(item.group, ""), item.label


def _bought(group: str, unit: str) -> list[RateItem]:
    """Return a price for each thing of a kind that can be bought."""
    if group == "steel":
        named = list(Steel.objects.values_list("key", "name"))
    else:
        named = [
            (one.key, one.label)
            for one in MATERIALS.values()
            if (one.body if group == "handle" else one.ferrule)
        ]
    return [
        RateItem(
            key=f"{group}.{key}", label=label, kind="money", unit=unit,
            default=Decimal(0), group=group,
        )
        for key, label in named
    ]  # fmt: skip


def history(keys: Collection[str]) -> list[Rate]:
    """Return the rows of those rates that were ever changed, latest first."""
    found = Rate.objects.order_by("-valid_from", "-pk")
    rows = [row for row in found if row.key in keys]
    changed = [key for key, count in Counter(row.key for row in rows).items()
               if count > 1]  # fmt: skip
    return [row for row in rows if row.key in set(changed)][:MOST_ROWS]


def shipped_values() -> dict[str, tuple[Decimal, str]]:
    """Return every rate and price the program ships with and its note, by key."""
    prices = tomllib.loads(PRICES.read_text("utf-8"))
    bought = {
        f"{group}.{key}": (Decimal(price), prices["note"])
        for group in BOUGHT
        for key, price in prices[group].items()
    }
    note = translate("Shipped default: common practice or invented, put in your own.")
    own = (*RATE_ITEMS, *YEAR_ITEMS)
    return {item.key: (item.default, note) for item in own} | bought


def shipped_left(day: dt.date) -> int:
    """Return how many rates that make prices are still as shipped."""
    return len(_shipped_keys(day) - set(YEAR_ITEM_OF))


def year_shipped_left(day: dt.date) -> int:
    """Return how many values of the shop's year are still as shipped."""
    return len(_shipped_keys(day) & set(YEAR_ITEM_OF))


def _shipped_keys(day: dt.date) -> set[str]:
    rows = Rate.objects.on(day).values()
    return {row.key for row in rows if row.valid_from == SHIPPED_FROM}


@transaction.atomic
def save_rates(
    changes: Mapping[str, Decimal], *, valid_from: dt.date, note: str, seen: str
) -> None:
    """Write new values that count from a day on.

    QuoteError if somebody else changed a rate since the page was opened, or if a
    rate changes on a later day already, behind whose back this value would end.
    """
    hold_shop()
    if book_on(valid_from).seen != seen:
        raise QuoteError(
            _("Somebody else has changed a rate since you opened this page: look at "
              "what holds now under each box, then save again to keep yours."),
            field="seen",
        )  # fmt: skip
    for key, value in changes.items():
        later = Rate.objects.filter(key=key, valid_from__gt=valid_from).first()
        if later:
            raise QuoteError(
                _("This changes on {day} already: choose that day or a later one."),
                field=key, day=later.valid_from,
            )  # fmt: skip
        Rate.objects.update_or_create(
            key=key, valid_from=valid_from, defaults={"value": value, "note": note}
        )
