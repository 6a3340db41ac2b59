"""An issued quote as it was issued, and what the customer said to it."""

from __future__ import annotations

import datetime as dt
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from billets.idempotency import key_of, once
from billets.messages import sentence
from billets.physics.errors import PlanError
from quotes import services
from quotes.basis import kept_cost_sheet
from quotes.choices import quote_kind
from quotes.errors import QuoteError
from quotes.forms import AnswerForm
from quotes.models import Quote, QuoteAnswer
from quotes.offer.frozen import Offer, kept_offer
from quotes.offer.price_table import price_table
from quotes.pdf import PdfUnavailable
from quotes.rates import REGIMES
from quotes.services import Reply
from quotes.views.common import cost_view
from quotes.wording import money_text
from shop.stages import StageError
from shop.views.common import for_owner, system_of, user_of


@for_owner
@require_safe
def quote_page(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Show a quote from its rows; nothing on this page is computed again."""
    quote = quote_of(number, revision)
    return _page(request, quote, _form(request, quote))


@for_owner
@require_POST
def quote_answer(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Write down what the customer said; a yes puts the knives at the bench."""
    quote = quote_of(number, revision)
    form = _form(request, quote)
    if not form.is_valid() and QuoteAnswer.objects.filter(quote=quote).exists():
        messages.error(request, _("This quote has been answered already."))
        return redirect(quote)
    if form.is_valid():
        try:
            return once(request, partial(_answer, request, quote, form))
        except (QuoteError, StageError, PlanError) as error:
            box = error.field if error.field in form.fields else None
            form.add_error(box, sentence(error, system_of(request)))
    return _page(request, quote, form)


def _form(request: HttpRequest, quote: Quote) -> AnswerForm:
    """Return the form of an answer, with the ways to have it."""
    options = [
        (str(one.position), f"{one.label}: {money_text(one.amount, quote.currency)}")
        for one in quote.options.all()
    ]
    sent = request.POST if request.method == "POST" else None
    return AnswerForm(sent, options=options, system=system_of(request))


def _answer(request: HttpRequest, quote: Quote, form: AnswerForm) -> str:
    reply = Reply(
        accepted=form.accepted, option=form.option, note=form.cleaned_data["note"]
    )
    services.answer_quote(quote, reply, by=user_of(request), at=timezone.now())
    said = _("The no is written down; the order is declined.")
    if form.accepted:
        said = _("The yes is written down; the knives stand at the first stage.")
    messages.success(request, said)
    return quote.get_absolute_url()


def quote_of(number: str, revision: int) -> Quote:
    """Return an issued quote with all its page shows beside its lines, or say 404."""
    known = Quote.objects.select_related("order__customer", "paper", "by", "answer")
    return get_object_or_404(known, order__number=number, revision=revision)


def _page(request: HttpRequest, quote: Quote, form: AnswerForm) -> HttpResponse:
    offer, basis, standing = kept_offer(quote), quote.basis, _standing(quote)
    taken = standing["answer"].option if standing["answer"] else None
    sheet = kept_cost_sheet(basis, taken.position if taken else 1)
    context = {
        "quote": quote,
        "order": quote.order,
        "offer": offer,
        "prices": price_table(offer, system_of(request)),
        "kind": dict(quote_kind())[quote.kind],
        "note": _note(offer),
        "before": quote.revision - 1,
        "form": form,
        "form_key": key_of(request),
        "cost": cost_view(sheet, quote.currency),
        "billets": basis["billets"],
        "priced_on": dt.date.fromisoformat(basis["day"]),
        "no_pdf": PdfUnavailable.sentence,
    }
    return render(request, "quotes/quote.html", context | standing)


def _standing(quote: Quote) -> dict[str, Any]:
    """Return what became of a quote, and what can be done with it now."""
    last = services.next_revision(quote.order) - 1
    known = QuoteAnswer.objects.select_related("option")
    answer = known.filter(quote=quote).first()
    return {
        "answer": answer,
        "replaced_by": last if last != quote.revision else None,
        "run_out": answer is None and quote.valid_until < timezone.localdate(),
        "can_answer": answer is None and last == quote.revision
        and quote.order.state == "quoted",
        "may_revise": quote.order.state in ("quoted", "declined"),
    }  # fmt: skip


def _note(offer: Offer) -> str:
    """Return what the regime of a quote says about its tax."""
    regime = REGIMES.get(offer.regime)
    return _(regime.note) if regime and not regime.taxed else ""
