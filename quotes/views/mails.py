"""The page of messages about an order: proposed, looked over, sent or copied."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.debug import (
    sensitive_post_parameters,
    sensitive_variables,
)
from django.views.decorators.http import require_http_methods

from billets.idempotency import once
from billets.messages import sentence
from billets.text import KEY_DIGITS, sent_number
from quotes.errors import QuoteError
from quotes.mails import sending
from quotes.mails.asking import new_request
from quotes.mails.forms import MailForm
from quotes.mails.linking import can_link, new_address, put_in
from quotes.mails.masking import MASK, masked, unmasked
from quotes.mails.papers import other_sum, says
from quotes.mails.pictures import too_much
from quotes.mails.proposal import PAPERS
from quotes.models import Mail, Paper
from quotes.views.mail_page import (
    mail_address,
    mail_form,
    mail_page,
    proposal_of,
    show_mail,
)
from quotes.wording import money_text
from shop.context import shop_of
from shop.models import Order
from shop.views.common import for_owner, system_of, user_of


@sensitive_post_parameters("subject", "body")
@for_owner
@require_http_methods(["GET", "POST"])
@sensitive_variables()
def mail_new(request: HttpRequest, number: str, kind: str) -> HttpResponse:
    """Propose a message; “Send” hands it to the mail server, once."""
    if kind not in PAPERS:
        raise Http404
    known = Order.objects.select_related("customer")
    order = get_object_or_404(known, number=number)
    if request.method != "POST":
        return mail_page(request, order, kind)
    if "back" in request.POST:
        return once(request, partial(_came_back, request, order, kind))
    if "ask" in request.POST:
        return _ask(request, order, kind)
    if "link" in request.POST:
        return _link(request, order, kind)
    return _send(request, order, kind)


# --- what comes before sending ------------------------------------------------------


def _ask(request: HttpRequest, order: Order, kind: str) -> HttpResponse:
    """Make a request for payment, and attach it to what is typed."""
    made: list[Paper] = []
    try:
        act = new_request(order, kind, shop_of(request), timezone.now())
        answer = once(request, partial(_keep, request, order, kind, act, made))
    except QuoteError as error:
        messages.error(request, sentence(error, system_of(request)))
        return mail_page(request, order, kind)
    if answer.status_code != 302:  # no key, or one of something else
        return answer
    return mail_page(request, order, kind, **({"paper": made[0].pk} if made else {}))


def _keep(
    request: HttpRequest, order: Order, kind: str, act: Any, made: list[Paper]
) -> str:
    made.append(act(by=user_of(request)))
    messages.success(request, _("A new request for payment is made and attached."))
    return mail_address(order, kind)


@sensitive_variables()
def _link(request: HttpRequest, order: Order, kind: str) -> HttpResponse:
    """Make a private link and put it into what is typed; it is shown this once."""
    made: list[str] = []
    if not can_link(request, order):
        messages.error(request, _("No private link can be made from here."))
        return mail_page(request, order, kind)
    answer = once(request, partial(_make, request, order, kind, made))
    if answer.status_code != 302:
        return answer
    body = masked(request.POST.get("body", "").replace("\r\n", "\n"))
    if made:
        body = put_in(body, made[0], order, kind, shop_of(request))
        messages.success(request, _(
            "The private link stands in the text. It is shown this once: send it or "
            "copy it now."
        ))  # fmt: skip
    return mail_page(request, order, kind, body=body)


@sensitive_variables()
def _make(request: HttpRequest, order: Order, kind: str, made: list[str]) -> str:
    made.append(new_address(request, order, by=user_of(request), at=timezone.now()))
    return mail_address(order, kind)


# --- sending ------------------------------------------------------------------------


@sensitive_variables()
def _send(request: HttpRequest, order: Order, kind: str) -> HttpResponse:
    form = mail_form(request, order, kind, data=request.POST)
    if form.is_valid():
        _check(request, order, kind, form)
    if form.is_valid():
        try:
            return _carry_out(request, order, kind, form)
        except QuoteError as error:
            form.add_error("body", sentence(error, system_of(request)))
    return show_mail(request, order, kind, form, proposal_of(request, order, kind))


def _check(request: HttpRequest, order: Order, kind: str, form: MailForm) -> None:
    """Refuse what cannot be written to anybody, or not by this shop's server."""
    if order.customer.erased:
        form.add_error(None, _("This customer was erased: nobody is written to."))
    if _copied(request):
        return
    if lack := sending.lack(shop_of(request)):
        form.add_error(None, lack)
    if form.chosen:
        _check_paper(request, kind, form, form.chosen)
    if why := too_much(form.ticked):
        form.add_error("photos", why)


def _check_paper(request: HttpRequest, kind: str, form: MailForm, paper: Paper) -> None:
    """Refuse a paper that is none to attach, or says another sum than the text."""
    if paper.media != "pdf":
        form.add_error("paper", _(
            "This paper is a page to print and no PDF, so it cannot be attached: print "
            "it and send it yourself, or choose another."
        ))  # fmt: skip
    said = says(paper, kind, shop_of(request), timezone.localdate())
    if said.stale:
        form.add_error("paper", str(said.stale))
        return
    with translation.override(paper.order.customer.language):
        differs = other_sum(form.cleaned_data.get("body", ""), said)
        own = money_text(said.sums[0], said.currency) if differs else ""
    if differs:
        form.add_error("body", _(
            "The text names another sum than the paper attached, which says {sum}: "
            "name that one, or attach another paper."
        ).format(sum=own))  # fmt: skip


def _copied(request: HttpRequest) -> bool:
    return "copied" in request.POST


@sensitive_variables()
def _carry_out(
    request: HttpRequest, order: Order, kind: str, form: MailForm
) -> HttpResponse:
    """Write a message down once; only who wrote it hands it over, and afterwards."""
    written: list[Mail] = []
    answer = once(request, partial(_write, request, order, kind, form, written))
    if written and not _copied(request):
        sending.hand_over(written[0], shop_of(request))
    return answer


@sensitive_variables()
def _write(
    request: HttpRequest, order: Order, kind: str, form: MailForm, written: list[Mail]
) -> str:
    by, at, values = user_of(request), timezone.now(), form.values
    if MASK in values["body"]:
        address = new_address(request, order, by=by, at=at)
        values["body"] = unmasked(values["body"], address)
    mail = sending.write_down(
        order, {"kind": kind, **values}, copied=_copied(request), by=by, at=at
    )
    written.append(mail)
    return mail_address(order, kind, mail)


def _came_back(request: HttpRequest, order: Order, kind: str) -> str:
    key = sent_number(request.POST.get("back"), digits=KEY_DIGITS)
    mail = order.mails.filter(pk=key or 0, state="sent").first()
    if mail is None:
        messages.error(request, _("No message of this order was sent under this mark."))
        return mail_address(order, kind)
    sending.came_back(mail)
    return mail_address(order, mail.kind, mail)
