"""What was weighed, in words and in the shop's units."""

from __future__ import annotations

from dataclasses import dataclass

from billets.units import System
from billets.wording import said
from shop.entries import MEASURED_IN, entries_of
from shop.models import Entry, Knife


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryRow:
    """One entry as a page lists it.

    Attributes
    ----------
    entry : Entry
        The row.
    value : str
        What was weighed, with its unit.
    counts : bool
        Whether it is the one that counts.
    """

    entry: Entry
    value: str
    counts: bool


def entry_rows(knife: Knife, system: System) -> list[EntryRow]:
    """Return all entries of a knife and its billet, latest first."""
    rows, counted = [], set()
    for entry in entries_of(knife):
        counts = entry.taken_back is None and entry.kind not in counted
        if counts:
            counted.add(entry.kind)
        value = entry_text(entry, system)
        rows.append(EntryRow(entry=entry, value=value, counts=counts))
    return rows


def entry_text(entry: Entry, system: System) -> str:
    """Write what was weighed, rounded as for paper; the typed text is exact."""
    return said(entry.value, MEASURED_IN[entry.kind], system)
