"""An issued quote as a file to take away: JSON or CSV."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from quotes.models import Quote
from quotes.offer import exports
from quotes.views.quotes import quote_of
from shop.views.common import for_owner


@for_owner
@require_safe
def json_file(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Give an issued quote as JSON."""
    quote = quote_of(number, revision)
    return _file(quote, exports.quote_json(quote).encode(), "application/json", "json")


@for_owner
@require_safe
def csv_file(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Give an issued quote as CSV."""
    quote = quote_of(number, revision)
    return _file(quote, exports.quote_csv(quote), "text/csv; charset=utf-8", "csv")


def _file(quote: Quote, body: bytes, media: str, ending: str) -> HttpResponse:
    """Return a file under a name of digits, letters and hyphens: orders have no other.

    Never shown in place, so that nothing in it can be run as a page of the shop.
    """
    name = f"quote-{quote.order.number}-r{quote.revision}.{ending}"
    return HttpResponse(
        body,
        headers={
            "Content-Type": media,
            "Content-Disposition": f'attachment; filename="{name}"',
        },
    )
