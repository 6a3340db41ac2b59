"""What the shop's own knives taught about its hours; for the owner."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from billets.messages import sentence
from quotes.errors import QuoteError
from quotes.pricing import rates_on
from quotes.work.learned import rows_learned
from quotes.work.words import learned_rows, waiting_rows
from shop import work
from shop.views.common import for_owner, system_of


@for_owner
@require_safe
def hours_page(request: HttpRequest) -> HttpResponse:
    """Show each row of hours: where it starts, and what knives made of it."""
    context: dict[str, Any] = {"waiting": waiting_rows(work.waited())}
    try:
        rates, _prices = rates_on(timezone.localdate())
        context["rows"] = learned_rows(rows_learned(rates))
    except QuoteError as error:
        context["refusal"] = sentence(error, system_of(request))
    return render(request, "quotes/hours.html", context)
