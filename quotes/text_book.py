"""The shop's own texts as a book: what counts, since when, what comes, what was before.

A change never overwrites what has counted: it is a new version from a day on. An empty
one gives the word back to the usual sentence.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.db import transaction

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.services import digest
from quotes.texts import TEXTS, heading, usual
from shop import choices
from shop.models import PaperText
from shop.services import hold_shop

MOST_ROWS = 100
"""So many versions of history a page shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worded:
    """One text in one language, as it counts on a day.

    Attributes
    ----------
    key, language : str
        Which text it is.
    row : PaperText or None
        The version that counts; an empty one gave the word back to the usual sentence.
    later : tuple of PaperText
        Versions that will count, the next one first.
    elsewhere : bool
        Whether the shop has words of its own in another language, but none in this.
    """

    key: str
    language: str
    row: PaperText | None
    later: tuple[PaperText, ...]
    elsewhere: bool = False

    @property
    def own(self) -> str:
        """The shop's own words; empty where the usual sentence counts."""
        return self.row.text.strip() if self.row else ""

    @property
    def words(self) -> str:
        """What papers say."""
        return self.own or usual(self.key, self.language)


def book_on(day: dt.date) -> dict[str, list[Worded]]:
    """Return every text in every language as it stands on a day, by its key."""
    rows = list(PaperText.objects.order_by("valid_from"))
    book = {
        key: [
            _worded(key, language, rows, day) for language, _name in choices.language()
        ]
        for key in TEXTS
    }
    return {
        key: [replace(one, elsewhere=not one.own and any(other.own for other in said))
              for one in said]
        for key, said in book.items()
    }  # fmt: skip


def _worded(key: str, language: str, rows: Sequence[PaperText], day: dt.date) -> Worded:
    of_it = [row for row in rows if (row.key, row.language) == (key, language)]
    now = [row for row in of_it if row.valid_from <= day]
    later = tuple(row for row in of_it if row.valid_from > day)
    return Worded(key=key, language=language, row=now[-1] if now else None, later=later)


def lacking(language: str, day: dt.date) -> list[str]:
    """Return the headings of texts the shop has written, but not in this language."""
    return [
        heading(key)
        for key, said in book_on(day).items()
        for one in said
        if one.language == language and one.elsewhere
    ]


def history() -> list[PaperText]:
    """Return every version there is, latest first."""
    return list(PaperText.objects.order_by("-valid_from", "-pk")[:MOST_ROWS])


def seen() -> str:
    """Return a digest that changes with any version."""
    return digest([list(row) for row in PaperText.objects.order_by("pk").values_list()])


@transaction.atomic
def save_text(row: PaperText, *, today: dt.date, before: str) -> PaperText:
    """Write a version down; one that has been in force is never written over.

    QuoteError if somebody else has changed a text since the page was opened, if the
    day has a version already that counts or did, or if nothing would change.
    """
    hold_shop()
    if seen() != before:
        raise QuoteError(
            _("Somebody else has changed a text since you opened this page: read what "
              "holds now, then save again to add yours."), field="seen",
        )  # fmt: skip
    same = PaperText.objects.filter(
        key=row.key, language=row.language, valid_from=row.valid_from
    ).first()
    if same and row.valid_from <= today:
        raise QuoteError(
            _("There is a text from {day} already, and papers may have been printed "
              "with it: choose a later day."), field="valid_from", day=row.valid_from,
        )  # fmt: skip
    if same is None and _own_on(row) == row.text:
        raise QuoteError(
            _("Papers say exactly this on {day} already: nothing was added."),
            field="text", day=row.valid_from,
        )  # fmt: skip
    row.pk = same.pk if same else None
    row.save()
    return row


def _own_on(row: PaperText) -> str:
    """Return the shop's own words as they count on the day of a new version."""
    rows = PaperText.objects.filter(key=row.key, language=row.language)
    last = rows.filter(valid_from__lte=row.valid_from).order_by("valid_from").last()
    return last.text if last else ""
