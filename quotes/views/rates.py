"""The page of rates: what every price is made with, changed from a day on."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.contrib import messages
from django.forms import BoundField
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once
from quotes.errors import QuoteError
from quotes.rate_book import (
    Book,
    Chapter,
    Entry,
    book_on,
    history,
    save_rates,
    shipped_left,
)
from quotes.rate_forms import RatesForm, rate_words
from shop.context import shop_of
from shop.models import Rate
from shop.views.common import for_owner, system_of


@for_owner
@require_http_methods(["GET", "POST"])
def rates_page(request: HttpRequest) -> HttpResponse:
    """Show every rate and change some of them, from a day on."""
    today = timezone.localdate()
    book = book_on(today)
    form = RatesForm(
        request.POST if request.method == "POST" else None,
        book=book, currency=shop_of(request).currency, system=system_of(request),
        initial={"valid_from": today},
    )  # fmt: skip
    if request.method == "POST" and form.is_valid():
        try:
            return once(request, partial(_save, request, form))
        except QuoteError as error:
            form.refuse(error)
    return render(request, "quotes/rates.html", _context(request, form, book))


def _save(request: HttpRequest, form: RatesForm) -> str:
    save_rates(
        form.changes,
        valid_from=form.cleaned_data["valid_from"],
        note=form.cleaned_data["note"],
        seen=request.POST.get("seen", ""),
    )
    count = len(form.changes)
    messages.success(request, saved_words(count))
    return reverse("rates")


def saved_words(count: int) -> str:
    """Say how many rates were changed."""
    if not count:
        return _("Nothing was changed.")
    said = ngettext("{count} rate is changed.", "{count} rates are changed.", count)
    return said.format(count=count)


def _context(request: HttpRequest, form: RatesForm, book: Book) -> dict[str, Any]:
    currency = shop_of(request).currency
    return {
        "form": form,
        "form_key": key_of(request),
        "seen": book.seen,
        "chapters": [(one.label, lines_of(form, one)) for one in book.chapters],
        "shipped_left": shipped_left(timezone.localdate()),
        "history": history_rows(book, currency),
    }


def history_rows(book: Book, currency: str) -> list[tuple[str, str, Rate]]:
    """Return the rates of a book that were ever changed: name, value and row."""
    rows = [(book.entries[row.key], row) for row in history(book.entries)]
    return [
        (_named(entry), rate_words(entry, row.value, currency), row)
        for entry, row in rows
    ]


def lines_of(form: RatesForm, chapter: Chapter) -> list[tuple[str, list[BoundField]]]:
    """Return the boxes of a chapter by the line they stand in."""
    return [(of, [form[one.key] for one in entries]) for of, entries in chapter.rows]


def _named(entry: Entry) -> str:
    return f"{entry.of}: {entry.label}" if entry.of else entry.label
