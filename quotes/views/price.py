"""What an order costs and what is asked for it, line by line; for the owner."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from billets.messages import sentence
from billets.units import System
from billets.verdicts import verdict_saying
from billets.wording import flag_sayings, origin
from quotes import choices
from quotes.basis import cost_sheet
from quotes.errors import QuoteError
from quotes.gaps import NotReady
from quotes.pricing import PricedOrder, price_order, titles_of
from quotes.rate_book import shipped_left
from quotes.risks.words import risk_words
from quotes.services import check_quotable
from quotes.terms.offering import Offered, offered, offered_on
from quotes.terms.words import asked_words
from quotes.views.common import Lack, cost_view, lack_of, money_sayings
from shop.models import Order
from shop.views.common import for_owner, system_of


@for_owner
@require_safe
def price_page(request: HttpRequest, number: str) -> HttpResponse:
    """Show cost and price of an order, or what it lacks before it has one."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    try:
        priced = price_order(order, timezone.localdate())
    except NotReady as error:
        return lacking(request, order, error)
    context = {**price_context(priced, system_of(request)), "order": order}
    context["risk"] = risk_words(priced, context["offered"], system_of(request))
    context["refusal"] = quoting_refusal(order, system_of(request))
    return render(request, "quotes/price.html", context)


def lacking(request: HttpRequest, order: Order, error: NotReady) -> HttpResponse:
    """Show what an order lacks before it has a price."""
    system = system_of(request)
    lacks = [lack_of(gap, order, system) for gap in error.gaps]
    return render(request, "quotes/not_ready.html", {"order": order, "lacks": lacks})


def price_context(priced: PricedOrder, system: System) -> dict[str, Any]:
    """Return what the page of a price shows."""
    lines = priced.lines
    price, currency = lines.price, lines.currency
    return {
        "priced": priced,
        "price": price,
        "currency": currency,
        "cost": cost_view(cost_sheet(lines), currency),
        **asked_context(priced, system),
        "billets": billet_rows(priced, system),
        "shipped_left": shipped_left(priced.day),
    }


def asked_context(priced: PricedOrder, system: System) -> dict[str, Any]:
    """Return what a page says of all that is asked, or why the terms cannot be met.

    Where they cannot, the knives are shown as a quote without terms would ask.
    """
    unmet: list[Lack] = []
    try:
        asked = offered_on(priced)
    except NotReady as error:
        unmet = [lack_of(gap, priced.order, system) for gap in error.gaps]
        asked = offered(priced, None)
    return {
        "offered": asked,
        "asked": asked_words(asked, priced.lines.price, system),
        "kind": kind_words(asked),
        "unmet": unmet,
        "sayings": money_sayings(asked.flags, asked.currency, system),
    }


def kind_words(asked: Offered) -> str:
    """Say whether the price binds, or nothing where that has not been chosen."""
    return str(dict(choices.quote_kind()).get(asked.kind, ""))


def billet_rows(priced: PricedOrder, system: System) -> list[dict[str, Any]]:
    """Return each billet: its name, whether it is enough, what to look at twice."""
    titles = titles_of(priced.knives)
    return [
        {
            "title": titles[pk],
            "url": reverse("plan", args=[pk]),
            "verdict": verdict_saying(figures, system),
            "origin": origin(figures.beliefs),
            "sayings": flag_sayings(figures.flags, system),
        }
        for pk, figures in priced.plans.items()
    ]


def quoting_refusal(order: Order, system: System) -> str:
    """Return why no quote can be issued for an order, or nothing."""
    try:
        check_quotable(order)
    except QuoteError as error:
        return sentence(error, system)
    return ""
