"""The shop's own settings, kept to the owner."""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from billets.comparing import Difference
from billets.idempotency import key_of, once
from shop import services
from shop.forms.settings import ShopForm, TaxForm
from shop.models import Shop, TaxSetting
from shop.views.common import differences, for_owner, system_of, version_for

MOST_TAXES = 20


@for_owner
@require_http_methods(["GET", "POST"])
def shop_page(request: HttpRequest) -> HttpResponse:
    """Show and change the shop's name, papers, units and texts."""
    shop = Shop.current()
    version, differing = version_for(request, shop), []
    data = request.POST if request.method == "POST" else None
    form = ShopForm(data, instance=shop, system=system_of(request))
    if request.method == "POST" and form.is_valid():
        shop.version = version
        try:
            return once(request, partial(_save_shop, request, shop, form))
        except services.StaleError as stale:
            version, differing = stale.current.version, differences(form, stale.current)
    return _shop_page(request, form, version=version, differing=differing)


def _save_shop(request: HttpRequest, shop: Shop, form: ShopForm) -> str:
    services.save_shop(shop, form.cleaned_data)
    messages.success(request, _("The settings are saved."))
    return reverse("shop")


def _shop_page(
    request: HttpRequest,
    form: ShopForm,
    *,
    version: int,
    differing: list[Difference],
    tax: TaxForm | None = None,
) -> HttpResponse:
    today = timezone.localdate()
    context = {
        "form": form,
        "tax": tax or TaxForm(initial={"valid_from": today}, system=system_of(request)),
        "taxes": TaxSetting.objects.all()[:MOST_TAXES],
        "tax_now": TaxSetting.objects.on(today),
        "version": version,
        "differences": differing,
        "form_key": key_of(request),
    }
    return render(request, "shop/settings.html", context)


@for_owner
@require_POST
def tax_new(request: HttpRequest) -> HttpResponse:
    """Say how the shop is taxed from a day on."""
    tax = TaxForm(request.POST, system=system_of(request))
    if tax.is_valid():
        return once(request, partial(_add_tax, request, tax))
    shop = Shop.current()
    form = ShopForm(instance=shop, system=system_of(request))
    return _shop_page(request, form, version=shop.version, differing=[], tax=tax)


def _add_tax(request: HttpRequest, tax: TaxForm) -> str:
    tax.save()
    messages.success(request, _("The tax setting is saved."))
    return reverse("shop")
