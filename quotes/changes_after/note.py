"""The change note: what the customer says yes or no to, on paper, in their language."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from billets.physics.drawing import blade_drawing, drawing_width
from billets.physics.knife_spec import KnifeSpec
from quotes import pdf, texts
from quotes.changes_after.figured import Figured, gates_passed
from quotes.changes_after.ladder_words import ladder_note
from quotes.changes_after.words import (
    Row,
    Told,
    back_to_you,
    gates_sentence,
    money_rows,
    told_of,
    told_rows,
    week_rows,
)
from quotes.documents import SCALES, STYLES, WIDTHS
from quotes.services import Printed
from quotes.wording import long_day
from shop.models import Customer, Shop
from shop.services import spec_of
from shop.wording import drawing_words


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeNote:
    """Everything a change note says, in words.

    Attributes
    ----------
    language, size : str
        Language of the customer, and the paper it is printed on.
    shop, customer
        Who offers, and to whom.
    title : str
        What it is, with its numbers.
    facts : tuple of (label, text)
        The head of the paper.
    knife, wish : str
        Which knife, and what is wanted.
    told : list of Told
        What becomes different.
    money, weeks : list of Row
        What it costs, and when it will be done.
    tax, back, gates : str
        How amounts are read, what of it was paid too much by then, and how far the
        work is.
    notes : tuple of (heading, text)
        What a yes does, and the terms of changing and cancelling.
    drawing : SafeString
        The knife as it would be.
    """

    language: str
    size: str
    shop: Shop
    customer: Customer
    title: str
    facts: tuple[tuple[str, str], ...]
    knife: str
    wish: str
    told: list[Told]
    money: list[Row]
    weeks: list[Row]
    tax: str
    back: str
    gates: str
    notes: tuple[tuple[str, str], ...]
    drawing: SafeString


def change_note(
    figured: Figured, wish: str, number: int, shop: Shop, at: dt.datetime
) -> ChangeNote:
    """Return what the note of a change says, in the customer's language."""
    knife, day = figured.knife, timezone.localdate(at)
    order = knife.order
    language = order.customer.language
    with translation.override(language):
        return ChangeNote(
            language=language, size=shop.paper, shop=shop, customer=order.customer,
            title=_("Change {place} to order {number}").format(
                place=number, number=order.number
            ),
            facts=(
                (_("Order"), order.number),
                (_("Change"), str(number)),
                (_("Date"), long_day(day)),
            ),
            knife=str(knife),
            wish=wish,
            told=told_rows(told_of(figured, language, shop.units)),
            money=money_rows(
                figured.agreed, figured.more, figured.fee, figured.currency
            ),
            weeks=week_rows(order.promised_week, figured.wish.new_week),
            tax=_tax(figured),
            back=back_to_you(figured.total, figured.paid, figured.currency),
            gates=gates_sentence(gates_passed(knife)),
            notes=(
                (texts.heading("change"), texts.text("change", day)),
                ladder_note(figured.priced.rates, day),
            ),
            drawing=_drawing(spec_of(figured.after.knife), shop),
        )  # fmt: skip


def _tax(figured: Figured) -> str:
    tax = figured.priced.rates.tax
    if tax is not None and tax.charged:
        return _("All amounts with the tax in them.")
    return _(tax.paper_note) if tax else ""


def _drawing(spec: KnifeSpec, shop: Shop) -> SafeString:
    room = WIDTHS[shop.paper][0]
    fits = (one for one in SCALES if drawing_width(spec, scale=one) <= room)
    drawn = blade_drawing(
        spec, scale=next(fits, SCALES[-1]), words=drawing_words(shop.units),
        name="change", ruler=True,
    )  # fmt: skip
    return mark_safe(drawn)  # noqa: S308  numbers, and words the core has escaped


def note_html(note: ChangeNote, *, linked: bool = False) -> str:
    """Return a note as a page; ``linked`` to its style sheet if it is to be served."""
    with translation.override(note.language):
        return render_to_string("pdf/change.html", {"note": note, "linked": linked})


def print_note(note: ChangeNote) -> Printed:
    """Return a note as it is kept: a PDF, or the page to print where none can be."""
    try:
        body = pdf.render(note_html(note), STYLES, variant="pdf/ua-1")
    except pdf.PdfUnavailable:
        page = note_html(note, linked=True)
        return Printed(body=page.encode(), media="html")
    return Printed(body=body, media="pdf")
