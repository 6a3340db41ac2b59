"""Orders: the table, a new enquiry, the page of one, its changes."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from billets.idempotency import key_of, once
from billets.messages import sentence
from billets.paging import page_of
from billets.physics.errors import PlanError
from billets.physics.knife_spec import default_spec
from billets.text import KEY_DIGITS, sent_number
from shop import payments, services, stages
from shop.context import may_see_prices
from shop.forms.orders import NewOrderForm, OrderFilter, OrderForm, newest_customers
from shop.forms.stages import CancelForm
from shop.history import history
from shop.models import AgreedChange, Customer, Knife, Order, holding
from shop.stages import StageError
from shop.tables import FIRST_SORT, SORTS, order_table
from shop.usual import FIRST_FAMILY
from shop.views.common import differences, system_of, user_of, version_for
from shop.views.preview import preview_from, preview_of
from shop.weeks import in_words

MOST_EVENTS = 100


@require_safe
def order_list(request: HttpRequest) -> HttpResponse:
    """Show all orders, 25 a page: found, filtered and sorted as the address says."""
    form = OrderFilter(request.GET, system=system_of(request))
    form.is_valid()
    asked = form.cleaned_data
    sort = asked.get("sort") or FIRST_SORT
    sort = sort if sort in SORTS else FIRST_SORT
    page = page_of(_found(asked), SORTS[sort], request.GET)
    context = {
        "form": form,
        "table": order_table(page.rows, sort, request),
        "page": page,
        "customers": newest_customers(),
    }
    return render(request, "shop/orders.html", context)


def _found(asked: dict[str, Any]) -> QuerySet[Order]:
    orders = holding(Order.objects.for_list(), str(asked.get("q") or ""))
    if asked.get("state"):
        orders = orders.filter(state=asked["state"])
    if asked.get("stage"):
        at_stage = Knife.objects.filter(stage=asked["stage"])
        orders = orders.filter(pk__in=at_stage.values("order"))
    if asked.get("customer"):
        orders = orders.filter(customer=asked["customer"])
    return orders


@require_http_methods(["GET", "POST"])
def order_new(request: HttpRequest) -> HttpResponse:
    """Take an enquiry; “Try” draws and weighs the knife, “Save” opens the order."""
    system = system_of(request)
    if request.method == "POST":
        form = NewOrderForm.sent(request.POST, system)
        preview = preview_of(form, only_knife="save" not in request.POST)
    else:
        form = NewOrderForm.fresh(system, **_asked_for(request))
        preview = preview_from(default_spec(FIRST_FAMILY), system)
    if "save" in request.POST and form.is_valid():
        try:
            return once(request, partial(_open_order, request, form))
        except (PlanError, StageError) as error:
            form.refuse(error)
    context = {
        "form": form,
        "preview": preview,
        "week": _week_in_words(form),
        "form_key": key_of(request),
        "customers": newest_customers(),
    }
    return render(request, "shop/order_new.html", context)


def _week_in_words(form: NewOrderForm) -> str:
    """Return the promised week as understood: a box shows days in many ways."""
    monday = form.cleaned_data.get("promised_week") if form.is_bound else None
    return in_words(monday) if monday else ""


def _asked_for(request: HttpRequest) -> dict[str, object]:
    """Return whose enquiry it is, if the page was opened from a customer's."""
    key = sent_number(request.GET.get("customer"), digits=KEY_DIGITS) or 0
    customer = Customer.objects.filter(pk=key).first()
    return {"known": customer} if customer else {}


def _open_order(request: HttpRequest, form: NewOrderForm) -> str:
    known = form.cleaned_data["known"]
    customer = known or services.save_customer(form.customer_values())
    order = services.open_order(
        customer=customer,
        wish=form.cleaned_data["wish"],
        promised_week=form.cleaned_data["promised_week"],
        knives=[form.knife_values()],
        by=user_of(request),
        at=timezone.now(),
    )
    said = _("Enquiry {number} is saved.").format(number=order.number)
    messages.success(request, said)
    return order.get_absolute_url()


@require_safe
def order_page(request: HttpRequest, number: str) -> HttpResponse:
    """Show all about one order."""
    return _order_page(request, _order(number))


def _order(number: str) -> Order:
    return get_object_or_404(Order.objects.select_related("customer"), number=number)


def _order_page(request: HttpRequest, order: Order) -> HttpResponse:
    quotes = _quotes(order)
    context = {
        "order": order,
        "knives": order.knives.for_list(),
        "events": history(order, quotes, MOST_EVENTS),
        "quotes": quotes if may_see_prices(request) else (),
        "questions": order.questions.all() if may_see_prices(request) else (),
        "week": in_words(order.promised_week) if order.promised_week else "",
        "wanted": in_words(order.wanted_week) if order.wanted_week else "",
        "money_open": payments.balance(order),
        "money_back": payments.goes_back(order),
        "currency": payments.currency_of(order),
        "deposit_missing": order.state == "accepted"
        and payments.deposit_missing(order) > 0,
        "exits": tuple(stages.EXITS),
        "is_open": order.state in stages.open_states(),
        "changes": _changes(order) if may_see_prices(request) else (),
        "form": CancelForm(),
        "form_key": key_of(request),
    }
    return render(request, "shop/order.html", context)


def _changes(order: Order) -> list[AgreedChange]:
    """Return the changes of knives, and the cancellation if there is one, as kept."""
    return list(order.changes.select_related("knife"))


def _quotes(order: Order) -> QuerySet:
    """Return the order's quotes; they belong to the app above this one."""
    return order.quotes.select_related("by", "answer__by", "answer__option")


@require_http_methods(["GET", "POST"])
def order_edit(request: HttpRequest, number: str) -> HttpResponse:
    """Change what an order says; whoever saves second sees both."""
    order = _order(number)
    version, differing = version_for(request, order), []
    form = OrderForm(
        request.POST if request.method == "POST" else None,
        instance=order,
        system=system_of(request),
    )
    if request.method == "POST" and form.is_valid():
        order.version = version
        try:
            return once(request, partial(_change_order, order, form))
        except services.StaleError as stale:
            version, differing = stale.current.version, differences(form, stale.current)
    context = {
        "form": form,
        "order": order,
        "version": version,
        "differences": differing,
        "form_key": key_of(request),
    }
    return render(request, "shop/order_edit.html", context)


def _change_order(order: Order, form: OrderForm) -> str:
    services.change_order(order, form.cleaned_data)
    return order.get_absolute_url()


@require_POST
def order_decline(request: HttpRequest, number: str) -> HttpResponse:
    """Decline an enquiry."""
    order = _order(number)
    try:
        return once(request, partial(_decline, order))
    except StageError as error:
        messages.error(request, sentence(error, system_of(request)))
        return redirect(order)


def _decline(order: Order) -> str:
    services.change_state(order, "declined")
    return order.get_absolute_url()
