"""The page of the shop's hour: what a year costs, and the rates it comes to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from functools import partial
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, new_key, once
from quotes.errors import QuoteError
from quotes.rate_book import Book, save_rates, year_book_on, year_shipped_left
from quotes.views.rates import history_rows, lines_of, saved_words
from quotes.year import words
from quotes.year.book import charged, new_rates, take_rates, values_on
from quotes.year.forms import DayForm, TakeForm, YearForm
from quotes.year.sums import ShopYear, shop_year
from shop.context import shop_of
from shop.views.common import for_owner, system_of


@for_owner
@require_http_methods(["GET", "POST"])
def hour_page(request: HttpRequest) -> HttpResponse:
    """Show the shop's hour on a day; try a year, save it, or take its rates."""
    if request.method == "POST" and "take" in request.POST:
        return _take(request)
    days = _day_form(request)
    day = _day_of(days)
    form = _year_form(request, day, request.POST if request.method == "POST" else None)
    if form.is_valid() and "save" in request.POST:
        try:
            return once(request, partial(_save, request, form))
        except QuoteError as error:
            form.refuse(error)
    return _shown(request, day, form, days)


# --- saved and taken -----------------------------------------------------------------


def _save(request: HttpRequest, form: YearForm) -> str:
    day = form.cleaned_data["valid_from"]
    save_rates(
        form.changes,
        valid_from=day,
        note=form.cleaned_data["note"],
        seen=request.POST.get("seen", ""),
    )
    messages.success(request, saved_words(len(form.changes)))
    return _address(day)


def _take(request: HttpRequest) -> HttpResponse:
    form = TakeForm(request.POST, system=system_of(request))
    if form.is_valid():
        try:
            return once(request, partial(_taken, request, form))
        except QuoteError as error:
            form.refuse(error, shop_of(request).currency, system_of(request))
    day = form.cleaned_data.get("valid_from") or timezone.localdate()
    year = _year_form(request, day, None)
    return _shown(request, day, year, _day_form(request), form)


def _taken(request: HttpRequest, form: TakeForm) -> str:
    day = form.cleaned_data["valid_from"]
    count = take_rates(
        day,
        currency=shop_of(request).currency,
        note=_("From the page of the shop's hour."),
        seen=request.POST.get("seen", ""),
    )
    messages.success(request, saved_words(count))
    return _address(day)


def _address(day: dt.date) -> str:
    """Return the page on that day."""
    asked = urlencode({"day": day.isoformat()}) if day != timezone.localdate() else ""
    return f"{reverse('shop-hour')}?{asked}" if asked else reverse("shop-hour")


# --- shown ---------------------------------------------------------------------------


def _day_form(request: HttpRequest) -> DayForm:
    sent = request.GET if "day" in request.GET else None
    return DayForm(
        sent, system=system_of(request), initial={"day": timezone.localdate()}
    )


def _day_of(form: DayForm) -> dt.date:
    day: dt.date = form.cleaned_data["day"] if form.is_valid() else timezone.localdate()
    return day


def _year_form(request: HttpRequest, day: dt.date, sent: Any) -> YearForm:
    return YearForm(
        sent,
        book=year_book_on(day),
        others=values_on(day),
        currency=shop_of(request).currency,
        system=system_of(request),
        initial={"valid_from": day},
    )


def _shown(
    request: HttpRequest,
    day: dt.date,
    form: YearForm,
    days: DayForm,
    take: TakeForm | None = None,
) -> HttpResponse:
    refused: forms.Form = take or (
        days if days.is_bound and not form.is_bound else form
    )
    context = {
        "form": refused,
        "year_form": form,
        "day_form": days,
        "day": day,
        "form_key": key_of(request) if form.is_bound else new_key(),
        "take_key": key_of(request) if take else new_key(),
        "seen": form.book.seen,
        "shipped_left": year_shipped_left(day),
        **_book_context(form, form.book),
        **_year_context(request, day, form),
    }
    return render(request, "quotes/hour.html", context)


def _book_context(form: YearForm, book: Book) -> dict[str, Any]:
    return {
        "chapters": [(one.label, lines_of(form, one)) for one in book.chapters],
        "history": history_rows(book, form.currency),
    }


def _year_context(request: HttpRequest, day: dt.date, form: YearForm) -> dict[str, Any]:
    """Return what the year comes to: as typed if it is tried, else as it holds."""
    if form.is_bound:
        if form.found is None:
            return {}
        return {"tried": True} | _figures(form.found, form.others, day, form.currency)
    try:
        year = shop_year(form.others, form.currency)
    except QuoteError as error:
        said = words.refusal_words(error, form.currency, system_of(request))
        return {"refusal": said}
    return _figures(year, form.others, day, form.currency)


def _figures(
    year: ShopYear, values: Mapping[str, Decimal], day: dt.date, currency: str
) -> dict[str, Any]:
    return {
        "hour": words.hour_figure(year, currency),
        "charged": words.charged_figures(
            charged(year.rate, values, day, currency), currency
        ),
        "warnings": words.warnings(year),
        "shares": words.share_rows(year, currency),
        "sum": words.sum_row(year, currency),
        "machines": words.machine_rows(year, currency),
        "rates": words.rate_rows(year, values, currency),
        "differs": bool(new_rates(year, values)),
    }
