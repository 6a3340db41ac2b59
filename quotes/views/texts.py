"""The page of texts: what papers say in words, changed from a day on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once
from quotes import text_book
from quotes.errors import QuoteError
from quotes.text_book import Worded
from quotes.text_forms import TextForm
from quotes.texts import TEXTS, heading
from shop import choices
from shop.models import PaperText
from shop.templatetags.shop_words import day as short_day
from shop.views.common import for_owner, system_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One text in one language, as the page shows it."""

    text: Worded
    language: str
    says: str
    link: str


@for_owner
@require_http_methods(["GET", "POST"])
def texts_page(request: HttpRequest) -> HttpResponse:
    """Show every text as it counts today, and add a version from a day on."""
    posted = request.POST if request.method == "POST" else None
    form = TextForm(posted, initial=_opened_for(request), system=system_of(request))
    if request.method == "POST" and form.is_valid():
        try:
            return once(request, partial(_save, request, form))
        except QuoteError as error:
            form.refuse(error)
    return render(request, "quotes/texts.html", _context(request, form))


def _save(request: HttpRequest, form: TextForm) -> str:
    today = timezone.localdate()
    row = text_book.save_text(
        form.row, today=today, before=request.POST.get("seen", "")
    )
    said = _("{text}, {language}: the new version counts from {day}.")
    messages.success(
        request,
        said.format(
            text=heading(row.key), language=_named(row.language),
            day=short_day(row.valid_from),
        ),
    )  # fmt: skip
    return reverse("texts")


def _opened_for(request: HttpRequest) -> dict[str, Any]:
    """Return what the boxes begin with: the version that a link was followed from."""
    today = timezone.localdate()
    key, language = request.GET.get("key", ""), request.GET.get("language", "")
    if key not in TEXTS or language not in dict(choices.language()):
        return {"valid_from": today}
    shown = next(
        one for one in text_book.book_on(today)[key] if one.language == language
    )
    return {
        "valid_from": today, "key": key, "language": language, "text": shown.words,
    }  # fmt: skip


def _context(request: HttpRequest, form: TextForm) -> dict[str, Any]:
    book = text_book.book_on(timezone.localdate())
    return {
        "form": form,
        "form_key": key_of(request),
        "seen": request.POST.get("seen") if form.is_bound else text_book.seen(),
        "texts": [(heading(key), [_shown(one) for one in said])
                  for key, said in book.items()],
        "history": [(heading(row.key), _named(row.language), row)
                    for row in text_book.history() if row.key in TEXTS],
    }  # fmt: skip


def _shown(text: Worded) -> Shown:
    return Shown(
        text=text,
        language=_named(text.language),
        says=" ".join(_sayings(text)),
        link=f"?key={text.key}&language={text.language}#new",
    )


def _sayings(text: Worded) -> list[str]:
    """Say whose words they are, since when, and what will come."""
    said = [_whose(text)]
    if text.elsewhere:
        no_own = _("There is no text of your own in {language}.")
        said.append(no_own.format(language=_named(text.language)))
    return said + [_to_come(row) for row in text.later]


def _whose(text: Worded) -> str:
    if text.row is None:
        return _("The usual sentence.")
    since = short_day(text.row.valid_from)
    own = _("Your own text, since {day}.") if text.own else _(
        "The usual sentence again, since {day}."
    )  # fmt: skip
    return own.format(day=since)


def _to_come(row: PaperText) -> str:
    begins = short_day(row.valid_from)
    if row.text:
        return _("From {day} on another text.").format(day=begins)
    return _("From {day} on the usual sentence.").format(day=begins)


def _named(language: str) -> str:
    return str(translation.get_language_info(language)["name_translated"])
