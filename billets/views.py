"""Pages of billets: the list, and the one on which a billet is planned."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from itertools import zip_longest
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from billets import choices
from billets.comparing import Difference, differences, plan_lines
from billets.forms.editor import PlanEditor
from billets.idempotency import key_of, once
from billets.messages import sentence
from billets.models import Plan, PlanTarget
from billets.paging import Sort, page_of
from billets.physics.errors import PlanError
from billets.plan_steps import core_steps, step_values
from billets.services import StalePlan, plan_spec, save_plan
from billets.tables import plan_rows
from billets.text import NO_VERSION, clean_text, sent_number
from billets.trying import Aim, Trial, fitted, refused, trial
from billets.units import System

ARRANGING = ("up", "down", "remove", "add")
"""Buttons after which a billet is often half done, so that its errors can wait."""


def system_of(request: HttpRequest) -> System:
    """Return the shop's units, which the request carries."""
    return getattr(getattr(request, "shop", None), "units", "metric")


@require_safe
def plan_list(request: HttpRequest) -> HttpResponse:
    """Show all billets, the newest first."""
    page = page_of(Plan.objects.whole(), Sort(descending=True), request.GET)
    context = {
        "rows": plan_rows(page.rows, system_of(request)),
        "newer": f"?before={page.before}" if page.before else "",
        "older": f"?after={page.after}" if page.after else "",
    }
    return render(request, "billets/plans.html", context)


@require_http_methods(["GET", "POST"])
def plan_new(request: HttpRequest) -> HttpResponse:
    """Plan a new billet, from scratch, like another, or for a knife."""
    system = system_of(request)
    serial = clean_text(request.POST.get("knife") or request.GET.get("knife", ""))
    rows = list(PlanTarget.objects.filter(knife__serial=serial, plan=None))
    if request.method == "POST":
        editor = PlanEditor.sent(request.POST, system)
    else:
        copied = sent_number(request.GET.get("like")) or 0
        like = Plan.objects.whole().filter(pk=copied).first()
        editor = PlanEditor.like(like, system) if like else PlanEditor.fresh(system)
    found = _tried(request, editor, rows)
    if _may_save(request, editor, found):
        return once(request, partial(_add, request, editor, found, rows))
    context = {"targets": rows, "knife": serial if rows else ""}
    return _page(request, editor, found, context)


@require_http_methods(["GET", "POST"])
def plan_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a billet and change it; “Try” computes again, “Save” keeps it."""
    plan, system = get_object_or_404(Plan.objects.whole(), pk=pk), system_of(request)
    rows, version, differing = list(plan.targets.all()), plan.version, None
    if request.method == "POST":
        version = sent_number(request.POST.get("version")) or NO_VERSION
        editor = PlanEditor.sent(request.POST, system, plan)
        found = _tried(request, editor, rows)
    else:
        editor = PlanEditor.of(plan, system)
        found = _kept(plan, rows, system)
    if _may_save(request, editor, found):
        plan.version = version
        try:
            return once(request, partial(_change, request, editor, found))
        except StalePlan:
            current = Plan.objects.whole().get(pk=pk)
            version, differing = current.version, _differing(editor, current)
    context = {"plan": plan, "version": version, "differences": differing}
    return _page(request, editor, found, context)


# --- computed ------------------------------------------------------------------------


def _tried(
    request: HttpRequest, editor: PlanEditor, rows: Sequence[PlanTarget]
) -> Trial:
    """Compute what was sent, fitted first if that was asked; errors go to the boxes."""
    if "save" not in request.POST:
        editor.forgive()
    if not editor.can_be_computed():
        return Trial()
    try:
        spec, aim = editor.spec(), editor.aim(rows)
        if "fit" in request.POST:
            by_pieces = request.POST["fit"] == "pieces"
            spec, fit = fitted(spec, aim, by_pieces=by_pieces)
            editor.write_fit(spec, fit, by_pieces=by_pieces)
        return trial(spec, aim, editor.system)
    except PlanError as error:
        if not any(button in request.POST for button in ARRANGING):
            editor.refuse(error)
        return refused(error, editor.system)


def _kept(plan: Plan, rows: Sequence[PlanTarget], system: System) -> Trial:
    """Compute a billet as it is saved."""
    try:
        aim = Aim(rows=rows, chance=plan.chance, seed=plan.seed)
        return trial(plan_spec(plan), aim, system)
    except PlanError as error:
        return refused(error, system)


# --- saved ---------------------------------------------------------------------------


def _may_save(request: HttpRequest, editor: PlanEditor, found: Trial) -> bool:
    """Say whether to save; a heat close to burning needs its tick first."""
    if "save" not in request.POST or not editor.is_valid() or found.figures is None:
        return False
    burning = found.figures.burning
    if burning and not editor.form.cleaned_data["hot_tick"]:
        editor.form.add_error("hot_tick", sentence(burning[0], editor.system))
    return editor.is_valid()


def _add(
    request: HttpRequest,
    editor: PlanEditor,
    found: Trial,
    rows: Sequence[PlanTarget],
) -> str:
    plan = _save(editor, found)
    waiting = PlanTarget.objects.filter(pk__in=[row.pk for row in rows], plan=None)
    waiting.update(plan=plan)
    messages.success(request, _("The billet is saved."))
    return plan.get_absolute_url()


def _change(request: HttpRequest, editor: PlanEditor, found: Trial) -> str:
    plan = _save(editor, found)
    messages.success(request, _("The billet is saved."))
    return plan.get_absolute_url()


def _save(editor: PlanEditor, found: Trial) -> Plan:
    plan = editor.form.plan()
    # A tick from hotter days must not stand for a heat nobody has ticked.
    hot = found.figures is not None and bool(found.figures.burning)
    plan.hot_tick = plan.hot_tick and hot
    return save_plan(plan, editor.form.bars, editor.steps.values())


def _differing(editor: PlanEditor, current: Plan) -> list[Difference]:
    """Return what the form and the billet as it now is say differently."""
    system = editor.system
    mine = plan_lines(
        editor.form.plan(), editor.form.bars, core_steps(editor.steps.values()), system
    )
    bars = {row.letter: row.bar for row in current.bars.all()}
    steps = core_steps([step_values(row) for row in current.steps.all()])
    return differences(mine, plan_lines(current, bars, steps, system))


# --- shown ---------------------------------------------------------------------------


def _page(
    request: HttpRequest, editor: PlanEditor, found: Trial, context: dict[str, Any]
) -> HttpResponse:
    forms = editor.steps.forms
    rows = found.summary.rows[1:] if found.summary else ()
    shown = {
        "form": editor.form,
        "steps": editor.steps,
        "rows": list(zip_longest(forms, rows)),
        "kinds": choices.step(),
        "trial": found,
        "fitted": editor.fitted,
        "form_key": key_of(request),
    }
    return render(request, "billets/plan.html", shown | context)
