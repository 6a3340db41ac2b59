"""The check before a quote goes out, and its issue."""

from __future__ import annotations

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
from quotes import services, text_book
from quotes.basis import basis_of
from quotes.choices import quote_kind, reading
from quotes.documents import QuotePaper, content_of, print_quote, quote_paper
from quotes.errors import QuoteError
from quotes.forms import IssueForm
from quotes.gaps import NotReady, lacking_terms
from quotes.models import QuoteDraft
from quotes.offer.sentences import Dates
from quotes.pricing import PricedOrder, price_order
from quotes.services import Printed
from quotes.terms.offering import draft_of, offered_on, until
from quotes.views.common import lack_of, money_sayings
from quotes.views.price import billet_rows, quoting_refusal
from shop.context import shop_of
from shop.models import Order, Shop
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
        draft = _draft(request, order)
    except NotReady as error:
        lacks = [lack_of(gap, order, system_of(request)) for gap in error.gaps]
        context = {"order": order, "lacks": lacks, "quoting": True}
        return render(request, "quotes/not_ready.html", context)
    form = IssueForm(request.POST if request.method == "POST" else None)
    if "issue" in request.POST and form.is_valid():
        try:
            return _issue(request, draft)
        except (QuoteError, StageError) as error:
            form.add_error(None, sentence(error, system_of(request)))
    return render(request, "quotes/check.html", _context(request, draft, form))


def _draft(request: HttpRequest, order: Order) -> Draft:
    """Return the quote as its terms have it; NotReady holds what it lacks."""
    priced = price_order(order, timezone.localdate())
    terms = draft_of(order)
    gaps = lacking_terms(order, terms)
    if gaps:
        raise NotReady(gaps)
    shop = shop_of(request)
    paper = quote_paper(
        priced, shop, services.next_revision(order), _dates(terms, shop)
    )
    return Draft(priced=priced, paper=paper, content=content_of(paper))


def _dates(terms: QuoteDraft | None, shop: Shop) -> Dates:
    """Return the days of a quote that is issued now."""
    usual = services.valid_until(shop, timezone.localdate())
    return Dates(issued_at=timezone.now(), valid_until=until(terms, usual))


def _issue(request: HttpRequest, draft: Draft) -> HttpResponse:
    """Make the paper first, outside any transaction, then freeze everything at once."""
    if request.POST.get("content") != draft.content:
        raise QuoteError(CHANGED)
    services.check_quotable(draft.priced.order)
    printed, basis = print_quote(draft.paper), basis_of(draft.priced)
    return once(request, partial(_freeze, request, draft, printed, basis))


def _freeze(
    request: HttpRequest, draft: Draft, printed: Printed, basis: dict[str, Any]
) -> str:
    quote = services.issue_quote(
        draft.priced.order, draft.paper.offer, printed, basis, by=user_of(request)
    )
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
        "kind": dict(quote_kind())[draft.paper.offer.kind],
        "reading": dict(reading())[draft.paper.offer.mode],
        "billets": billet_rows(draft.priced, system),
        "sayings": money_sayings(
            offered_on(draft.priced).flags, draft.paper.offer.currency, system
        ),
        "unworded": text_book.lacking(draft.paper.language, timezone.localdate()),
        "refusal": quoting_refusal(order, system),
    }
