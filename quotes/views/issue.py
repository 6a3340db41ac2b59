"""The check before a quote goes out, and its issue."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once, sent_before
from billets.messages import sentence
from quotes import services
from quotes.basis import basis_of
from quotes.documents import QuotePaper, content_of, print_quote, quote_paper
from quotes.errors import QuoteError
from quotes.forms import IssueForm
from quotes.gaps import NotReady
from quotes.offers import Dates
from quotes.pricing import PricedOrder, price_order
from quotes.services import Printed
from quotes.views.common import money_sayings
from quotes.views.price import billet_rows, lacking, quoting_refusal
from shop.context import shop_of
from shop.models import Order
from shop.stages import StageError
from shop.views.common import for_owner, system_of, user_of

CHANGED = gettext_noop(
    "Something in this quote has changed since you looked at it: read it again, then "
    "issue it."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A quote as it would be issued now."""

    priced: PricedOrder
    paper: QuotePaper
    content: str


@for_owner
@require_http_methods(["GET", "POST"])
def quote_new(request: HttpRequest, number: str) -> HttpResponse:
    """Show a quote as the customer will read it; “Issue quote” freezes it."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    if request.method == "POST" and sent_before(request):
        return once(request, order.get_absolute_url)
    try:
        priced = price_order(order, timezone.localdate())
    except NotReady as error:
        return lacking(request, order, error)
    form = _form(request)
    draft = _draft(request, priced, form)
    if "issue" in request.POST and form.is_valid():
        try:
            return _issue(request, draft)
        except (QuoteError, StageError) as error:
            form.add_error(None, sentence(error, system_of(request)))
    return render(request, "quotes/check.html", _context(request, draft, form))


def _form(request: HttpRequest) -> IssueForm:
    today = timezone.localdate()
    return IssueForm(
        request.POST if request.method == "POST" else None,
        initial={"valid_until": services.valid_until(shop_of(request), today)},
        today=today,
    )


def _draft(request: HttpRequest, priced: PricedOrder, form: IssueForm) -> Draft:
    usual: dt.date = form.initial["valid_until"]
    chosen = form.cleaned_data.get("valid_until") if form.is_valid() else None
    dates = Dates(issued_at=timezone.now(), valid_until=chosen or usual)
    revision = services.next_revision(priced.order)
    paper = quote_paper(priced, shop_of(request), revision, dates)
    return Draft(priced=priced, paper=paper, content=content_of(paper))


def _issue(request: HttpRequest, draft: Draft) -> HttpResponse:
    """Make the paper first, outside any transaction, then freeze everything at once."""
    if request.POST.get("content") != draft.content:
        raise QuoteError(CHANGED)
    services.check_quotable(draft.priced.order)
    printed = print_quote(draft.paper)
    return once(request, partial(_freeze, request, draft, printed))


def _freeze(request: HttpRequest, draft: Draft, printed: Printed) -> str:
    quote = services.issue_quote(
        draft.priced.order, draft.paper.offer, printed, basis_of(draft.priced),
        by=user_of(request),
    )  # fmt: skip
    said = _(
        "Quote {number}, revision {revision} is issued. Send the customer its paper."
    )
    messages.success(
        request, said.format(number=quote.order.number, revision=quote.revision)
    )
    return quote.get_absolute_url()


def _context(request: HttpRequest, draft: Draft, form: IssueForm) -> dict[str, Any]:
    system, order = system_of(request), draft.priced.order
    return {
        "order": order,
        "form": form,
        "form_key": key_of(request),
        "paper": draft.paper,
        "content": draft.content,
        "customer_language": translation.get_language_info(draft.paper.language)[
            "name_translated"
        ],
        "billets": billet_rows(draft.priced, system),
        "sayings": money_sayings(
            draft.priced.lines.flags, draft.paper.offer.currency, system
        ),
        "refusal": quoting_refusal(order, system),
    }
