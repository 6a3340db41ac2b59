"""An order's payments: what arrived, what is open, and papers that ask for it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from billets.idempotency import key_of, once, sent_before
from billets.messages import sentence
from billets.text import KEY_DIGITS, sent_number
from quotes.errors import QuoteError
from quotes.pay.bought import bought_of
from quotes.pay.code import no_code, transfer_to
from quotes.pay.deposit import agree_deposit
from quotes.pay.documents import (
    keep_request,
    print_request,
    printed_before,
    requests_of,
)
from quotes.pay.forms import DepositForm, LateForm, PaymentForm, RequestForm
from quotes.pay.late import may_agree, usual_sum, why_nothing
from quotes.pay.request import (
    NAMES,
    RequestPaper,
    amount_asked,
    request_paper,
)
from quotes.pay.words import payment_rows, rate_note, standing
from quotes.services import Printed
from quotes.wording import money_text
from shop import payments, services
from shop.context import shop_of
from shop.models import Order, Payment
from shop.payments import DoubtfulError
from shop.stages import StageError
from shop.views.common import for_owner, system_of, user_of


@for_owner
@require_http_methods(["GET", "POST"])
def payments_page(request: HttpRequest, number: str) -> HttpResponse:
    """Show an order's money; enter some, take some back, agree on another deposit."""
    order = _order(number)
    if request.method != "POST":
        return _page(request, order)
    if "take_back" in request.POST:
        return _take_back(request, order)
    if "total" in request.POST and may_agree(order):
        late = _late_form(request, order, request.POST)
        return _written(request, order, "late", late, _agree_late)
    if "deposit" in request.POST:
        deposit = _deposit_form(request, order, request.POST)
        return _written(request, order, "deposit", deposit, _agree)
    return _receive(request, order)


def _order(number: str) -> Order:
    return get_object_or_404(Order.objects.select_related("customer"), number=number)


def _address(order: Order) -> str:
    return reverse("payments", args=[order.number])


def _receive(request: HttpRequest, order: Order) -> HttpResponse:
    form = PaymentForm(
        request.POST, currency=payments.currency_of(order), system=system_of(request)
    )
    return _written(request, order, "payment", form, _enter)


def _written(
    request: HttpRequest, order: Order, name: str, form: forms.Form,
    act: Callable[..., str],
) -> HttpResponse:  # fmt: skip
    """Write a form down, or show its boxes again with what is wrong."""
    if form.is_valid():
        answer = _done(request, form, partial(act, request, order, form))
        if answer:
            return answer
    return _page(request, order, **{name: form})


def _enter(request: HttpRequest, order: Order, form: PaymentForm) -> str:
    payments.receive(
        order, form.payment, by=user_of(request), at=timezone.now(), sure=form.is_sure
    )
    messages.success(request, _("The payment is entered."))
    return _address(order)


def _done(
    request: HttpRequest, form: forms.Form, act: Callable[[], str]
) -> HttpResponse | None:
    """Carry out an act once; None, and why beside its box, if it cannot be."""
    try:
        return once(request, act)
    except (StageError, QuoteError) as error:
        more = error.others if isinstance(error, DoubtfulError) else ()
        for one in (error, *more):
            box = one.field if one.field in form.fields else None
            code = "ask" if isinstance(one, DoubtfulError) else None
            said = sentence(one, system_of(request))
            form.add_error(box, forms.ValidationError(said, code=code))
        return None


def _take_back(request: HttpRequest, order: Order) -> HttpResponse:
    key = sent_number(request.POST["take_back"], digits=KEY_DIGITS) or 0
    payment = get_object_or_404(Payment, pk=key, order=order)
    try:
        return once(request, partial(_undo, request, payment))
    except StageError as error:
        messages.error(request, sentence(error, system_of(request)))
        return _page(request, order)


def _undo(request: HttpRequest, payment: Payment) -> str:
    payments.take_back(payment, by=user_of(request), at=timezone.now())
    messages.success(request, _("The payment is taken back; the list keeps it."))
    return _address(payment.order)


def _deposit_form(request: HttpRequest, order: Order, data: Any = None) -> DepositForm:
    return DepositForm(
        data, currency=payments.currency_of(order), system=system_of(request),
        deposit=order.deposit_due or payments.ZERO,
    )  # fmt: skip


def _agree(request: HttpRequest, order: Order, form: DepositForm) -> str:
    agree_deposit(
        order, form.cleaned_data["deposit"], seen=form.was, day=timezone.localdate(),
        sure=form.is_sure,
    )  # fmt: skip
    messages.success(request, _("The deposit is changed."))
    return _address(order)


def _late_form(request: HttpRequest, order: Order, data: Any = None) -> LateForm:
    return LateForm(
        data, currency=payments.currency_of(order), usual=usual_sum(order),
        system=system_of(request),
    )  # fmt: skip


def _agree_late(request: HttpRequest, order: Order, form: LateForm) -> str:
    services.agree_late(order, form.cleaned_data["total"])
    messages.success(request, _("The sum is agreed on."))
    return _address(order)


# --- requests ---------------------------------------------------------------------


@for_owner
@require_POST
def request_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """Print a request for the deposit or the balance, and keep it."""
    order = _order(number)
    if sent_before(request):
        return once(request, order.get_absolute_url)
    form = RequestForm(request.POST, system=system_of(request))
    if not form.is_valid():
        return _page(request, order, request_form=form)
    try:
        paper = request_paper(
            order, shop_of(request), form.cleaned_data["what"], timezone.localdate()
        )
    except QuoteError as error:
        form.add_error(None, sentence(error, system_of(request)))
        return _page(request, order, request_form=form)
    printed = None if printed_before(order, paper) else print_request(paper)
    return once(request, partial(_keep, request, order, paper, printed))


def _keep(
    request: HttpRequest, order: Order, paper: RequestPaper, printed: Printed | None
) -> str:
    kept = keep_request(order, paper, printed, by=user_of(request), at=timezone.now())
    return kept.get_absolute_url()


# --- the page ---------------------------------------------------------------------


def _page(request: HttpRequest, order: Order, **sent: forms.Form) -> HttpResponse:
    currency, bought = payments.currency_of(order), bought_of(order)
    today = {"received_on": timezone.localdate()}
    rows = order.payments.select_related("by", "taken_back_by").order_by("-pk")
    context: dict[str, Any] = {
        "order": order,
        "bought": bought,
        "standing": standing(order, currency),
        "rows": payment_rows(rows, currency),
        "payment": PaymentForm(
            currency=currency, initial=today, system=system_of(request)
        ),
        "deposit": _deposit_form(request, order),
        "form": next(iter(sent.values()), None),
        "requests": requests_of(order),
        "asks": _asks(order, currency),
        "account": _account(request, order, currency),
        "is_ready": order.state == "accepted" and payments.ready(order),
        "rate_note": rate_note(order, timezone.localdate()),
        "customer_language": translation.get_language_info(order.customer.language)[
            "name_translated"
        ],
        "form_key": key_of(request),
    }
    if order.agreed is None:
        context["why_nothing"] = why_nothing(order)
        if may_agree(order):
            context["late"] = _late_form(request, order)
    return render(request, "quotes/payments.html", context | sent)


def _asks(order: Order, currency: str) -> list[tuple[str, str, str]]:
    """Return what can be asked for: its key, name and amount."""
    found: list[tuple[str, str, str]] = []
    for what, name in NAMES.items():
        try:
            amount = amount_asked(order, what)
        except QuoteError:
            continue
        found.append((what, str(name), money_text(amount, currency)))
    return found


def _account(request: HttpRequest, order: Order, currency: str) -> dict[str, str]:
    """Return why no request can be made, or none with a code; each may be empty."""
    amount = max(payments.balance(order), payments.ZERO)
    try:
        transfer = transfer_to(shop_of(request), amount, currency, order.number)
    except QuoteError as error:
        return {"lacks": sentence(error, system_of(request)), "no_code": ""}
    why = no_code(transfer) if amount else ""
    return {"lacks": "", "no_code": _(why) if why else ""}
