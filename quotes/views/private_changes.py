"""The customer's answer to a change after the yes, given on the private page."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from billets.physics.errors import Refusal
from billets.text import KEY_DIGITS, sent_number
from quotes.private import pending, standing
from quotes.private.forms import ChangeNoForm, ChangeYesForm, boxes_of
from quotes.views.private import (
    SeeOther,
    answer_refused,
    for_customer,
    notice_page,
    show_page,
)
from shop.context import shop_of
from shop.models import CustomerLink


@login_not_required
@for_customer
@require_POST
def private_change(request: HttpRequest, link: CustomerLink) -> HttpResponse:
    """Take a yes or a no to the very change that was shown; once however often sent."""
    said = request.POST.get("answer")
    if said not in ("yes", "no"):
        return notice_page(request, "unsaid")
    accepted = said == "yes"
    key = sent_number(request.POST.get("change"), digits=KEY_DIGITS)
    change = pending.change_meant(link.order, key, request.POST.get("sha256", ""))
    why = pending.refusal(change, accepted=accepted)
    if why or change is None:
        return answer_refused(request, why)
    made = ChangeYesForm if accepted else ChangeNoForm
    form = made(request.POST, prefix=boxes_of(change.pk, said))
    if not form.is_valid():
        return show_page(request, link, change=form)
    how, at = form.how(shop_of(request)), timezone.now()
    try:
        pending.take_change(link, change, accepted=accepted, how=how, at=at)
    except standing.LinkEndedError:
        return notice_page(request, "revoked")
    except Refusal:  # somebody was quicker, or the knife has come too far
        why = pending.refusal(change, accepted=accepted)
        return answer_refused(request, why or "change_late")
    return SeeOther(f"{reverse('private-view')}#needed")
