"""Papers as they were kept: the very bytes, checked against their hash."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from quotes import store
from quotes.models import Paper
from quotes.paper_files import TYPES, file_name
from shop.context import may_see_prices

POLICIES = {
    "pdf": "sandbox; default-src 'none'; frame-ancestors 'none'",
    # No sandbox: in one, the style sheet would count as another site's.
    "html": "default-src 'none'; style-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'",
}
"""What a paper may load: a PDF nothing, a page to print its style sheet. Chromium shows
a PDF with its own viewer in spite of the sandbox (tried with version 156)."""

FOR_ALL = frozenset({"sheet"})
"""Kinds of paper without a price on them."""


@require_safe
def paper_file(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a paper's bytes; one with a price exists for whoever may see prices."""
    paper = get_object_or_404(Paper.objects.select_related("order", "knife"), pk=pk)
    if paper.kind not in FOR_ALL and not may_see_prices(request):
        raise Http404
    try:
        body = store.read(paper.sha256)
    except store.DamagedPaperError:
        return render(request, "quotes/damaged.html", {"paper": paper}, status=500)
    return HttpResponse(
        body,
        headers={
            "Content-Type": TYPES[paper.media],
            "Content-Disposition": f'inline; filename="{file_name(paper)}"',
            "Content-Security-Policy": POLICIES[paper.media],
        },
    )
