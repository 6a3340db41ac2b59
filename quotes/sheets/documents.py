"""The build sheet as paper: one template for PDF, page to print and preview."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from quotes import pdf
from quotes.errors import QuoteError
from quotes.models import Paper
from quotes.services import Printed, keep_sheet, letter, sheet_revision
from quotes.sheets.sheet import Sheet
from quotes.sheets.stages import HOURS, WRONG
from shop.models import Knife

STYLES = ("sheet.css",)

STROKES = {
    "T": "M 2,3 H 18 M 10,3 V 18",
    "V": "M 3,2 L 10,18 L 17,2",
    "X": "M 3,2 L 17,18 M 17,2 L 3,18",
}
"""Each sign of a scratch mark as its two strokes, in a square of 20."""

SIGN = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What two sheets of the same content may differ in."""

    revision: int
    printed: dt.datetime

    @property
    def letter(self) -> str:
        """The revision as a sheet shows it."""
        return letter(self.revision)

    @property
    def voids(self) -> str:
        """The revision this one takes the place of; empty on the first."""
        return letter(self.revision - 1) if self.revision > 1 else ""


def sheet_context(sheet: Sheet, stamp: Stamp) -> dict[str, Any]:
    """Return what the template of a sheet needs."""
    return {
        "sheet": sheet,
        "stamp": stamp,
        "mark": mark_drawing(sheet.head.mark),
        "drawings": [
            mark_safe(one)  # noqa: S308  numbers, and words the core has escaped
            for one in sheet.drawings
        ],
        "hours": HOURS,
        "wrong": WRONG,
    }


def sheet_html(sheet: Sheet, stamp: Stamp, *, linked: bool = False) -> str:
    """Return a sheet as a page; ``linked`` to its style sheet if it is to be served."""
    with translation.override(sheet.language):
        context = sheet_context(sheet, stamp) | {"linked": linked}
        if linked:
            context["why"] = _(pdf.PdfUnavailable.sentence)
        return render_to_string("pdf/sheet.html", context)


def print_sheet(sheet: Sheet, stamp: Stamp) -> Printed:
    """Return a sheet as it is kept: a PDF, or the page to print where none can be."""
    try:
        body = pdf.render(sheet_html(sheet, stamp), STYLES, variant="pdf/ua-1")
    except pdf.PdfUnavailable:
        page = sheet_html(sheet, stamp, linked=True)
        return Printed(body=page.encode(), media="html")
    return Printed(body=body, media="pdf")


def next_stamp(
    knife: Knife, content: str, now: dt.datetime
) -> tuple[Stamp, Paper | None]:
    """Return the stamp of a sheet, and its paper if it has been printed before."""
    revision, paper = sheet_revision(knife, content)
    return Stamp(revision=revision, printed=paper.made_at if paper else now), paper


@transaction.atomic
def keep_printed(
    knife: Knife, content: str, printed: Printed | None, stamp: Stamp, *,
    by: User | None,
) -> Paper:  # fmt: skip
    """Keep a printed sheet and return its paper; one printed before stays as it is.

    QuoteError if somebody else printed another revision in the meantime.
    """
    Knife.objects.select_for_update().get(pk=knife.pk)
    revision, paper = sheet_revision(knife, content)
    if paper is not None:
        return paper
    if printed is None or revision != stamp.revision:
        raise QuoteError(
            gettext_noop(
                "Someone else has just printed a sheet of this knife; look at it, then "
                "print again."
            ),
            field="revision",
        )
    return keep_sheet(knife, content, printed, revision, by=by, at=stamp.printed)


def mark_drawing(mark: str) -> SafeString:
    """Return a scratch mark as it is scratched, as SVG; each sign two strokes."""
    signs = "".join(
        f'<path transform="translate({SIGN * place} 0)" d="{STROKES[sign]}"/>'
        for place, sign in enumerate(mark)
        if sign in STROKES
    )
    wide = SIGN * max(len(mark), 1)
    return mark_safe(  # noqa: S308  numbers and strokes of our own
        f'<svg xmlns="http://www.w3.org/2000/svg" class="mark" width="{wide}mm" '
        f'height="{SIGN}mm" viewBox="0 0 {wide} {SIGN}" aria-hidden="true" fill="none" '
        f'stroke="#000" stroke-width="2.4" stroke-linecap="round">{signs}</svg>'
    )
