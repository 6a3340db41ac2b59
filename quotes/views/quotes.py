"""An issued quote as it was issued, and what the customer said to it."""

from __future__ import annotations

import datetime as dt
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from billets.idempotency import key_of, once
from billets.messages import sentence
from quotes import services
from quotes.basis import kept_cost_sheet
from quotes.errors import QuoteError
from quotes.forms import AnswerForm
from quotes.models import Quote, QuoteAnswer
from quotes.pdf import PdfUnavailable
from quotes.views.common import cost_view
from quotes.wording import percent_text
from shop.stages import StageError
from shop.views.common import for_owner, system_of, user_of


@for_owner
@require_safe
def quote_page(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Show a quote from its rows; nothing on this page is computed again."""
    quote = _quote(number, revision)
    return _page(request, quote, AnswerForm(system=system_of(request)))


@for_owner
@require_POST
def quote_answer(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Write down what the customer said; a yes puts the knives at the bench."""
    quote = _quote(number, revision)
    form = AnswerForm(request.POST, system=system_of(request))
    if form.is_valid():
        try:
            return once(request, partial(_answer, request, quote, form))
        except (QuoteError, StageError) as error:
            form.add_error(None, sentence(error, system_of(request)))
    return _page(request, quote, form)


def _answer(request: HttpRequest, quote: Quote, form: AnswerForm) -> str:
    services.answer_quote(
        quote, accepted=form.accepted, note=form.cleaned_data["note"],
        by=user_of(request), at=timezone.now(),
    )  # fmt: skip
    said = _("The no is written down; the order is declined.")
    if form.accepted:
        said = _("The yes is written down; the knives stand at the first stage.")
    messages.success(request, said)
    return quote.get_absolute_url()


def _quote(number: str, revision: int) -> Quote:
    known = Quote.objects.select_related("order__customer", "paper", "by", "answer")
    return get_object_or_404(known, order__number=number, revision=revision)


def _page(request: HttpRequest, quote: Quote, form: AnswerForm) -> HttpResponse:
    basis: dict[str, Any] = quote.basis
    last = services.next_revision(quote.order) - 1
    answer = QuoteAnswer.objects.filter(quote=quote).first()
    today = timezone.localdate()
    context = {
        "quote": quote,
        "order": quote.order,
        "lines": quote.lines.all(),
        "answer": answer,
        "replaced_by": last if last != quote.revision else None,
        "run_out": answer is None and quote.valid_until < today,
        "can_answer": answer is None and last == quote.revision
        and quote.order.state == "quoted",
        "may_revise": quote.order.state in ("quoted", "declined"),
        "form": form,
        "form_key": key_of(request),
        "cost": cost_view(kept_cost_sheet(basis), quote.currency),
        "billets": basis["billets"],
        "priced_on": dt.date.fromisoformat(basis["day"]),
        "no_pdf": PdfUnavailable.sentence,
        "tax_rate": percent_text(quote.tax_rate),
    }  # fmt: skip
    return render(request, "quotes/quote.html", context)
