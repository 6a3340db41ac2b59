"""Requests for payment as papers: printed, and kept by the hash of their bytes."""

from __future__ import annotations

import datetime as dt

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import QuerySet
from django.template.loader import render_to_string
from django.utils import translation

from quotes import pdf, store
from quotes.models import Paper
from quotes.pay.request import RequestPaper
from quotes.services import Printed, digest
from shop import services
from shop.models import Order

STYLES = ("paper.css", "request.css")


def request_html(paper: RequestPaper, *, linked: bool = False) -> str:
    """Return a request as a page; ``linked`` to its style sheets if it is served."""
    with translation.override(paper.language):
        return render_to_string("pdf/request.html", {"paper": paper, "linked": linked})


def print_request(paper: RequestPaper) -> Printed:
    """Return a request as it is kept: a PDF, or the page to print where none can be."""
    try:
        body = pdf.render(request_html(paper), STYLES, variant="pdf/ua-1")
    except pdf.PdfUnavailable:
        return Printed(body=request_html(paper, linked=True).encode(), media="html")
    return Printed(body=body, media="pdf")


def requests_of(order: Order) -> QuerySet[Paper]:
    """Return the requests that were printed for an order, the last one first."""
    return Paper.objects.filter(order=order, kind="request").order_by("-revision")


def printed_before(order: Order, paper: RequestPaper) -> Paper | None:
    """Return the last request of an order, if it says the same."""
    last = requests_of(order).first()
    return last if last and last.content == digest(list(paper.parts)) else None


@transaction.atomic
def keep_request(
    order: Order, paper: RequestPaper, printed: Printed | None, *,
    by: User | None, at: dt.datetime,
) -> Paper:  # fmt: skip
    """Keep a request; one that says the same as the last stays that one.

    It comes printed, so that nobody waits for the printer, unless it was thought to be
    there already.
    """
    services.hold_order(order)
    same = printed_before(order, paper)
    if same is not None:
        return same
    last, made = requests_of(order).first(), printed or print_request(paper)
    return Paper.objects.create(
        kind="request", order=order, revision=last.revision + 1 if last else 1,
        content=digest(list(paper.parts)), sha256=store.keep(made.body),
        media=made.media, by=by, made_at=at,
    )  # fmt: skip
