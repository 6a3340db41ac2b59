"""The build sheet of a knife: what it would say now, and its printing."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once
from billets.messages import sentence
from billets.physics.errors import PlanError
from quotes import pdf
from quotes.errors import QuoteError
from quotes.models import Paper
from quotes.services import letter
from quotes.sheets.documents import (
    keep_printed,
    next_stamp,
    print_sheet,
    sheet_context,
)
from quotes.sheets.sheet import Sheet, sheet_of
from shop.context import shop_of
from shop.models import Knife
from shop.views.common import system_of, user_of


@require_http_methods(["GET", "POST"])
def sheet_page(request: HttpRequest, serial: str) -> HttpResponse:
    """Show the build sheet of a knife as it would be printed; print and keep it."""
    knife = get_object_or_404(Knife.objects.for_list(), serial=serial)
    try:
        sheet = sheet_of(knife, shop_of(request))
        if request.method == "POST":
            return _print(request, knife, sheet)
    except (QuoteError, PlanError) as error:
        return _refused(request, knife, error)
    return render(request, "quotes/sheet.html", _page(request, knife, sheet))


def _print(request: HttpRequest, knife: Knife, sheet: Sheet) -> HttpResponse:
    """Print a sheet, outside any transaction, then keep it once for this form."""
    stamp, paper = next_stamp(knife, sheet.content, timezone.now())
    printed = None if paper else print_sheet(sheet, stamp)

    def keep() -> str:
        by = user_of(request)
        kept = keep_printed(knife, sheet.content, printed, stamp, by=by)
        return kept.get_absolute_url()

    return once(request, keep)


def _page(request: HttpRequest, knife: Knife, sheet: Sheet) -> dict[str, Any]:
    stamp, paper = next_stamp(knife, sheet.content, timezone.now())
    why = "" if pdf.available() else _(pdf.PdfUnavailable.sentence)
    return {
        **sheet_context(sheet, stamp),
        "knife": knife,
        "paper": paper,
        "printed": _printed(knife),
        "why": why,
        "form_key": key_of(request),
    }


def _printed(knife: Knife) -> list[dict[str, Any]]:
    """Return the sheets of a knife that were printed, those that are void as well."""
    papers = Paper.objects.filter(knife=knife, kind="sheet").order_by("-revision")
    return [{"paper": paper, "letter": letter(paper.revision)} for paper in papers]


def _refused(
    request: HttpRequest, knife: Knife, error: QuoteError | PlanError
) -> HttpResponse:
    """Say why there is no sheet, and offer the way out."""
    context = {
        "knife": knife,
        "printed": _printed(knife),
        "refusal": sentence(error, system_of(request)),
        "lacks_plan": error.field == "plan",
    }
    status = 409 if request.method == "POST" else 200
    return render(request, "quotes/no_sheet.html", context, status=status)
