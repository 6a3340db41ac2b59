"""An invoice on paper, in the customer's language and on the shop's sheets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.template.loader import render_to_string
from django.utils import translation

from quotes import pdf
from quotes.countries import countries_between
from quotes.invoices import words
from quotes.invoices.drafts import Draft
from quotes.offer.price_table import PriceRow
from quotes.services import Printed, digest

STYLES = ("paper.css", "invoice.css")


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoicePaper:
    """Everything an invoice says, in words.

    Attributes
    ----------
    language, size : str
        Language of the customer, and the paper it is printed on.
    draft : Draft
        What it is made from; frozen when it is issued.
    title, about : str
        What it is, with its number.
    facts : tuple of (label, text)
        The head of the paper.
    seller_country, buyer_country : str
        By name; empty within one country.
    seller_numbers, buyer_numbers : list of (label, text)
        Numbers of tax and register.
    lines, sums, taken, due
        What is billed, what it adds up to, advances, and what is to pay.
    notes : list of str
        Why there is no tax, delivery, payment.
    taxed, counted : bool
        Whether tax is shown, and whether anything is counted in pieces.
    """

    language: str
    size: str
    draft: Draft
    title: str
    about: str
    facts: tuple[tuple[str, str], ...]
    seller_country: str
    buyer_country: str
    seller_numbers: list[tuple[str, str]]
    buyer_numbers: list[tuple[str, str]]
    lines: tuple[words.LineRow, ...]
    sums: tuple[PriceRow, ...]
    taken: tuple[words.TakenRow, ...]
    due: tuple[PriceRow, ...]
    notes: list[str]
    taxed: bool
    counted: bool

    @property
    def beside(self) -> int:
        """How many columns stand beside the place of a line."""
        return 2 + self.taxed + self.counted


def invoice_paper(draft: Draft, number: str, size: str) -> InvoicePaper:
    """Return what an invoice says, in the customer's language."""
    language = draft.buyer["language"]
    with translation.override(language):
        seller, buyer = countries_between(_place(draft.seller), _place(draft.buyer))
        lines = words.line_rows(draft)
        return InvoicePaper(
            language=language,
            size=size,
            draft=draft,
            title=words.title_of(draft, number),
            about=words.about(draft),
            facts=words.facts(draft, number),
            seller_country=seller,
            buyer_country=buyer,
            seller_numbers=words.numbers_of(draft.seller),
            buyer_numbers=words.numbers_of(draft.buyer),
            lines=lines,
            sums=words.sum_rows(draft),
            taken=words.taken_rows(draft),
            due=words.due_rows(draft),
            notes=words.notes(draft),
            taxed=words.taxed(draft.bill),
            counted=any(one.quantity for one in lines),
        )


def _place(party: dict[str, str]) -> tuple[str, str]:
    return party["country"], party["address"]


def content_of(draft: Draft) -> str:
    """Return a digest of what an invoice says but its number.

    What was looked at before it was issued is so compared with what is issued.
    """
    bill = draft.bill
    parts: list[Any] = [
        draft.kind, draft.order.number, draft.supplied_on, draft.due_on,
        draft.currency, draft.regime, draft.seller, draft.buyer,
        draft.reason, draft.note, [repr(one) for one in bill.lines],
        [repr(one) for one in bill.taxes], f"{bill.paid:.3f}",
        [one.advance.number for one in draft.taken],
        draft.cancels.number if draft.cancels else "",
    ]  # fmt: skip
    return digest(parts)


def invoice_html(paper: InvoicePaper, *, linked: bool = False) -> str:
    """Return an invoice as a page; ``linked`` to its style sheets if it is served."""
    with translation.override(paper.language):
        return render_to_string("pdf/invoice.html", {"paper": paper, "linked": linked})


def print_invoice(paper: InvoicePaper) -> Printed:
    """Return an invoice as it is kept: a PDF, or a page where none can be made."""
    try:
        body = pdf.render(invoice_html(paper), STYLES, variant="pdf/ua-1")
        return Printed(body=body, media="pdf")
    except pdf.PdfUnavailable:
        return Printed(body=invoice_html(paper, linked=True).encode(), media="html")
