"""Estimate against actual, for the owner; what was weighed, for everybody."""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from billets.idempotency import key_of, once
from billets.messages import sentence
from billets.text import sent_number
from quotes.after.entry_forms import WeighedForm
from quotes.after.entry_words import entry_rows
from quotes.after.figures import earnings, work
from quotes.after.order import accepted, after
from quotes.after.tables import after_tables
from quotes.after.words import guess_sentence, notes
from shop import entries
from shop.models import Knife, Order
from shop.stages import StageError
from shop.views.common import for_owner, system_of, user_of
from shop.written import take_back


@for_owner
@require_safe
def after_page(request: HttpRequest, number: str) -> HttpResponse:
    """Show what an accepted order was reckoned with, and what it took."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    answer = accepted(order)
    if answer is None:
        return render(request, "quotes/after.html", {"order": order, "found": None})
    found, system = after(order, answer), system_of(request)
    context = {
        "order": order,
        "found": found,
        "quote": found.quote,
        "earnings": earnings(found),
        "work": work(found, system),
        "sayings": list(notes(found)),
        "worst": [
            guess_sentence(one, found.quote.currency)
            for one in found.comparison.worst()
        ],
        "tables": after_tables(found, system),
    }
    return render(request, "quotes/after.html", context)


@require_http_methods(["GET", "POST"])
def weighed_page(request: HttpRequest, serial: str) -> HttpResponse:
    """Write down what was weighed of a knife and its billet, or take it back."""
    knife = get_object_or_404(Knife.objects.for_list(), serial=serial)
    if "back" in request.POST:
        return _back(request, knife)
    system = system_of(request)
    sent = request.POST if request.method == "POST" else None
    form = WeighedForm(sent, knife=knife, system=system)
    if form.is_valid() and form.ask(entries.doubts(knife, form.values), system):
        try:
            return once(request, partial(_write, request, knife, form))
        except StageError as error:
            form.refuse(error, system)
    return _page(request, knife, form)


def _write(request: HttpRequest, knife: Knife, form: WeighedForm) -> str:
    by, at = user_of(request), timezone.now()
    for kind, value in form.values.items():
        entries.write_entry(knife, kind, value, form.typed(kind), by=by, at=at)
    messages.success(request, _("It is written down."))
    return reverse("weighed", args=[knife.serial])


def _back(request: HttpRequest, knife: Knife) -> HttpResponse:
    number = sent_number(request.POST.get("back"))
    entry = entries.entries_of(knife).filter(pk=number).first() if number else None
    if entry is None:
        raise Http404

    def taken() -> str:
        take_back(entry, by=user_of(request), at=timezone.now())
        messages.success(request, _("It is taken back, and counts no more."))
        return reverse("weighed", args=[knife.serial])

    try:
        return once(request, taken)
    except StageError as error:
        form = WeighedForm(knife=knife, system=system_of(request))
        return _page(request, knife, form, sentence(error, system_of(request)))


def _page(
    request: HttpRequest, knife: Knife, form: WeighedForm, refusal: str = ""
) -> HttpResponse:
    context = {
        "knife": knife,
        "form": form,
        "refusal": refusal,
        "rows": entry_rows(knife, system_of(request)),
        "form_key": key_of(request),
    }
    return render(request, "quotes/weighed.html", context)
