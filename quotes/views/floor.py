"""The floor price, phone in hand: an answer at once, an order with one more tap."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once
from billets.messages import sentence
from billets.physics.errors import PlanError
from billets.units import System
from quotes.errors import QuoteError
from quotes.floor.ahead import ahead_of
from quotes.floor.answer import FloorPrice, NoTemplate, Unsuited, floor_price
from quotes.floor.forms import CallerForm, FloorForm
from quotes.floor.orders import save_draft
from quotes.floor.words import ahead_text, floor_view
from quotes.gaps import gap_of
from quotes.views.common import Lack
from shop.context import shop_of
from shop.views.common import for_owner, system_of, user_of


@dataclass(slots=True)
class Answer:
    """What came of the boxes: a price, or what it lacks, or neither if one is wrong."""

    found: FloorPrice | None = None
    lack: Lack | None = None


@for_owner
@require_http_methods(["GET", "POST"])
def floor_page(request: HttpRequest) -> HttpResponse:
    """Say what a knife would have to cost; “Save as a draft order” keeps it."""
    system, saving = system_of(request), request.method == "POST"
    sent = request.POST if saving else request.GET
    form = FloorForm.asking(sent, currency=shop_of(request).currency, system=system)
    caller = CallerForm(request.POST if saving else None, system=system)
    answer = _answer(form, system)
    if saving and answer.found and caller.is_valid():
        name = caller.cleaned_data["caller"]
        return once(request, partial(_save, request, answer.found, name))
    context = {"form": form, "caller": caller, "form_key": key_of(request)}
    context |= _shown(answer, system)
    return render(request, "quotes/floor.html", context)


def _answer(form: FloorForm, system: System) -> Answer:
    """Return the price that is asked for; what is wrong with a box goes beside it."""
    if not form.is_valid():
        return Answer()
    try:
        return Answer(found=floor_price(form.asked(), timezone.localdate(), system))
    except PlanError as error:
        form.refuse(error)
    except QuoteError as error:
        return Answer(lack=_lack(error, system))
    return Answer()


def _save(request: HttpRequest, found: FloorPrice, caller: str) -> str:
    order = save_draft(found, caller, by=user_of(request), at=timezone.now())
    said = _("Draft order {number} is saved, with a billet of its own.")
    messages.success(request, said.format(number=order.number))
    return reverse("price", args=[order.number])


# --- shown ---------------------------------------------------------------------------


def _shown(answer: Answer, system: System) -> dict[str, Any]:
    found = answer.found
    if found is None:
        return {"lack": answer.lack}
    return {"found": found, "view": floor_view(found, system), **_week(found, system)}


def _week(found: FloorPrice, system: System) -> dict[str, Any]:
    """Return when it would be done, or what to say first so that this is known."""
    try:
        return {"ahead": ahead_text(ahead_of(found, timezone.localdate()))}
    except (QuoteError, PlanError) as error:
        return {"no_week": _lack(error, system)}


def _lack(error: QuoteError | PlanError, system: System) -> Lack:
    """Return what is missing as the page says it, with the page that mends it."""
    url, link = _way_out(error)
    return Lack(text=sentence(error, system), url=url, link=link)


def _way_out(error: QuoteError | PlanError) -> tuple[str, str]:
    if isinstance(error, Unsuited):
        url = error.template.get_absolute_url()
        return url, _("Open {name}").format(name=error.template)
    if isinstance(error, NoTemplate):
        return reverse("plans"), _("Open the billets")
    if error.field in ("year_week_hours", "bench_week"):
        return reverse("shop-hour"), _("Open the shop's hour")
    if gap_of(error).place in ("tax", "shop"):
        return reverse("shop"), _("Open the shop's settings")
    return reverse("rates"), _("Open the rates")
