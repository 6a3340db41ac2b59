"""Invoices of an order: what stands, what can be written, and its issue."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods, require_safe

from billets.idempotency import key_of, once, sent_before
from quotes.errors import QuoteError
from quotes.invoices import forms
from quotes.invoices.before import Before, before_of
from quotes.invoices.billing import Billing, billing_of
from quotes.invoices.by_terms import invoice_json
from quotes.invoices.documents import (
    InvoicePaper,
    content_of,
    invoice_paper,
    print_invoice,
)
from quotes.invoices.drafts import (
    Draft,
    advance_draft,
    cancel_draft,
    final_draft,
)
from quotes.invoices.particulars import lacking
from quotes.invoices.refusals import cancellable, check_offered
from quotes.invoices.services import NumberTaken, issue_invoice, next_number
from quotes.invoices.words import refusal_words
from quotes.models import Invoice
from quotes.views.common import Lack, lack_of
from quotes.wording import long_day, money_text
from shop.context import shop_of
from shop.models import Order
from shop.views.common import for_owner, system_of, user_of

CHANGED = gettext_noop(
    "Something in this invoice has changed since you looked at it: read it again, then "
    "issue it."
)
TRIES = 3
"""So often an invoice is printed anew because another took its number meanwhile."""

Forms = dict[str, forms.InvoiceForm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """An order with what stands of its invoices, as a request finds it."""

    order: Order
    billing: Billing | None
    refusal: str
    before: Before
    invoices: tuple[Invoice, ...]
    lacks: tuple[Lack, ...]


@for_owner
@require_http_methods(["GET", "POST"])
def invoices_page(request: HttpRequest, number: str) -> HttpResponse:
    """Show the invoices of an order; each is looked at before it is issued."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    here = reverse("invoices", args=[order.number])
    if request.method == "POST" and sent_before(request):
        return once(request, lambda: here)
    desk = _desk(request, order)
    written = _forms(request, desk)
    form = written.get(request.POST.get("act", ""))
    refusal = _not_offered(request, desk)
    if form is None or refusal:
        return _page(request, desk, written, refusal=refusal)
    paper = None
    if form.is_valid():
        try:
            build = _builder(request, desk, form)
            draft = build()
            paper = invoice_paper(
                draft, next_number(draft.issued_on), shop_of(request).paper
            )
            if "issue" in request.POST:
                return _issue(request, draft, build)
        except QuoteError as error:
            box = error.field if error.field in form.fields else None
            form.add_error(box, _refusal(request, error, order))
    return _page(request, desk, written, form=form, paper=paper)


@for_owner
@require_safe
def json_file(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Give an issued invoice by the business terms of EN 16931, as JSON."""
    known = Invoice.objects.select_related("order", "paper", "cancels")
    invoice = get_object_or_404(known, order__number=number, pk=pk)
    return HttpResponse(
        invoice_json(invoice),
        headers={
            "Content-Type": "application/json",
            "Content-Disposition": f'attachment; filename="{invoice.number}.json"',
        },
    )


# --- what stands ------------------------------------------------------------------


def _desk(request: HttpRequest, order: Order) -> Desk:
    billing, refusal = None, ""
    try:
        billing = billing_of(order)
    except QuoteError as error:
        refusal = _refusal(request, error, order)
    known = Invoice.objects.filter(order=order).order_by("pk")
    rows = known.select_related("paper", "cancels", "cancelled_by")
    gaps = lacking(order, shop_of(request))
    return Desk(
        order=order, billing=billing, refusal=refusal, before=before_of(order),
        invoices=tuple(rows),
        lacks=tuple(lack_of(gap, order, system_of(request)) for gap in gaps),
    )  # fmt: skip


def _refusal(request: HttpRequest, error: QuoteError, order: Order) -> str:
    quote = order.quotes.first()
    currency = quote.currency if quote else shop_of(request).currency
    return refusal_words(error, currency, system_of(request))


# --- what can be written ----------------------------------------------------------


def _forms(request: HttpRequest, desk: Desk) -> Forms:
    """Return the forms of what can be written now; a form that was sent is bound."""
    if desk.lacks:
        return {}
    found: dict[str, tuple[type[forms.InvoiceForm], dict[str, Any]]] = {}
    if desk.billing and not desk.before.final:
        if desk.before.unbilled and desk.order.state == "accepted":
            found["advance"] = (forms.AdvanceForm, _of_advance(desk))
        found["final"] = (forms.FinalForm, {"initial": _of_final(desk.order)})
    known = cancellable(desk.invoices, desk.before)
    if known:
        pairs = [(str(one.pk), _told(one)) for one in known]
        found["cancel"] = (forms.CancelForm, {"choices": pairs})
    act = request.POST.get("act", "")
    return {
        key: form(
            request.POST if key == act else None, system=system_of(request), **more
        )
        for key, (form, more) in found.items()
    }


def _not_offered(request: HttpRequest, desk: Desk) -> str:
    """Return why what was asked for is not offered any more; empty if it is."""
    if request.method != "POST" or desk.billing is None:
        return ""
    act, chosen = request.POST.get("act", ""), request.POST.get("invoice", "")
    try:
        check_offered(act, chosen, desk.order, desk.invoices, desk.before)
    except QuoteError as error:
        return _refusal(request, error, desk.order)
    return ""


def _of_advance(desk: Desk) -> dict[str, Any]:
    currency = desk.billing.currency if desk.billing else ""
    pairs = [
        (str(one.pk), _("{amount}, received on {day}").format(
            amount=money_text(one.amount, currency), day=long_day(one.received_on)))
        for one in desk.before.unbilled
    ]  # fmt: skip
    week = desk.order.promised_week
    initial = {"payment": pairs[0][0], "expected": week}
    return {"choices": pairs, "initial": initial}


def _of_final(order: Order) -> dict[str, Any]:
    """Return the day the last knife was handed over, if one was."""
    moves = [
        move.at
        for knife in order.knives.filter(stage="delivered")
        for move in knife.events.filter(stage="delivered")
    ]
    return {"supplied_on": timezone.localdate(max(moves))} if moves else {}


def _told(invoice: Invoice) -> str:
    return _("{number}, {kind} of {day}").format(
        number=invoice.number, kind=invoice.get_kind_display(),
        day=long_day(invoice.issued_on),
    )  # fmt: skip


def _builder(
    request: HttpRequest, desk: Desk, form: forms.InvoiceForm
) -> Callable[[], Draft]:
    """Return what builds the invoice a form asks for, now or again before it stays."""
    shop, clean, today = shop_of(request), form.cleaned_data, timezone.localdate()
    if isinstance(form, forms.AdvanceForm):
        payment = next(
            one for one in desk.before.unbilled if str(one.pk) == clean["payment"]
        )
        expected: dt.date = clean["expected"]
        return partial(advance_draft, desk.order, shop, payment, expected, today=today)
    if isinstance(form, forms.FinalForm):
        days = clean["supplied_on"], clean["due_on"]
        return partial(final_draft, desk.order, shop, *days, today=today)
    invoice = next(one for one in desk.invoices if str(one.pk) == clean["invoice"])
    return partial(cancel_draft, invoice, shop, clean["reason"], today=today)


# --- its issue --------------------------------------------------------------------


def _issue(
    request: HttpRequest, draft: Draft, build: Callable[[], Draft]
) -> HttpResponse:
    """Make the paper first, outside any transaction, then freeze everything at once."""
    if request.POST.get("content") != content_of(draft):
        raise QuoteError(CHANGED)
    for _try in range(TRIES - 1):
        try:
            return _printed(request, draft, build)
        except NumberTaken:
            continue
    return _printed(request, draft, build)


def _printed(
    request: HttpRequest, draft: Draft, build: Callable[[], Draft]
) -> HttpResponse:
    number = next_number(draft.issued_on)
    printed = print_invoice(invoice_paper(draft, number, shop_of(request).paper))

    def freeze() -> str:
        invoice = issue_invoice(
            draft, number, printed, rebuild=build, by=user_of(request),
            at=timezone.now(),
        )  # fmt: skip
        said = _("{number} is issued. Send the customer its paper.")
        messages.success(request, said.format(number=invoice.number))
        return reverse("invoices", args=[draft.order.number])

    return once(request, freeze)


def _page(
    request: HttpRequest, desk: Desk, written: Forms, *,
    form: forms.InvoiceForm | None = None, paper: InvoicePaper | None = None,
    refusal: str = "",
) -> HttpResponse:  # fmt: skip
    looked, act = paper.draft if paper else None, request.POST.get("act", "")
    context = {
        "desk": desk,
        "order": desk.order,
        # What is looked at stands alone, with the word to issue it.
        "forms": {act: form} if paper else written,
        "form": form,
        "refusal": refusal or desk.refusal,
        "act": act,
        "form_key": key_of(request),
        "paper": paper,
        "content": content_of(looked) if looked else "",
        "customer_language": translation.get_language_info(
            desk.order.customer.language
        )["name_translated"],
        "rates": _rates(desk, looked),
    }
    return render(request, "quotes/invoices.html", context)


def _rates(desk: Desk, draft: Draft | None) -> str:
    """Say so where the rate of tax is not that of the quote any more."""
    if draft is None or desk.billing is None or draft.kind == "cancel":
        return ""
    quoted = {one.percent for one in desk.billing.offer.taxes}
    if all(one.percent in quoted for one in draft.bill.taxes):
        return ""
    return _(
        "The rate of tax has changed since the quote; what counts is the rate on the "
        "day of supply, or on the day an advance arrives. Check with your adviser."
    )
