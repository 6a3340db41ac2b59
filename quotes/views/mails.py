"""The page of messages about an order: proposed, looked over, sent or copied."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once
from billets.text import KEY_DIGITS, sent_number
from quotes.choices import mail_kind
from quotes.mails import sending
from quotes.mails.forms import MailForm
from quotes.mails.proposal import PAPERS, papers_for, proposed
from quotes.models import Mail
from shop.context import shop_of
from shop.models import Order
from shop.views.common import for_owner, system_of, user_of

MOST_MAILS = 50
PAPERS_OFFERED = 50


@for_owner
@require_http_methods(["GET", "POST"])
def mail_new(request: HttpRequest, number: str, kind: str) -> HttpResponse:
    """Propose a message; “Send” hands it to the mail server, once."""
    if kind not in PAPERS:
        raise Http404
    known = Order.objects.select_related("customer")
    order = get_object_or_404(known, number=number)
    if request.method == "POST" and "back" in request.POST:
        return once(request, partial(_came_back, request, order, kind))
    form = _form(request, order, kind)
    if request.method == "POST" and form.is_valid():
        _check(request, order, form)
    if form.is_bound and form.is_valid():
        return _carry_out(request, order, kind, form)
    return render(request, "quotes/mail.html", _context(request, order, kind, form))


def _form(request: HttpRequest, order: Order, kind: str) -> MailForm:
    """Return the boxes: as typed, as of a message to be tried again, or as proposed."""
    return MailForm(
        request.POST if request.method == "POST" else None,
        initial=_initial(request, order, kind),
        papers=papers_for(order)[:PAPERS_OFFERED],
        language=order.customer.language,
        system=system_of(request),
    )


def _initial(request: HttpRequest, order: Order, kind: str) -> dict[str, Any]:
    begun = _shown(request, order) or proposed(order, kind, shop_of(request))
    return {
        "to": begun.to, "subject": begun.subject, "body": begun.body,
        "paper": begun.paper.pk if begun.paper else "",
    }  # fmt: skip


def _shown(request: HttpRequest, order: Order) -> Mail | None:
    """Return the message the address names, if it is one of this order."""
    key = sent_number(request.GET.get("message"), digits=KEY_DIGITS)
    return order.mails.select_related("paper", "by").filter(pk=key or 0).first()


def _check(request: HttpRequest, order: Order, form: MailForm) -> None:
    """Refuse what cannot be written to anybody, or not by this shop's server."""
    if order.customer.erased:
        form.add_error(None, _("This customer was erased: nobody is written to."))
    if _copied(request):
        return
    if lack := sending.lack(shop_of(request)):
        form.add_error(None, lack)
    if form.chosen and form.chosen.media != "pdf":
        form.add_error("paper", _(
            "This paper is a page to print and no PDF, so it cannot be attached: print "
            "it and send it yourself, or choose another."
        ))  # fmt: skip


def _copied(request: HttpRequest) -> bool:
    return "copied" in request.POST


def _carry_out(
    request: HttpRequest, order: Order, kind: str, form: MailForm
) -> HttpResponse:
    """Write a message down once; only who wrote it hands it over, and afterwards."""
    written: list[Mail] = []
    answer = once(request, partial(_write, request, order, kind, form, written))
    if written and not _copied(request):
        sending.hand_over(written[0], shop_of(request))
    return answer


def _write(
    request: HttpRequest, order: Order, kind: str, form: MailForm, written: list[Mail]
) -> str:
    mail = sending.write_down(
        order, {"kind": kind, **form.values}, copied=_copied(request),
        by=user_of(request), at=timezone.now(),
    )  # fmt: skip
    written.append(mail)
    return _address(order, kind, mail)


def _came_back(request: HttpRequest, order: Order, kind: str) -> str:
    key = sent_number(request.POST.get("back"), digits=KEY_DIGITS)
    mail = order.mails.filter(pk=key or 0, state="sent").first()
    if mail is None:
        messages.error(request, _("No message of this order was sent under this mark."))
        return _address(order, kind)
    sending.came_back(mail)
    return _address(order, mail.kind, mail)


def _address(order: Order, kind: str, mail: Mail | None = None) -> str:
    page = reverse("mail-new", args=[order.number, kind])
    return f"{page}?message={mail.pk}" if mail else page


def _context(
    request: HttpRequest, order: Order, kind: str, form: MailForm
) -> dict[str, Any]:
    shown = None if form.is_bound else _shown(request, order)
    mails = order.mails.select_related("paper", "by")[:MOST_MAILS]
    paper = papers_for(order).filter(kind__in=PAPERS[kind]).first()
    return {
        "order": order,
        "kind": dict(mail_kind())[kind],
        "kinds": [(_address(order, key), said, key == kind)
                  for key, said in mail_kind()],
        "form": form,
        "form_key": key_of(request),
        "shown": shown,
        "done": shown is not None and shown.state != "failed",
        "lack": sending.lack(shop_of(request)),
        "sender": settings.DEFAULT_FROM_EMAIL or shop_of(request).email,
        "paper": paper,
        "lacks_paper": bool(PAPERS[kind]) and paper is None,
        "mails": [(one, _address(order, one.kind, one)) for one in mails],
        "here": _address(order, kind),
    }  # fmt: skip
