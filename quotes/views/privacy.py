"""What is kept of a customer: shown, given as one file, erased."""

from __future__ import annotations

from functools import partial
from typing import Any, cast

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from billets.idempotency import key_of, once
from billets.messages import sentence
from quotes import texts
from quotes.privacy import keeping
from quotes.privacy.erasing import erase, open_orders
from quotes.privacy.export import exported
from quotes.privacy.forms import EraseForm, PasswordForm
from quotes.privacy.mentions import mentions
from quotes.privacy.owing import money_between
from quotes.privacy.tables import rows_about
from shop.models import Customer
from shop.stages import StageError
from shop.views.common import for_owner, system_of, user_of

EXPORT, ERASE = "export", "erase"


@for_owner
@require_http_methods(["GET", "POST"])
def data_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what is kept, why and until when; with the password, give all of it."""
    customer = get_object_or_404(Customer, pk=pk)
    form = PasswordForm(
        request.POST if request.method == "POST" else None, prefix=EXPORT,
        user=user_of(request), system=system_of(request),
    )  # fmt: skip
    if form.is_valid():
        return _file(customer)
    return _page(request, customer, form, _erase_form(request, customer, sent=False))


def _file(customer: Customer) -> HttpResponse:
    answer = FileResponse(
        exported(customer),
        as_attachment=True,
        filename=f"customer-{customer.pk}.zip",
        content_type="application/zip",
    )
    return cast(HttpResponse, answer)  # as good as one; Django keeps them apart


@for_owner
@require_POST
def erase_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Erase a customer, with the password and for a reason."""
    customer = get_object_or_404(Customer, pk=pk)
    form = _erase_form(request, customer, sent=True)
    if form.is_valid():
        try:
            return once(request, partial(_erase, request, customer, form))
        except StageError as error:
            box = error.field if error.field in form.fields else None
            form.add_error(box, sentence(error, system_of(request)))
    asked = PasswordForm(
        prefix=EXPORT, user=user_of(request), system=system_of(request)
    )
    return _page(request, customer, asked, form)


def _erase_form(request: HttpRequest, customer: Customer, *, sent: bool) -> EraseForm:
    return EraseForm(
        request.POST if sent else None, prefix=ERASE, user=user_of(request),
        system=system_of(request), money=money_between(customer),
    )  # fmt: skip


def _erase(request: HttpRequest, customer: Customer, form: EraseForm) -> str:
    erase(
        customer, reason=form.cleaned_data["reason"], at=timezone.now(),
        settled=form.settled,
    )  # fmt: skip
    messages.success(
        request,
        _("This customer is erased; what the law wants is kept is listed here."),
    )
    return reverse("customer-data", args=[customer.pk])


def _page(
    request: HttpRequest, customer: Customer, export: PasswordForm, erasing: EraseForm
) -> HttpResponse:
    about, papers = rows_about(customer), keeping.kept_papers(customer)
    context: dict[str, Any] = {
        "customer": customer,
        "till_erased": keeping.kept_till_erased(customer, about),
        "for_law": keeping.kept_for_law(about, papers),
        "papers": papers,
        "why": texts.text("keeping", timezone.localdate()),
        "open_orders": open_orders(customer),
        "money": erasing.money,
        "mentions": mentions(customer),
        "export": export,
        "erasing": erasing,
        "form": erasing if erasing.is_bound else export,
        "form_key": key_of(request),
    }
    return render(request, "quotes/privacy.html", context)
