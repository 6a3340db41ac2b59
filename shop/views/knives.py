"""Knives: the page of one, a new one, its changes, its billet."""

from __future__ import annotations

from functools import partial
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from billets.idempotency import key_of, once
from billets.messages import sentence
from billets.physics.errors import PlanError
from billets.physics.knife_spec import default_spec
from shop import payments, services, stages
from shop.forms.knives import KnifeForm
from shop.forms.stages import BackForm, BilletForm, LeaveForm, MoveForm, earlier_stages
from shop.forms.work import HoursForm
from shop.models import Knife, Order, Shop
from shop.stages import StageError
from shop.usual import FIRST_FAMILY
from shop.views.common import differences, system_of, user_of, version_for
from shop.views.preview import preview_from, preview_of
from shop.weeks import in_words
from shop.wording import spec_rows
from shop.work_words import work_context


def knife_or_404(serial: str) -> Knife:
    """Return a knife with its order, customer and billet."""
    return get_object_or_404(Knife.objects.for_list(), serial=serial)


@require_safe
def knife_page(request: HttpRequest, serial: str) -> HttpResponse:
    """Show all about one knife."""
    return show_knife(request, knife_or_404(serial))


def show_knife(request: HttpRequest, knife: Knife, **sent: forms.Form) -> HttpResponse:
    """Show a knife's page, with a form as it was sent if something is wrong in it."""
    system = system_of(request)
    week = knife.order.promised_week
    boxes: dict[str, Any] = {
        "move": MoveForm(knife=knife, system=system),
        "back": BackForm(knife=knife, system=system) if _can_go_back(knife) else None,
        "leave": LeaveForm(knife=knife, system=system) if _can_leave(knife) else None,
        "billet": BilletForm(knife=knife, system=system),
        "hours": HoursForm(knife=knife, system=system),
    }
    context = {
        "knife": knife,
        "rows": spec_rows(knife, system),
        "preview": preview_from(services.spec_of(knife), system),
        "here": knife.stage in stages.bench(),
        "work": ", ".join(_(one) for one in _work(knife)),
        "onward": _(stages.label_of(stages.next_stage(knife.stage) or "")),
        "events": knife.events.select_related("by").order_by("-pk"),
        "week": in_words(week) if week else "",
        "money": money_waits(knife),
        "form": next(iter(sent.values()), None),
        "form_key": key_of(request),
    }
    context |= work_context(knife)
    return render(request, "shop/knife.html", context | boxes | sent)


def money_waits(knife: Knife) -> str:
    """Return the key of what the page says of money that is not here, empty if it is.

    No amount is said: whoever works at the bench may read this page.
    """
    if payments.forge_waits(knife):
        return "locked" if Shop.current().deposit_locks else "deposit"
    if payments.delivery_waits(knife):
        return "balance"
    owes = knife.stage == payments.LAST_AT_THE_BENCH and knife.order.agreed is not None
    return "paid" if owes else ""


def _work(knife: Knife) -> tuple[str, ...]:
    """Return the bench work of the stage a knife stands at."""
    return stages.stage_of(knife.stage).work if knife.stage in stages.bench() else ()


def _can_go_back(knife: Knife) -> bool:
    over = knife.order.state in stages.closed_states()
    stays = over and services.is_settled(knife.order)
    return bool(earlier_stages(knife)) and not stays


def _can_leave(knife: Knife) -> bool:
    return any(stages.can_move(knife.stage, out) for out in stages.EXITS)


@require_http_methods(["GET", "POST"])
def knife_new(request: HttpRequest, number: str) -> HttpResponse:
    """Add a knife to an order, from scratch or like another one."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    system = system_of(request)
    replaces = _replaced(request, order)
    if request.method == "POST":
        form = KnifeForm.sent(request.POST, system)
        preview = preview_of(form, only_knife=True)
    else:
        like = Knife.objects.filter(serial=request.GET.get("like", "")[:8]).first()
        form = KnifeForm.like(like, system) if like else KnifeForm.fresh(system)
        spec = services.spec_of(like) if like else default_spec(FIRST_FAMILY)
        preview = preview_from(spec, system)
    if "save" in request.POST and form.is_valid():
        try:
            return once(request, partial(_add_knife, request, order, form, replaces))
        except (PlanError, StageError) as error:
            form.refuse(error)
    context = {
        "form": form,
        "order": order,
        "replaces": replaces,
        "preview": preview,
        "form_key": key_of(request),
    }
    return render(request, "shop/knife_form.html", context)


def _replaced(request: HttpRequest, order: Order) -> Knife | None:
    """Return the scrapped knife of an order that is made again, if one is named."""
    named = request.POST.get("replaces") or request.GET.get("like", "")
    return order.knives.filter(serial=named[:8], stage="scrapped", again=None).first()


def _add_knife(
    request: HttpRequest, order: Order, form: KnifeForm, replaces: Knife | None
) -> str:
    values, by = form.knife_values(), user_of(request)
    knife = services.add_knife(
        order, values, by=by, at=timezone.now(), replaces=replaces
    )
    return knife.get_absolute_url()


@require_http_methods(["GET", "POST"])
def knife_edit(request: HttpRequest, serial: str) -> HttpResponse:
    """Change a knife; “Try” draws and weighs it, “Save” keeps it."""
    knife, system = knife_or_404(serial), system_of(request)
    version, differing = version_for(request, knife), []
    if request.method == "POST":
        form = KnifeForm.sent(request.POST, system, instance=knife)
        preview = preview_of(form, only_knife=True)
    else:
        form = KnifeForm(instance=knife, system=system)
        preview = preview_from(services.spec_of(knife), system)
    if "save" in request.POST and form.is_valid():
        knife.version = version
        try:
            return once(request, partial(_change_knife, knife, form))
        except (PlanError, StageError) as error:
            form.refuse(error)
        except services.StaleError as stale:
            version, differing = stale.current.version, differences(form, stale.current)
    context = {
        "form": form,
        "knife": knife,
        "order": knife.order,
        "bound": services.is_bound(knife.order),
        "preview": preview,
        "version": version,
        "differences": differing,
        "form_key": key_of(request),
    }
    return render(request, "shop/knife_form.html", context)


def _change_knife(knife: Knife, form: KnifeForm) -> str:
    return services.edit_knife(knife, form.knife_values()).get_absolute_url()


@require_POST
def assign_plan(request: HttpRequest, serial: str) -> HttpResponse:
    """Say from which billet a knife is made."""
    knife = knife_or_404(serial)
    form = BilletForm(request.POST, knife=knife, system=system_of(request))
    if not form.is_valid():
        return show_knife(request, knife, billet=form)
    try:
        return once(request, partial(_assign, knife, form))
    except StageError as error:
        form.add_error("plan", sentence(error, system_of(request)))
        return show_knife(request, knife, billet=form)


def _assign(knife: Knife, form: BilletForm) -> str:
    services.assign_plan(knife, form.cleaned_data["plan"])
    return knife.get_absolute_url()
