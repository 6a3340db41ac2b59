"""Ask for a stack: proposals for some knives, each of which opens as a plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from billets.forms.boxes import Offers, offers
from billets.forms.texts import start_texts
from billets.idempotency import new_key, once
from billets.messages import Said, sentence
from billets.models import BarSize
from billets.physics.chains import ProposalWish
from billets.physics.errors import PlanError
from billets.physics.proposal import Proposals
from billets.services import Beliefs, shop_beliefs
from billets.units import System
from billets.wording import flag_sayings, origin, whole
from quotes.errors import QuoteError
from quotes.money import money, quantity
from quotes.stacks.forms import StacksForm, first_asked, steel_names
from quotes.stacks.proposal_words import (
    HEADS,
    amount_text,
    asked_text,
    looked_at,
    nothing_left,
    proposal_texts,
)
from quotes.stacks.proposing import (
    StacksAsked,
    against,
    open_plan,
    proposals_for,
    sealed,
)
from quotes.stacks.unit_costs import unit_costs_on
from quotes.wording import money_text
from shop import stages
from shop.context import shop_of
from shop.models import Knife
from shop.stages import StageError
from shop.views.common import for_owner, system_of


@for_owner
@require_http_methods(["GET", "POST"])
def stacks_page(request: HttpRequest, serial: str) -> HttpResponse:
    """Propose stacks for a knife and others of its order; POST opens one as a plan."""
    knife = get_object_or_404(Knife.objects.for_list(), serial=serial)
    refusal = ""
    if request.method == "POST":
        try:
            return once(request, partial(_open, request, knife))
        except (PlanError, QuoteError, StageError) as error:
            refusal = sentence(error, system_of(request))
    context = {"knife": knife, "refusal": refusal, "query": request.GET.urlencode()}
    return render(request, "quotes/proposals.html", context | _context(request, knife))


def _open(request: HttpRequest, knife: Knife) -> str:
    title = _("{layers} layers: {knives}")
    plan = open_plan(request.POST.get("stack", ""), knife.order_id, title)
    messages.success(request, _("The stack is now a billet plan of its own."))
    return plan.get_absolute_url()


# --- asked ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was asked and what came of it."""

    asked: StacksAsked
    found: Proposals
    beliefs: Beliefs


def _context(request: HttpRequest, knife: Knife) -> dict[str, Any]:
    knives = _before_the_grinder(knife)
    if knife not in knives:
        return {"too_late": True}
    offered, system = offers(None), system_of(request)
    missing = _missing(offered)
    if missing:
        return {"missing": missing}
    form = _form(request, knife, knives, offered)
    context: dict[str, Any] = {"form": form}
    if not form.is_valid():
        return context
    try:
        answer = _answer(form)
    except (PlanError, QuoteError) as error:
        return context | _refused(form, error, system)
    return context | _shown(form, answer, system)


def _before_the_grinder(knife: Knife) -> list[Knife]:
    """Return the knives of the order that can still come out of a new billet."""
    early = (stages.NOT_STARTED, stages.STAGES[0].key)
    return [one for one in knife.order.knives.for_list() if one.stage in early]


def _missing(offered: Offers) -> str:
    """Say what the shop has to enter before stacks can be proposed, or nothing."""
    if not offered.bars:
        return _(
            "No bar is on offer. Enter the bars you can buy under Steels, equipment, "
            "people, and tick them as on offer."
        )
    if len(steel_names(offered)) < 2:
        return _(
            "Bars of one steel only are on offer, and one steel shows no pattern. "
            "Enter a bar of another steel and tick it as on offer."
        )
    kinds = (("forge",), ("press", "hammer", "hand"), ("saw",))
    if not all(offered.of_kinds(*kind) for kind in kinds):
        return _(
            "A forge, a press, hammer or hand, and a saw are needed: enter what is in "
            "use under Steels, equipment, people."
        )
    return ""


def _form(
    request: HttpRequest, knife: Knife, knives: Sequence[Knife], offered: Offers
) -> StacksForm:
    """Return the form as it was sent, or with what is usual."""
    system = system_of(request)
    data: QueryDict = request.GET
    if "layers_low" not in data:
        data = first_asked(knife, knives, offered, _usual_steels(offered, system))
    return StacksForm(
        data,
        knives=knives,
        offers=offered,
        currency=shop_of(request).currency,
        system=system,
    )


def _usual_steels(offered: Offers, system: System) -> list[str]:
    """Return the steels a first plan is laid of, else the first two on offer."""
    boxes, _steps = start_texts(offered, system)
    pair = [boxes["bar_a"], boxes["bar_b"]]
    if all(isinstance(bar, BarSize) for bar in pair):
        return [bar.steel.key for bar in pair]
    return list(steel_names(offered))[:2]


def _answer(form: StacksForm) -> Answer:
    clean, beliefs = form.cleaned_data, shop_beliefs()
    costs = unit_costs_on(timezone.localdate())
    short = form.short
    asked = StacksAsked(
        knives=form.chosen_knives,
        bars=[
            bar for bar in form.offers.bars.values()
            if bar.steel.key in clean["steels"]
        ],
        equipment={name: clean[name] for name in ("forge", "tool", "saw")},
        wish=ProposalWish(
            layers_low=clean["layers_low"],
            layers_high=clean["layers_high"],
            chance=clean["chance"],
        ),
        seed=clean["seed"],
    )  # fmt: skip
    costs = replace(costs, short=None if short is None else float(short))
    found = proposals_for(asked, costs, beliefs)
    return Answer(asked=asked, found=found, beliefs=beliefs)


def _refused(form: StacksForm, error: Said, system: System) -> dict[str, Any]:
    if error.field == "rates":
        return {"no_rates": sentence(error, system)}
    form.refuse(error)
    return {}


# --- shown ---------------------------------------------------------------------------


def _shown(form: StacksForm, answer: Answer, system: System) -> dict[str, Any]:
    found, currency = answer.found, form.currency
    context: dict[str, Any] = {
        "heads": HEADS,
        "asked": asked_text(answer.asked),
        "looked_at": looked_at(found),
        "origin": origin(answer.beliefs),
        "calibrated": answer.beliefs.calibrated,
        "seed": found.seed,
        "draws": whole(found.draws),
    }
    if not found.rows:
        return context | {"nothing": nothing_left(found)}
    context["against"] = flag_sayings(against(found, answer.asked), system)
    texts = proposal_texts(found, currency, system)
    seals = [sealed(row, answer.asked) for row in found.rows]
    context["rows"] = [
        (text, text.cells, seal, new_key())
        for text, seal in zip(texts, seals, strict=True)
    ]
    if form.short is None:
        making = found.rows[0].making
        form.show_computed(money(quantity(making, 6), currency))
        context["computed"] = amount_text(making, currency)
    else:
        context["typed"] = money_text(form.short, currency)
    return context
