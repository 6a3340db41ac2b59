"""What the shop keeps of people and why; papers past their time, destroyed by hand."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once
from billets.messages import sentence
from quotes import texts
from quotes.privacy.forms import PurgeForm
from quotes.privacy.purging import Past, past_on, purge
from quotes.privacy.whole import everything_kept
from shop.stages import StageError
from shop.views.common import for_owner, system_of, user_of


@for_owner
@require_http_methods(["GET", "POST"])
def kept_page(request: HttpRequest) -> HttpResponse:
    """Show what is kept; with tick and password, destroy papers past their time."""
    past = past_on(timezone.localdate())
    if request.method != "POST":
        return _page(request, past, _form(request, past))
    form = _form(request, past, request.POST)
    if form.is_valid():
        try:
            return once(request, partial(_purge, request, form.cleaned_data["mark"]))
        except StageError as error:
            form.add_error("agree", sentence(error, system_of(request)))
    return _page(request, past, form)


def _form(request: HttpRequest, past: Past, data: Any = None) -> PurgeForm:
    return PurgeForm(data, past=past, user=user_of(request), system=system_of(request))


def _purge(request: HttpRequest, mark: str) -> str:
    gone = purge(timezone.localdate(), mark=mark)
    text = ngettext(
        "{count} paper past its time is destroyed.",
        "{count} papers past their time are destroyed.", gone.papers,
    )  # fmt: skip
    messages.success(request, text.format(count=gone.papers))
    return reverse("kept")


def _page(request: HttpRequest, past: Past, form: PurgeForm) -> HttpResponse:
    context = {
        "kept": everything_kept(),
        "past": past,
        "years": settings.PAPER_YEARS,
        "why": texts.text("keeping", timezone.localdate()),
        "form": form,
        "mark": past.mark,
        "form_key": key_of(request),
    }
    return render(request, "quotes/kept.html", context)
