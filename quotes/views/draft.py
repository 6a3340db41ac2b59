"""The page of a quote's terms: what the smith lays on the price of the knives."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from billets.comparing import Difference, differences
from billets.idempotency import key_of, once, sent_before
from billets.messages import sentence
from quotes.errors import QuoteError
from quotes.gaps import NotReady, check_currency
from quotes.models import QuoteDraft
from quotes.pricing import PricedOrder, price_order
from quotes.terms.draft_words import terms_lines
from quotes.terms.editor import MOST, TermsEditor, boxes_of
from quotes.terms.offering import Offered, offered_by
from quotes.terms.saving import save_terms
from quotes.terms.terms import Terms, draft_of, terms_of
from quotes.terms.words import asked_words
from quotes.views.common import Lack, lack_of, money_sayings
from quotes.views.price import kind_words, quoting_refusal
from shop.context import shop_of
from shop.models import Order
from shop.services import StaleError
from shop.views.common import for_owner, system_of


@dataclass(slots=True, kw_only=True)
class Page:
    """What is shown: the form, and the sums of what stands in it.

    Attributes
    ----------
    editor : TermsEditor
        The form.
    priced, asked : PricedOrder, Offered or None
        The order and what is asked for it; None where there are no sums.
    lacks : list of Lack
        What is missing before there are sums.
    refusal : str
        Why kept terms have no sums.
    differing : list of Difference
        What somebody else saved meanwhile.
    """

    editor: TermsEditor
    priced: PricedOrder | None = None
    asked: Offered | None = None
    lacks: list[Lack]
    refusal: str = ""
    differing: list[Difference]


@for_owner
@require_http_methods(["GET", "POST"])
def terms_page(request: HttpRequest, number: str) -> HttpResponse:
    """Show the terms of an order's next quote with their sums, and keep them."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    address = reverse("quote-terms", args=[order.number])
    if request.method == "POST" and sent_before(request):
        return once(request, lambda: address)
    draft = draft_of(order)
    if request.method != "POST":
        return _show(request, order, _kept(request, order, draft))
    page = _sent(request, order, draft)
    if "save" in request.POST and not page.editor.has_errors:
        try:
            return once(request, partial(_save, request, order, page.editor))
        except QuoteError as error:
            page.editor.refuse(error)
        except StaleError as stale:
            _put_beside(request, order, page, stale.current)
    return _show(request, order, page)


def _kept(request: HttpRequest, order: Order, draft: QuoteDraft | None) -> Page:
    """Return the page of the terms as they are kept."""
    editor = TermsEditor.of(order, draft, shop_of(request), timezone.localdate())
    page = Page(editor=editor, lacks=[], differing=[])
    try:
        check_currency(draft, editor.boxes.currency)
        _compute(request, order, page, terms_of(order, draft))
    except QuoteError as error:
        page.refusal = sentence(error, system_of(request))
    return page


def _sent(request: HttpRequest, order: Order, draft: QuoteDraft | None) -> Page:
    """Return the page as it was sent, with the sums of what stands in its boxes."""
    kept, saving = terms_of(order, draft), "save" in request.POST
    boxes = boxes_of(order, kept, shop_of(request), timezone.localdate())
    editor = TermsEditor.sent(request.POST, boxes)
    page = Page(editor=editor, lacks=[], differing=[])
    if editor.read(kind_too=saving):
        editor.weigh_options()
        if saving:
            editor.refuse_other_currency()
    if editor.form.is_bound and not editor.has_errors:
        try:
            _compute(request, order, page, editor.terms())
        except QuoteError as error:
            editor.refuse(error)
    return page


def _compute(request: HttpRequest, order: Order, page: Page, terms: Terms) -> None:
    """Put the sums of terms into the page, or what is missing before there are any."""
    # How the order is taxed is read from its draft, kept or not.
    order.draft = terms.draft
    try:
        page.priced = price_order(order, timezone.localdate())
    except NotReady as error:
        page.lacks = [lack_of(gap, order, system_of(request)) for gap in error.gaps]
        return
    page.asked = offered_by(page.priced, terms)


def _save(request: HttpRequest, order: Order, editor: TermsEditor) -> str:
    save_terms(order, editor.terms(), version=editor.version)
    messages.success(request, _("The terms are saved."))
    return reverse("quote-terms", args=[order.number])


def _put_beside(
    request: HttpRequest, order: Order, page: Page, current: QuoteDraft
) -> None:
    """Show what somebody else saved beside what stands in the boxes."""
    system, editor = system_of(request), page.editor
    mine = terms_lines(editor.terms(), editor.boxes.currency, system)
    theirs = terms_lines(terms_of(order, current), current.currency, system)
    page.differing = differences(mine, theirs)
    editor.version = current.version


def _show(request: HttpRequest, order: Order, page: Page) -> HttpResponse:
    editor, system = page.editor, system_of(request)
    context: dict[str, Any] = {
        "order": order,
        "editor": editor,
        "form": editor.form,
        "lacks": page.lacks,
        "refused": page.refusal,
        "closed": quoting_refusal(order, system),
        "differences": page.differing,
        "form_key": key_of(request),
        "full": {name: len(getattr(editor, name)) >= most
                 for name, most in MOST.items()},
    }  # fmt: skip
    if page.asked and page.priced:
        context |= {
            "asked": asked_words(page.asked, page.priced.lines.price, system),
            "kind": kind_words(page.asked),
            "sayings": money_sayings(page.asked.flags, page.asked.currency, system),
        }
    return render(request, "quotes/terms.html", context)
