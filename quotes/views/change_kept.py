"""A change that is kept: its note, the customer's answer, what a yes alters."""

from __future__ import annotations

from decimal import Decimal
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once
from billets.messages import sentence
from billets.physics.errors import PlanError
from quotes.changes_after import saving
from quotes.changes_after.forms import ChangeAnswerForm
from quotes.changes_after.words import back_sentence, kept_rows, sums_left
from quotes.errors import QuoteError
from quotes.models import Paper
from quotes.services import letter
from quotes.wording import money_text
from shop import payments
from shop.models import AgreedChange, Order
from shop.stages import StageError
from shop.views.common import for_owner, system_of


@for_owner
@require_http_methods(["GET", "POST"])
def change_page(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Show a change as it was kept, and write the customer's answer down."""
    rows = AgreedChange.objects.select_related("order__customer", "knife", "by")
    change = get_object_or_404(rows, pk=pk, order__number=number, knife__isnull=False)
    sent = request.POST if request.method == "POST" else None
    form = ChangeAnswerForm(sent, system=system_of(request))
    if request.method == "POST" and form.is_valid():
        try:
            return once(request, partial(_answer, request, change, form))
        except (StageError, QuoteError, PlanError) as error:
            place = error.field if error.field in form.fields else None
            form.add_error(place, sentence(error, system_of(request)))
    return render(request, "quotes/change.html", _kept(request, change, form))


def _answer(request: HttpRequest, change: AgreedChange, form: ChangeAnswerForm) -> str:
    if not change.values:
        raise StageError(_("The customer was erased: nothing more can be answered."))
    saving.answer_change(
        change, accepted=form.accepted, how=form.cleaned_data["how"],
        at=timezone.now(),
    )  # fmt: skip
    said = _("The no is written down; the knife stays as it was ordered.")
    if form.accepted:
        said = _(
            "The yes is written down; the knife, the agreed total and the week are "
            "changed. Print its build sheet anew and take the old one down."
        )
    messages.success(request, said)
    _tell_back(request, change.order)
    return reverse("change", args=[change.order.number, change.pk])


def _tell_back(request: HttpRequest, order: Order) -> None:
    """Say what goes back to the customer, if more was paid than is agreed now."""
    order.refresh_from_db(fields=["agreed"])
    over = -payments.balance(order)
    if over > 0:
        said = _("{amount} more was paid than is agreed now: send it back, then enter "
                 "it with the order's payments.")  # fmt: skip
        amount = money_text(over, payments.currency_of(order))
        messages.warning(request, said.format(amount=amount))


def _kept(
    request: HttpRequest, change: AgreedChange, form: ChangeAnswerForm
) -> dict[str, Any]:
    change.order.refresh_from_db(fields=["agreed"])
    paper = Paper.objects.filter(pk=change.values.get("paper")).first()
    return {
        "order": change.order,
        "change": change,
        "number": change.values.get("number", change.pk),
        "paper": paper,
        "form": form,
        "form_key": key_of(request),
        "currency": payments.currency_of(change.order),
        "void": _void_sheet(change),
        **_values(change),
    }


def _values(change: AgreedChange) -> dict[str, Any]:
    """Return what was kept of a change; its sums where an erasure took the rest."""
    if not change.values:
        currency = payments.currency_of(change.order)
        return {"stripped": True, "money": sums_left(change, currency)}
    return {
        "currency": change.values["currency"],
        "other_total": _other_total(change),
        "back": _back(change),
        **kept_rows(change),
    }


def _other_total(change: AgreedChange) -> Decimal | None:
    """Return the total a yes would come to now, where the note names another one."""
    now = change.order.agreed
    told = Decimal(change.values["agreed"])
    if change.state != "open" or now is None or now == told:
        return None
    return now + change.more + change.fee


def _back(change: AgreedChange) -> str:
    """Say what a yes would send back to the customer, by what is paid now."""
    if change.state != "open":
        return ""
    whole = (change.order.agreed or payments.ZERO) + change.more + change.fee
    paid = payments.received(change.order)
    return back_sentence(whole, paid, change.values["currency"])


def _void_sheet(change: AgreedChange) -> str:
    """Return the letter of the last sheet printed before a yes, which is void by it."""
    if change.state != "agreed" or change.knife is None or not change.answered_at:
        return ""
    printed = Paper.objects.filter(knife=change.knife, kind="sheet")
    last = printed.order_by("-revision").first()
    if last is None or last.made_at > change.answered_at:
        return ""
    return letter(last.revision)
