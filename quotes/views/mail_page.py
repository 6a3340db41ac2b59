"""The page of messages as it is shown: its boxes, its papers, what was written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_variables

from billets.idempotency import key_of, new_key
from billets.text import KEY_DIGITS, sent_number
from quotes.choices import mail_kind
from quotes.mails import sending
from quotes.mails.forms import MailForm
from quotes.mails.linking import can_link, leads_out
from quotes.mails.masking import MASK
from quotes.mails.papers import asked_now
from quotes.mails.pictures import photos_for
from quotes.mails.proposal import (
    ASKING,
    Proposal,
    needs_paper,
    papers_for,
    proposed,
)
from quotes.mails.standing import answered
from quotes.models import Mail
from quotes.private import tokens, way
from quotes.wording import money_text
from shop import payments
from shop.context import shop_of
from shop.models import Order
from shop.photos import called
from shop.views.common import system_of

MOST_MAILS = 50
PAPERS_OFFERED = 50


@sensitive_variables()
def mail_page(
    request: HttpRequest, order: Order, kind: str, **changes: Any
) -> HttpResponse:
    """Show the boxes: as proposed, as of a message to be tried again, or as typed.

    What was typed comes back where the page was asked to do something else than send.
    """
    proposal = proposal_of(request, order, kind)
    shown = None if request.method == "POST" else _shown(request, order)
    begun = _typed(request) if request.method == "POST" else _initial(shown or proposal)
    form = mail_form(request, order, kind, initial={**begun, **changes})
    return show_mail(request, order, kind, form, proposal, shown)


def proposal_of(request: HttpRequest, order: Order, kind: str) -> Proposal:
    """Return the message that is proposed, with a mark where a link can be made.

    None is put in that the customer could not open.
    """
    linked = can_link(request, order) and leads_out(request, shop_of(request))
    today = timezone.localdate()
    return proposed(order, kind, shop_of(request), today, linked=linked)


def _initial(begun: Proposal | Mail) -> dict[str, Any]:
    if isinstance(begun, Mail):
        photos = list(begun.photos.values_list("pk", flat=True))
    else:
        photos = list(begun.photos)
    return {
        "to": begun.to, "subject": begun.subject, "body": begun.body,
        "paper": begun.paper.pk if begun.paper else "", "photos": photos,
        "bare": isinstance(begun, Mail) and begun.paper is None,
    }  # fmt: skip


@sensitive_variables()
def _typed(request: HttpRequest) -> dict[str, Any]:
    typed = {name: request.POST.get(name, "")
             for name in ("to", "subject", "body", "paper")}  # fmt: skip
    photos = request.POST.getlist("photos")
    return {**typed, "photos": photos, "bare": request.POST.get("bare") == "on"}


def _shown(request: HttpRequest, order: Order) -> Mail | None:
    """Return the message the address names, if it is one of this order."""
    key = sent_number(request.GET.get("message"), digits=KEY_DIGITS)
    known = order.mails.select_related("paper", "by").prefetch_related("photos")
    return known.filter(pk=key or 0).first()


def mail_form(
    request: HttpRequest, order: Order, kind: str, *, data: Any = None,
    initial: Mapping[str, Any] | None = None,
) -> MailForm:  # fmt: skip
    """Return the boxes with what can be chosen for an order and a kind of message."""
    return MailForm(
        data,
        initial=initial,
        papers=papers_for(order)[:PAPERS_OFFERED],
        photos=list(photos_for(order, kind)),
        language=order.customer.language,
        system=system_of(request),
        linked=can_link(request, order),
        papered=needs_paper(order, kind),
    )


@sensitive_variables()
def show_mail(
    request: HttpRequest, order: Order, kind: str, form: MailForm, proposal: Proposal,
    shown: Mail | None = None,
) -> HttpResponse:  # fmt: skip
    """Show boxes with all that stands around them."""
    mails = order.mails.select_related("paper", "by").prefetch_related("photos")
    written = mails[:MOST_MAILS]
    context = {
        "order": order,
        "kind": dict(mail_kind())[kind],
        "kinds": [(mail_address(order, key), said, key == kind)
                  for key, said in mail_kind()],
        "form": form,
        # A page that came of another button than “Send” can be sent on.
        "form_key": key_of(request) if form.is_bound else new_key(),
        "shown": shown,
        "done": shown is not None and shown.state != "failed",
        "lack": sending.lack(shop_of(request)),
        "sender": settings.DEFAULT_FROM_EMAIL or shop_of(request).email,
        "proposal": proposal,
        "lacks_paper": form.papered and not (proposal.paper or proposal.stale),
        "ask": _asked_text(order, kind) if proposal.paper is None else "",
        "unfinished": _claims_too_much(order, kind),
        "lapsed": kind == "quote" and order.state == "cancelled",
        "answered": answered(order) if kind == "quote" else None,
        "progress": mail_address(order, "progress"),
        "can_link": form.linked,
        **_no_link(request, order),
        "pictures": [(one.name, called(one)) for one in form.photos.values()],
        "mark": MASK,
        "mails": [(one, mail_address(order, one.kind, one)) for one in written],
        "here": mail_address(order, kind),
    }  # fmt: skip
    return render(request, "quotes/mail.html", context)


def _no_link(request: HttpRequest, order: Order) -> dict[str, Any]:
    """Return why no private link stands in the text by itself, if there could be one.

    That none can be made from here, or that only this machine could open it.
    """
    if tokens.last_quote(order) is None:
        return {}
    if not way.is_safe(request):
        return {"no_link": way.WHY_NOT}
    return {"only_here": not leads_out(request, shop_of(request))}


def _claims_too_much(order: Order, kind: str) -> bool:
    """Say whether a text says that the work is done while it is not."""
    working = order.state not in payments.OVER
    return kind == "balance" and working and not payments.ready(order)


def _asked_text(order: Order, kind: str) -> str:
    """Return the sum a new request would ask for; empty where none can be made."""
    asked = asked_now(order, kind) if kind in ASKING else None
    return money_text(asked[1], payments.currency_of(order)) if asked else ""


def mail_address(order: Order, kind: str, mail: Mail | None = None) -> str:
    """Return the address of the page of a kind, or of one message on it."""
    page = reverse("mail-new", args=[order.number, kind])
    return f"{page}?message={mail.pk}" if mail else page
