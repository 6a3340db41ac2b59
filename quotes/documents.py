"""Papers: what they say, as a page to print and as a PDF.

A paper is made in its reader's language and the shop's units. The same template
gives the PDF, the page that is printed where no PDF can be made, and the preview the
owner checks before it goes out.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from billets.physics.drawing import blade_drawing, drawing_width
from billets.physics.knife_spec import KnifeSpec
from quotes import pdf, texts
from quotes.offer.beside import (
    Beside,
    delivery_part,
    deposit_part,
    notes,
    tax_part,
)
from quotes.offer.frozen import Offer
from quotes.offer.price_table import PriceTable, price_table
from quotes.offer.sentences import (
    Dates,
    changed_heading,
    next_sentences,
    offer_of,
    option_sentences,
)
from quotes.offer.specification import spec_table, tolerance_note
from quotes.pricing import PricedOrder
from quotes.services import Printed, digest
from quotes.terms.offering import Offered, is_sent, offered_on
from quotes.wording import long_day
from shop.models import Customer, Shop
from shop.services import spec_of
from shop.wording import drawing_words

STYLES = ("paper.css",)
SCALES = (0.5, 0.2)
"""A whole knife is drawn at half its size, or at a fifth where that is too long."""

WIDTHS = {"A4": (180.0, 267.0), "letter": (186.0, 249.0)}
"""Drawing width of a sheet upright and across [mm]."""

HEIGHTS = {"A4": (275.0, 192.0), "letter": (257.4, 197.9)}
"""Height between the margins of a sheet upright and across [mm]."""

NOTES_HEIGHT = 55.0
"""What terms, care and law usually take below drawings [mm]."""

HIGH = re.compile(r'<svg [^>]*?height="([\d.]+)mm"')

ABREAST = 3
"""So many knives stand side by side in one table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnifeTable:
    """The specification of some knives, side by side."""

    names: tuple[str, ...]
    rows: tuple[tuple[str, list[str]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A knife drawn to scale; every second one, and the last, has the check bar."""

    name: str
    svg: SafeString


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotePaper:
    """Everything a quote says, in words.

    Attributes
    ----------
    language, size : str
        Language of the customer, and the paper it is printed on.
    shop, customer
        Who offers, and to whom.
    offer : Offer
        The numbers it is made from; frozen when the quote is issued.
    title : str
        What it is, with its number.
    kind : tuple of (heading, text)
        Whether the price binds; empty where nobody has said.
    facts : tuple of (label, text)
        The head of the paper.
    prices : PriceTable
        What it costs, with its options.
    option_notes : tuple of str
        How an option is chosen.
    tables : tuple of KnifeTable
        What is offered.
    parts : tuple of (heading, sentences)
        What has changed, tax, deposit, delivery and what happens next.
    notes : tuple of (heading, text)
        Terms, care and law.
    tolerances : str
        What hand-forged work may be off.
    drawings : tuple of Drawing
        Every knife, with sizes.
    across : bool
        Whether the drawings need the sheet turned.
    below : bool
        Whether the last sheet of drawings has room for the notes.
    """

    language: str
    size: str
    shop: Shop
    customer: Customer
    offer: Offer
    title: str
    kind: tuple[str, str] | tuple[()]
    facts: tuple[tuple[str, str], ...]
    prices: PriceTable
    option_notes: tuple[str, ...]
    tables: tuple[KnifeTable, ...]
    parts: tuple[tuple[str, list[str]], ...]
    notes: tuple[tuple[str, str], ...]
    tolerances: str
    drawings: tuple[Drawing, ...]
    across: bool
    below: bool


def quote_paper(
    priced: PricedOrder, shop: Shop, revision: int, dates: Dates
) -> QuotePaper:
    """Return what a quote says, in the customer's language.

    NotReady if the terms of the order cannot be met.
    """
    customer, day = priced.order.customer, timezone.localdate(dates.issued_at)
    offered = offered_on(priced)
    with translation.override(customer.language):
        offer = offer_of(priced, offered, revision, dates, shop.units)
        beside = _beside(priced, offered, day)
        specs = [spec_of(knife) for knife, _result in priced.knives]
        drawings, across = _drawings(priced, specs, shop), _across(specs, shop)
        return QuotePaper(
            language=customer.language,
            size=shop.paper,
            shop=shop,
            customer=customer,
            offer=offer,
            title=_("Quote {number}").format(number=priced.order.number),
            kind=_kind(offer, day),
            facts=_facts(priced, offer, day),
            prices=price_table(offer, shop.units),
            option_notes=tuple(option_sentences(offer, priced.rates.value("deposit"))),
            tables=_tables(priced, offer),
            parts=_parts(priced, offer, beside),
            notes=notes(beside),
            tolerances=tolerance_note(specs, shop.units),
            drawings=drawings,
            across=across,
            below=_room_below(drawings, HEIGHTS[shop.paper][across]),
        )


def _kind(offer: Offer, day: dt.date) -> tuple[str, str] | tuple[()]:
    if not offer.kind:
        return ()
    return texts.heading(offer.kind), texts.text(offer.kind, day)


def _facts(
    priced: PricedOrder, offer: Offer, day: dt.date
) -> tuple[tuple[str, str], ...]:
    return (
        (_("Quote"), priced.order.number),
        (_("Revision"), str(offer.revision)),
        (_("Date"), long_day(day)),
        (_("Holds until"), long_day(offer.valid_until)),
    )


def _tables(priced: PricedOrder, offer: Offer) -> tuple[KnifeTable, ...]:
    """Return the specifications, some knives to a table."""
    words = offer.words["knives"]
    parts = [
        priced.knives[at : at + ABREAST] for at in range(0, len(priced.knives), ABREAST)
    ]
    return tuple(
        KnifeTable(
            names=tuple(knife.name for knife, _result in part),
            rows=tuple(spec_table(words[knife.serial] for knife, _result in part)),
        )
        for part in parts
    )


def _beside(priced: PricedOrder, offered: Offered, day: dt.date) -> Beside:
    return Beside(
        order=priced.order,
        day=day,
        deposit=offered.deposit,
        tax_note=priced.lines.price.note,
        rates=priced.rates,
        sent=is_sent(offered),
    )


def _parts(
    priced: PricedOrder, offer: Offer, beside: Beside
) -> tuple[tuple[str, list[str]], ...]:
    changed = (
        [(changed_heading(priced, offer), list(offer.changes))] if offer.changes else []
    )
    return (
        *changed,
        tax_part(offer, beside),
        deposit_part(offer, beside),
        delivery_part(beside),
        (_("What happens next"), next_sentences(offer)),
    )


def _drawings(
    priced: PricedOrder, specs: Sequence[KnifeSpec], shop: Shop
) -> tuple[Drawing, ...]:
    words = drawing_words(shop.units)
    scale = _scale(specs, shop)
    found = []
    for place, spec in enumerate(specs, start=1):
        svg = blade_drawing(
            spec, scale=scale, words=words, name=f"knife-{place}",
            ruler=not place % 2 or place == len(specs),
        )  # fmt: skip
        # Safe: ``blade_drawing`` writes numbers, and escapes every word it is given.
        drawn = mark_safe(svg)  # noqa: S308
        name = priced.knives[place - 1][0].name
        found.append(Drawing(name=name, svg=drawn))
    return tuple(found)


def _scale(specs: Sequence[KnifeSpec], shop: Shop) -> float:
    """Return one scale for all drawings of a sheet."""
    longest = WIDTHS[shop.paper][1]
    fits = (one for one in SCALES if _widest(specs, one) <= longest)
    return next(fits, SCALES[-1])


def _across(specs: Sequence[KnifeSpec], shop: Shop) -> bool:
    return _widest(specs, _scale(specs, shop)) > WIDTHS[shop.paper][0]


def _room_below(drawings: Iterable[Drawing], sheet: float) -> bool:
    """Say whether the sheet with the last drawing has room for the notes."""
    left = sheet
    for drawing in drawings:
        height = float(HIGH.search(drawing.svg)[1])  # type: ignore[index]
        left = (left if height <= left else sheet) - height
    return left >= NOTES_HEIGHT


def _widest(specs: Sequence[KnifeSpec], scale: float) -> float:
    return max(drawing_width(spec, scale=scale) for spec in specs)


OF_CONTENT = tuple(
    one.name for one in fields(Offer) if one.name not in ("issued_at", "words")
)
"""What of an offer makes it another one; not the minute it is looked at."""


def content_of(paper: QuotePaper) -> str:
    """Return a digest of what a paper says, but for the day it is issued.

    What was looked at before it was issued is so compared with what is issued.
    """
    offer, shop, customer = paper.offer, paper.shop, paper.customer
    return digest(
        [
            paper.language, paper.size, paper.title, paper.kind, paper.option_notes,
            [getattr(offer, name) for name in OF_CONTENT],
            paper.parts, paper.notes, paper.tolerances,
            [(table.names, table.rows) for table in paper.tables],
            [(drawing.name, drawing.svg) for drawing in paper.drawings],
            (shop.name, shop.owner, shop.address, shop.email, shop.phone),
            (shop.tax_number, customer.name, customer.address),
        ]
    )  # fmt: skip


# --- the paper itself ------------------------------------------------------------


def quote_html(paper: QuotePaper, *, linked: bool = False) -> str:
    """Return a quote as a page; ``linked`` to its style sheet if it is to be served."""
    with translation.override(paper.language):
        return render_to_string("pdf/quote.html", {"paper": paper, "linked": linked})


def quote_pdf(paper: QuotePaper) -> bytes:
    """Return a quote as a PDF; PdfUnavailable where none can be made."""
    return pdf.render(quote_html(paper), STYLES, variant="pdf/ua-1")


def print_quote(paper: QuotePaper) -> Printed:
    """Return a quote as it is kept: a PDF, or the page to print where none can be."""
    try:
        return Printed(body=quote_pdf(paper), media="pdf")
    except pdf.PdfUnavailable:
        return Printed(body=quote_html(paper, linked=True).encode(), media="html")
