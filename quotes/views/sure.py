"""How sure a billet is and what surer ones cost; a stack is taken from here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods

from billets.idempotency import new_key, once
from billets.messages import sentence
from billets.models import Plan
from billets.physics.drivers import Drivers
from billets.physics.errors import PlanError
from billets.physics.lengths import MILLIMETRE
from billets.physics.plan import run_plan
from billets.physics.sure import SureStack
from billets.plan_steps import step_values
from billets.services import (
    StalePlan,
    cut_list,
    plan_input,
    plan_spec,
    save_plan,
    shop_beliefs,
)
from billets.text import NO_VERSION, sent_number
from billets.units import System
from billets.wording import Figure, mass, neat, origin, share, whole
from quotes.errors import QuoteError
from quotes.forms import ShortForm
from quotes.money import EXPONENTS
from quotes.stacks.costs import cheapest_stack, priced, usual_short
from quotes.stacks.sure_words import (
    LEAST_CHANCE,
    MOST_CHANCE,
    Amounts,
    StackRow,
    cheapest_rows,
    cheapest_text,
    driver_words,
    making_text,
    stack_rows,
)
from quotes.stacks.sureness import Sureness, sureness_of
from quotes.stacks.unit_costs import unit_costs_on
from shop.context import shop_of
from shop.views.common import for_owner, system_of

STALE = gettext_noop(
    "Somebody else saved this billet meanwhile. Below are the stacks of the billet as "
    "it is now; take one of them."
)
NOT_OFFERED = gettext_noop("That is no stack of the table; take one of them.")


@for_owner
@require_http_methods(["GET", "POST"])
def sure_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how sure a billet is; “Take this stack” makes a stack the billet's own."""
    plan, refusal = get_object_or_404(Plan.objects.whole(), pk=pk), ""
    if request.method == "POST":
        try:
            return _take(request, plan)
        except StalePlan:
            plan, refusal = Plan.objects.whole().get(pk=pk), _(STALE)
        except PlanError as error:
            refusal = sentence(error, system_of(request))
    return render(request, "quotes/sure.html", _context(request, plan, refusal))


# --- a stack taken -------------------------------------------------------------------


def _take(request: HttpRequest, plan: Plan) -> HttpResponse:
    """Make a stack of the table the billet's own; StalePlan if that has changed."""
    millimetres = sent_number(request.POST.get("length"), digits=4) or 0
    percent = sent_number(request.POST.get("chance"), digits=2) or 0
    if not LEAST_CHANCE <= percent <= MOST_CHANCE:
        raise PlanError(NOT_OFFERED, field="chance")
    length = millimetres * MILLIMETRE
    spec = replace(plan_spec(plan), length=length)
    run_plan(plan_input(spec, shop_beliefs().factors))
    cut_list(spec)  # refuses a stack longer than the bars it is cut from
    plan.version = sent_number(request.POST.get("version")) or NO_VERSION
    plan.length, plan.chance = length, percent / 100.0
    plan.typed = {
        name: text for name, text in plan.typed.items()
        if name not in ("length", "chance")
    }  # fmt: skip
    return once(request, partial(_save, request, plan))


def _save(request: HttpRequest, plan: Plan) -> str:
    bars = {row.letter: row.bar for row in plan.bars.all()}
    rows = [step_values(row) | {"typed": row.typed} for row in plan.steps.all()]
    save_plan(plan, bars, rows)
    said = _("The stack is now {length} long, for a chance of {chance}.").format(
        length=neat(plan.length, "length", system_of(request)),
        chance=share(plan.chance),
    )
    messages.success(request, said)
    return plan.get_absolute_url()


# --- shown ---------------------------------------------------------------------------


def _context(request: HttpRequest, plan: Plan, refusal: str) -> dict[str, Any]:
    system = system_of(request)
    context: dict[str, Any] = {"plan": plan, "refusal": refusal}
    try:
        found = sureness_of(plan)
    except PlanError as error:
        return context | {"impossible": sentence(error, system)}
    return context | _figures(found, system) | _money(request, found, system)


def _figures(found: Sureness, system: System) -> dict[str, Any]:
    """Return what needs no rates."""
    drivers = found.drivers
    return {
        "now": _now(found, system),
        "origin": origin(found.beliefs),
        "calibrated": found.beliefs.calibrated,
        "seed": found.seed,
        "draws": whole(found.draws),
        "rows": _keyed(stack_rows(found, None, system)),
        "drivers": driver_words(drivers, system)
        if isinstance(drivers, Drivers)
        else None,
    }


def _now(found: Sureness, system: System) -> Figure | None:
    """Return the stack as planned as the page's first figure."""
    if not isinstance(found.now, SureStack):
        return None
    return Figure.of(
        _("As planned now it suffices with"),
        share(found.now.chance),
        source=_("Stack {length} long, {mass}.").format(
            length=neat(found.now.length, "length", system),
            mass=mass(found.now.start_mass, system),
        ),
    )


def _money(request: HttpRequest, found: Sureness, system: System) -> dict[str, Any]:
    """Return what stacks cost, or what rate is missing for it."""
    if found.needs is None:
        return {}
    currency = shop_of(request).currency
    try:
        costs = unit_costs_on(timezone.localdate())
        money = priced(found, costs)
        usual = usual_short(money, costs, EXPONENTS[currency])
        form = _form(request, currency, usual)
        short = form.cleaned_data["short"] if form.is_valid() else usual
        amounts = Amounts(priced=money, short=short, currency=currency)
        cheapest = cheapest_stack(found, money, short)
    except (QuoteError, PlanError) as error:
        return {"no_money": sentence(error, system)}
    context: dict[str, Any] = {
        "form": form,
        "making": making_text(money.making, amounts, system),
    }
    if form.is_bound and not form.is_valid():
        return context
    return context | {
        "rows": _keyed(stack_rows(found, amounts, system)),
        "with_money": True,
        "cheapest": _keyed(cheapest_rows(found, cheapest, amounts, system)),
        "cheapest_text": cheapest_text(cheapest, amounts, system),
    }


def _keyed(rows: Iterable[StackRow]) -> list[tuple[StackRow, str]]:
    """Give each row a key of its own, so that taking one does not bar another."""
    return [(row, new_key()) for row in rows]


def _form(request: HttpRequest, currency: str, usual: Any) -> ShortForm:
    sent = request.GET if request.method == "GET" else request.POST
    return ShortForm(
        sent if "short" in sent else None,
        initial={"short": usual},
        currency=currency,
        system=system_of(request),
    )
