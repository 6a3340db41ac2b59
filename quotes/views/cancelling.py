"""Cancelling an order: what the ladder keeps and returns, then the word to do it."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once
from billets.messages import sentence
from quotes.changes_after import saving
from quotes.changes_after.agreed import lost_for_good, order_is_cut
from quotes.changes_after.forms import LadderForm
from quotes.changes_after.ladder_words import Rung, rung_of, settled_sentence
from quotes.errors import QuoteError
from quotes.wording import money_text
from shop import payments, stages
from shop.context import may_see_prices
from shop.forms.stages import CancelForm
from shop.models import AgreedChange, Order
from shop.settled import cancellation
from shop.stages import StageError
from shop.views.common import system_of, user_of

OWNERS = gettext_noop(
    "Cancelling this order settles what was agreed for it: whoever may see prices "
    "does that."
)


@require_http_methods(["GET", "POST"])
def order_cancel(request: HttpRequest, number: str) -> HttpResponse:
    """Cancel an order with its knives, for a reason that stays in their history."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    owners = order.agreed is not None and not may_see_prices(request)
    if owners and request.method == "POST":
        raise PermissionDenied
    cut = order_is_cut(order)
    form = _form(request, order, cut=cut)
    if request.method == "POST" and form.is_valid():
        try:
            return once(request, partial(_cancel, request, order, form))
        except (StageError, QuoteError) as error:
            form.add_error(None, sentence(error, system_of(request)))
    context = {
        "order": order,
        "form": form,
        "form_key": key_of(request),
        "is_open": order.state in stages.open_states() and not owners,
        "refusal": _refusal(order, owners=owners),
        **_money(request, order, cut=cut),
    }
    return render(request, "quotes/change_cancel.html", context)


def _refusal(order: Order, *, owners: bool) -> str:
    if order.state not in stages.open_states():
        return _over(order)
    return _(OWNERS) if owners else ""


def _form(request: HttpRequest, order: Order, *, cut: bool) -> CancelForm:
    """Return the form; where money was agreed on, it asks whether steel is cut."""
    sent = request.POST if request.method == "POST" else None
    system = system_of(request)
    if order.state != "accepted" or order.agreed is None:
        return CancelForm(sent, system=system)
    return LadderForm(sent, initial={"cut": "yes" if cut else "no"}, system=system)


def _cancel(request: HttpRequest, order: Order, form: CancelForm) -> str:
    clean = form.cleaned_data
    found = saving.cancel(
        order, clean["reason"], cut=clean.get("cut") == "yes", by=user_of(request),
        at=timezone.now(),
    )  # fmt: skip
    if found is not None and may_see_prices(request):
        messages.success(request, settled_sentence(found, payments.currency_of(order)))
    return order.get_absolute_url()


def _kept(done: AgreedChange, currency: str) -> str:
    """Say what a cancellation came to; after an erasure only what was kept of it."""
    if done.values:
        return settled_sentence(saving.kept_settlement(done), currency)
    said = _("{kept} is kept, by the ladder.")
    return said.format(kept=money_text(done.fee, currency))


def _over(order: Order) -> str:
    """Say why nothing of an order can be cancelled."""
    if order.state == "delivered":
        return _("Every knife of this order is handed over: nothing is left to cancel.")
    if order.state == "declined":
        return _("This order was declined: nothing is left to cancel.")
    return _("This order is cancelled already.")


def _money(request: HttpRequest, order: Order, *, cut: bool) -> dict[str, Any]:
    """Return both rungs of the ladder, or what was kept, for who may see prices."""
    if not may_see_prices(request):
        return {}
    currency = payments.currency_of(order)
    done = cancellation(order)
    if done is not None:
        return {"kept": _kept(done, currency)}
    try:
        settled = {one: saving.settle(order, cut=one) for one in (False, True)}
    except QuoteError as error:
        return {"refusal": sentence(error, system_of(request))}
    rungs: list[Rung] = [
        rung_of(one, currency, cut=key) for key, one in settled.items() if one
    ]
    return {
        "rungs": rungs,
        "here": cut,
        "settled": settled[cut],
        "lost": ", ".join(str(one) for one in lost_for_good(order)),
        "currency": currency,
    }
