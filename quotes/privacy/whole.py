"""What the shop keeps of people, in all: every table, what for and how long."""

from __future__ import annotations

from dataclasses import dataclass

from django.conf import settings
from django.utils.translation import gettext as _

from quotes.models import Extra, Mail, QuoteDraft, Variant
from quotes.privacy.keeping import purposes, until_erased
from quotes.privacy.tables import KEPT, Model
from shop.models import Knife, LinkGuess


@dataclass(frozen=True, slots=True, kw_only=True)
class Purpose:
    """One kind of thing: which tables hold it, what for, until when."""

    tables: tuple[Model, ...]
    what: str
    why: str
    until: str

    @property
    def count(self) -> int:
        """How many there are, in its first table."""
        return self.tables[0]._default_manager.count()


def everything_kept() -> list[Purpose]:
    """Return all that is kept of people; every table stands in one of them."""
    more = {"Order": (Knife,), "Mail": (Mail.photos.through,)}
    own = [
        Purpose(
            tables=(model, *more.get(model.__name__, ())), what=what, why=why,
            until=until,
        )
        for model, what, why, until in purposes()
    ]  # fmt: skip
    return [*own, _drafts(), _papers(), _guesses()]


def _drafts() -> Purpose:
    return Purpose(
        tables=(QuoteDraft, Extra, Variant),
        what=_("drafts of quotes: terms, extras, options"),
        why=_("to write the quote"),
        until=until_erased(),
    )


def _papers() -> Purpose:
    until = _(
        "{years} years from the end of the year they were made in, also when the "
        "customer is erased; a setting, so check with your adviser"
    )
    return Purpose(
        tables=KEPT,
        what=_(
            "papers as files, quotes with lines, options and answers, invoices with "
            "lines and advances"
        ),
        why=_("the law wants papers of a business kept as they were"),
        until=until.format(years=settings.PAPER_YEARS),
    )


def _guesses() -> Purpose:
    return Purpose(
        tables=(LinkGuess,),
        what=_("network addresses that tried links nobody was given"),
        why=_("to slow down whoever guesses"),
        until=_("ten minutes; they go when the work page or a link is next opened"),
    )
