"""Papers: what they say, as a page to print and as a PDF.

A paper is made in its reader's language and the shop's units. The same template
gives the PDF, the page that is printed where no PDF can be made, and the preview the
owner checks before it goes out.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from billets.physics.drawing import blade_drawing, drawing_width
from billets.physics.knife_spec import KnifeSpec
from billets.units import System
from quotes import pdf, texts
from quotes.offers import (
    Dates,
    delivery_sentence,
    deposit_sentences,
    long_day,
    next_sentences,
    offer_of,
    specified,
    tax_sentences,
)
from quotes.pricing import PricedOrder
from quotes.services import Offer, Printed, digest
from quotes.specification import spec_table, specification, tolerance_note
from quotes.wording import money_text
from shop.models import Customer, Shop
from shop.services import spec_of
from shop.wording import drawing_words

STYLES = ("paper.css",)
SCALES = (0.5, 0.2)
"""A whole knife is drawn at half its size, or at a fifth where that is too long."""

WIDTHS = {"A4": (180.0, 267.0), "letter": (186.0, 249.0)}
"""Drawing width of a sheet upright and across [mm]."""

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
    facts, prices : tuple of (label, text)
        The head of the paper, and what it costs.
    total : str
        The sum.
    tables : tuple of KnifeTable
        What is offered.
    parts : tuple of (heading, sentences)
        Tax, deposit, delivery and what happens next.
    notes : tuple of (heading, text)
        Terms, care and law.
    tolerances : str
        What hand-forged work may be off.
    drawings : tuple of Drawing
        Every knife, with sizes.
    across : bool
        Whether the drawings need the sheet turned.
    """

    language: str
    size: str
    shop: Shop
    customer: Customer
    offer: Offer
    title: str
    facts: tuple[tuple[str, str], ...]
    prices: tuple[tuple[str, str], ...]
    total: str
    tables: tuple[KnifeTable, ...]
    parts: tuple[tuple[str, list[str]], ...]
    notes: tuple[tuple[str, str], ...]
    tolerances: str
    drawings: tuple[Drawing, ...]
    across: bool


def quote_paper(
    priced: PricedOrder, shop: Shop, revision: int, dates: Dates
) -> QuotePaper:
    """Return what a quote says, in the customer's language."""
    customer = priced.order.customer
    system = shop.units
    with translation.override(customer.language):
        offer = offer_of(priced, revision, dates, system)
        specs = [spec_of(knife) for knife, _result in priced.knives]
        return QuotePaper(
            language=customer.language,
            size=shop.paper,
            shop=shop,
            customer=customer,
            offer=offer,
            title=_("Quote {number}").format(number=priced.order.number),
            facts=_facts(priced, offer, dates),
            prices=_prices(priced, offer),
            total=money_text(offer.total, offer.currency),
            tables=_tables(priced, system),
            parts=_parts(priced, offer),
            notes=_notes(timezone.localdate(dates.issued_at)),
            tolerances=tolerance_note(specs, system),
            drawings=_drawings(priced, specs, shop),
            across=_across(specs, shop),
        )


def _facts(
    priced: PricedOrder, offer: Offer, dates: Dates
) -> tuple[tuple[str, str], ...]:
    issued = timezone.localdate(dates.issued_at)
    return (
        (_("Quote"), priced.order.number),
        (_("Revision"), str(offer.revision)),
        (_("Date"), long_day(issued)),
        (_("Holds until"), long_day(offer.valid_until)),
    )


def _prices(priced: PricedOrder, offer: Offer) -> tuple[tuple[str, str], ...]:
    return tuple(
        (f"{line.label}, {knife.serial}", money_text(line.amount, offer.currency))
        for line, (knife, _result) in zip(offer.lines, priced.knives, strict=True)
    )


def _tables(priced: PricedOrder, system: System) -> tuple[KnifeTable, ...]:
    """Return the specifications, some knives to a table."""
    known = specified(priced)
    parts = [known[at : at + ABREAST] for at in range(0, len(known), ABREAST)]
    return tuple(
        KnifeTable(
            names=tuple(one.knife.name for one in part),
            rows=tuple(spec_table(specification(one, system) for one in part)),
        )
        for part in parts
    )


def _parts(priced: PricedOrder, offer: Offer) -> tuple[tuple[str, list[str]], ...]:
    price, currency = priced.lines.price, offer.currency
    return (
        (_("Tax and rounding"), tax_sentences(price, currency)),
        (_("Deposit and balance"), deposit_sentences(price, currency)),
        (_("Delivery"), [delivery_sentence(priced.order)]),
        (_("What happens next"), next_sentences(offer.valid_until)),
    )


def _notes(day: dt.date) -> tuple[tuple[str, str], ...]:
    return tuple(
        (texts.heading(key), texts.text(key, day)) for key in ("terms", "care", "legal")
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
        # Numbers, and words the core has escaped.
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


def _widest(specs: Sequence[KnifeSpec], scale: float) -> float:
    return max(drawing_width(spec, scale=scale) for spec in specs)


def content_of(paper: QuotePaper) -> str:
    """Return a digest of what a paper says, but for its dates.

    What was looked at before it was issued is so compared with what is issued.
    """
    offer, shop, customer = paper.offer, paper.shop, paper.customer
    amounts = (offer.net, offer.tax_rate, offer.tax, offer.total, offer.deposit)
    return digest(
        [
            paper.language, paper.size, paper.title, offer.revision, offer.currency,
            amounts, paper.prices, paper.parts[:-1], paper.notes, paper.tolerances,
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
