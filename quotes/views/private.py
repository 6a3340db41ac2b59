"""The customer's private page: opened by a link, without signing in.

Looking changes nothing; only a form that is sent does. Every answer under these
addresses carries the headers of ``shop.middleware``.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables
from django.views.decorators.http import require_POST, require_safe

from billets.physics.errors import Refusal
from billets.text import sent_number
from quotes import store
from quotes.models import Quote
from quotes.paper_files import TYPES, file_name
from quotes.private import standing, throttle, tokens, way
from quotes.private.forms import (
    AskForm,
    ChangeNoForm,
    ChangeYesForm,
    NoForm,
    YesForm,
    boxes_of,
)
from quotes.private.kept import papers_of
from quotes.private.page import private_page
from quotes.private.pending import PendingShown
from quotes.private.words import NOTICES
from quotes.services import Reply
from quotes.views.papers import POLICIES
from shop.context import shop_of
from shop.guesses import forget
from shop.models import CustomerLink

CustomerView = Callable[..., HttpResponse]
Sent = YesForm | NoForm | AskForm | ChangeYesForm | ChangeNoForm


class SeeOther(HttpResponseRedirect):
    """Leads on to a page that is looked at, whatever was sent."""

    status_code = 303


def notice_page(request: HttpRequest, key: str) -> HttpResponse:
    """Say in a page of its own why there is nothing else."""
    notice = NOTICES[key]
    context = {"notice": notice}
    return render(request, "private/notice.html", context, status=notice.status)


@login_not_required
@require_safe
@sensitive_variables()
def private_open(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the token of a link for a cookie, and lead on to the page without it."""
    if not way.is_safe(request):
        return notice_page(request, "plain")
    # The middleware has taken it out of the address.
    link = tokens.find(getattr(request, "private_token", token))
    if link is None:
        return _guessed(request)
    forget(timezone.now())
    ended = tokens.ended(link, standing.today())
    if ended:
        with translation.override(link.order.customer.language):
            return notice_page(request, ended)
    response = SeeOther(reverse("private-view"))
    tokens.remember(response, request, link)
    return response


def _guessed(request: HttpRequest) -> HttpResponse:
    """Count a token nobody was given, and say no more than that it is none."""
    address, now = throttle.address_of(request), timezone.now()
    if throttle.is_over(address, now):
        return notice_page(request, "throttled")
    throttle.note(address, now)
    return notice_page(request, "unknown")


def for_customer(view: CustomerView) -> CustomerView:
    """Keep a page to whoever came by a link that works; speak their language."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not way.is_safe(request):
            return notice_page(request, "plain")
        link = tokens.remembered(request)
        if link is None:
            return notice_page(request, "no_key")
        with translation.override(link.order.customer.language):
            ended = tokens.ended(link, standing.today())
            if ended:
                return notice_page(request, ended)
            return view(request, link, *args, **kwargs)

    return guarded


@login_not_required
@for_customer
@require_safe
def private_view(request: HttpRequest, link: CustomerLink) -> HttpResponse:
    """Show the quote, or how the order stands."""
    return show_page(request, link)


def show_page(request: HttpRequest, link: CustomerLink, **sent: Sent) -> HttpResponse:
    """Show the page; a form that was sent keeps what was typed."""
    page = private_page(link.order, shop_of(request))
    if page is None:
        return notice_page(request, "nothing")
    forms = {"yes": YesForm(options=page.options), "no": NoForm(), "ask": AskForm()}
    wrong = next(iter(sent.values()), None)
    pending = [_to_answer(one, wrong) for one in page.pending]
    context = {"page": page, **forms, **sent, "form": wrong, "pending": pending}
    return render(request, "private/page.html", context)


def _to_answer(change: PendingShown, sent: Sent | None) -> dict[str, Any]:
    """Return a change with its two forms; one that was sent stands in its place."""
    forms = {
        "yes": ChangeYesForm(prefix=boxes_of(change.key, "yes")),
        "no": ChangeNoForm(prefix=boxes_of(change.key, "no")),
    }
    known = {
        name: sent for name, one in forms.items()
        if sent is not None and sent.prefix == one.prefix
    }  # fmt: skip
    return {"change": change, **forms, **known}


@login_not_required
@for_customer
@require_safe
def private_paper(
    request: HttpRequest, link: CustomerLink, kind: str, revision: int
) -> HttpResponse:
    """Give one of the order's papers as it was kept."""
    paper = papers_of(link.order).filter(kind=kind, revision=revision).first()
    if paper is None:
        return notice_page(request, "nothing")
    try:
        body = store.read(paper.sha256)
    except store.DamagedPaperError:
        return notice_page(request, "damaged")
    headers = {
        "Content-Type": TYPES[paper.media],
        "Content-Disposition": f'inline; filename="{file_name(paper)}"',
        "Content-Security-Policy": POLICIES[paper.media],
    }
    return HttpResponse(body, headers=headers)


# --- what changes something ------------------------------------------------------


@login_not_required
@for_customer
@require_POST
def private_answer(request: HttpRequest, link: CustomerLink) -> HttpResponse:
    """Take a yes or a no to the very quote that was shown; sent again it stays one."""
    said = request.POST.get("answer")
    if said not in ("yes", "no"):
        return notice_page(request, "unsaid")
    accepted = said == "yes"
    quote = standing.quote_shown(link.order, request.POST.get("sha256", ""))
    option = sent_number(request.POST.get("option")) if accepted else None
    raw = Reply(accepted=accepted, note="", option=option)
    why = standing.refusal(quote, raw, standing.today())
    if why or quote is None:
        return answer_refused(request, why)
    form = YesForm(request.POST, options=_options(quote))
    sent = form if accepted else NoForm(request.POST)
    if not sent.is_valid():
        return show_page(request, link, **{"yes" if accepted else "no": sent})
    reply = sent.reply(shop_of(request))
    try:
        standing.take(link, quote, reply, timezone.now())
    except standing.LinkEndedError:
        return notice_page(request, "revoked")
    except Refusal:  # somebody was quicker, or the knife cannot be made so
        return answer_refused(
            request, standing.refusal(quote, reply, standing.today()) or "changed"
        )
    return SeeOther(reverse("private-view"))


def _options(quote: Quote) -> list[tuple[str, str]]:
    return [(str(one.position), one.label) for one in quote.options.all()]


def answer_refused(request: HttpRequest, why: str) -> HttpResponse:
    """Say why an answer is not taken; one that was given before leads on."""
    if why == standing.DONE:
        return SeeOther(reverse("private-view"))
    return notice_page(request, why)


@login_not_required
@for_customer
@require_POST
def private_ask(request: HttpRequest, link: CustomerLink) -> HttpResponse:
    """Take a question; the shop finds it on its first page."""
    sha256 = request.POST.get("sha256", "")
    if standing.quote_shown(link.order, sha256) is None:
        return notice_page(request, "other")
    form = AskForm(request.POST)
    if form.is_valid():
        try:
            taken = standing.ask(link, form.cleaned_data["question"], timezone.now())
        except standing.LinkEndedError:
            return notice_page(request, "revoked")
        if taken:
            return SeeOther(f"{reverse('private-view')}#asked")
        many = _(
            "So many questions of yours wait for an answer already that no more are "
            "taken here: call or write to the shop."
        )
        form.add_error("question", many)
    return show_page(request, link, ask=form)
