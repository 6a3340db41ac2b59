"""Customers: the list, one of them, a new one, changes."""

from __future__ import annotations

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from billets.idempotency import key_of, once
from billets.paging import Sort, page_of
from billets.text import clean_text
from shop import services
from shop.context import shop_of
from shop.forms.customers import CustomerForm
from shop.models import Customer, holding
from shop.tables import customer_table
from shop.views.common import differences, system_of, version_for

MOST_ORDERS = 50
BY_NAME = Sort(column="folded")


@require_safe
def customer_list(request: HttpRequest) -> HttpResponse:
    """Show customers by name, 25 a page."""
    words = clean_text(request.GET.get("q", ""))[:100]
    page = page_of(holding(Customer.objects.all(), words), BY_NAME, request.GET)
    context = {"table": customer_table(page.rows, request), "page": page, "q": words}
    return render(request, "shop/customers.html", context)


@require_safe
def customer_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a customer and the latest orders."""
    customer = get_object_or_404(Customer, pk=pk)
    orders = list(customer.orders.prefetch_related("knives")[: MOST_ORDERS + 1])
    context = {
        "customer": customer,
        "orders": orders[:MOST_ORDERS],
        "more": len(orders) > MOST_ORDERS,
    }
    return render(request, "shop/customer.html", context)


@require_http_methods(["GET", "POST"])
def customer_new(request: HttpRequest) -> HttpResponse:
    """Write down a customer before there is an enquiry."""
    data = request.POST if request.method == "POST" else None
    usual = {"language": shop_of(request).language}
    form = CustomerForm(data, initial=usual, system=system_of(request))
    if request.method == "POST" and form.is_valid():
        return once(request, partial(_save, Customer(), form))
    context = {"form": form, "form_key": key_of(request)}
    return render(request, "shop/customer_form.html", context)


@require_http_methods(["GET", "POST"])
def customer_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a customer who is not erased; whoever saves second sees both."""
    customer = get_object_or_404(Customer, pk=pk, erased=None)
    version, differing = version_for(request, customer), []
    data = request.POST if request.method == "POST" else None
    form = CustomerForm(data, instance=customer, system=system_of(request))
    if request.method == "POST" and form.is_valid():
        customer.version = version
        try:
            return once(request, partial(_save, customer, form))
        except services.StaleError as stale:
            version, differing = stale.current.version, differences(form, stale.current)
    context = {
        "form": form,
        "customer": customer,
        "version": version,
        "differences": differing,
        "form_key": key_of(request),
    }
    return render(request, "shop/customer_form.html", context)


def _save(customer: Customer, form: CustomerForm) -> str:
    saved = services.save_customer(form.cleaned_data, customer=customer)
    return saved.get_absolute_url()
