"""The page of a forge's gas: weigh a bottle, tell of burners and bottles, keep it."""

from __future__ import annotations

import hashlib
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from billets.forge_gas import ForgeGas, forge_gas, kept_meanwhile
from billets.forms.gas import KEPT, GasForm
from billets.idempotency import key_of, once
from billets.messages import sentence
from billets.models import Equipment
from billets.physics.errors import PlanError
from billets.services import core_forge
from billets.views import system_of


class StaleForge(ValueError):
    """Somebody else changed this forge in the meantime."""


@require_http_methods(["GET", "POST"])
def gas_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a forge burns; “Work out” computes again, “Keep” keeps it."""
    row = get_object_or_404(Equipment, pk=pk, kind="forge")
    before, differing = _kept(row), None
    data = request.POST if request.method == "POST" else None
    form = GasForm(data, instance=row, system=system_of(request))
    if "keep" in request.POST and form.is_valid():
        mine = _kept(form.instance)
        try:
            return once(request, partial(_keep, request, row.pk, before, mine))
        except StaleForge:
            before = _kept(Equipment.objects.get(pk=pk))
            differing = kept_meanwhile(mine, before, form.system)
    context = {
        "forge": row,
        "form": form,
        "found": _found(form),
        "seen": _digest(before),
        "differences": differing,
        "form_key": key_of(request),
    }
    return render(request, "billets/gas.html", context)


def _kept(row: Equipment) -> dict[str, Any]:
    """Return what is kept of a forge's gas, as it stands in the row."""
    return {name: getattr(row, name) for name in KEPT}


def _digest(kept: dict[str, Any]) -> str:
    """Return a digest of it, so that a form knows what it was made from."""
    return hashlib.sha256(repr(sorted(kept.items())).encode()).hexdigest()


def _keep(
    request: HttpRequest, pk: int, before: dict[str, Any], mine: dict[str, Any]
) -> str:
    """Keep what the form says, unless somebody else changed the forge."""
    fresh = request.POST.get("seen") == _digest(before)
    if not (fresh and Equipment.objects.filter(pk=pk, **before).update(**mine)):
        raise StaleForge
    messages.success(request, _("The gas of this forge is kept."))
    return reverse("gas", args=[pk])


def _found(form: GasForm) -> ForgeGas | None:
    """Say what the forge burns, as typed or as kept; None while boxes need mending."""
    if form.is_bound and not form.is_valid():
        return None
    try:
        forge = form.forge or core_forge(form.instance)
        return forge_gas(forge, form.system, holds=form.held)
    except PlanError as error:
        return ForgeGas(refusal=sentence(error, form.system))
