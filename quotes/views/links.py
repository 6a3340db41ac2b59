"""The owner's side of the private page: links, and what customers asked there."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables
from django.views.decorators.http import require_http_methods, require_POST

from billets.idempotency import key_of, new_key, once
from billets.messages import sentence
from quotes.errors import QuoteError
from quotes.private import tokens, way
from shop.context import shop_of
from shop.guesses import forget
from shop.models import CustomerLink, CustomerQuestion, Order
from shop.views.common import for_owner, system_of, user_of


@for_owner
@require_http_methods(["GET", "POST"])
@sensitive_variables("made")
def links_page(request: HttpRequest, number: str) -> HttpResponse:
    """Show the links of an order; a new one shows its address this once."""
    order = _order(number)
    forget(timezone.now())
    if request.method == "GET" or not way.is_safe(request):
        return _page(request, order)
    made: list[str] = []
    try:
        answer = once(request, partial(_make, request, order, made))
    except QuoteError as error:
        return _page(request, order, refusal=sentence(error, system_of(request)))
    if not made:  # sent again: the address is told once only
        return answer
    address = way.link_address(request, shop_of(request), made[0])
    return _page(request, order, address=address)


def _order(number: str) -> Order:
    return get_object_or_404(Order.objects.select_related("customer"), number=number)


@sensitive_variables()
def _make(request: HttpRequest, order: Order, made: list[str]) -> str:
    _link, token = tokens.make_link(order, by=user_of(request), at=timezone.now())
    made.append(token)
    return reverse("links", args=[order.number])


@sensitive_variables("more")
def _page(request: HttpRequest, order: Order, **more: Any) -> HttpResponse:
    today = timezone.localdate()
    links = CustomerLink.objects.filter(order=order).select_related("order", "by")
    context = {
        "order": order,
        "links": [
            (one, tokens.ended(one, today), tokens.works_until(one)) for one in links
        ],
        "why_not": "" if way.is_safe(request) else way.WHY_NOT,
        "only_here": not request.is_secure(),
        "quoted": tokens.last_quote(order) is not None,
        # The page that shows a new link can make another.
        "form_key": key_of(request) if request.method == "GET" else new_key(),
    }
    return render(request, "quotes/links.html", context | more)


@for_owner
@require_POST
def link_revoke(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """End one link; the others of the order go on working."""
    link = get_object_or_404(CustomerLink, pk=pk, order__number=number)
    tokens.revoke(link, timezone.now())
    messages.success(request, _("The link is ended; it opens nothing any more."))
    return redirect("links", number)


@for_owner
@require_POST
def question_answered(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Mark a question as answered; the first time counts."""
    asked = get_object_or_404(CustomerQuestion, pk=pk, order__number=number)
    still = CustomerQuestion.objects.filter(pk=asked.pk, answered_at=None)
    still.update(answered_at=timezone.now())
    messages.success(request, _("The question is marked as answered."))
    return redirect("order", number)
