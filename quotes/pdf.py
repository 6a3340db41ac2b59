"""The one place that turns a page into a PDF; nothing from outside gets in.

WeasyPrint is imported on first use: it takes half a second, and without Pango it does
not import at all, in which case the pages still work and papers open as print views.
"""

from __future__ import annotations

import functools
import logging
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.conf import settings

from billets.physics.errors import _

if TYPE_CHECKING:
    from collections.abc import Callable

STYLES = Path(settings.BASE_DIR) / "quotes" / "static" / "quotes"
# WeasyPrint warns where an optional library is missing; that is told once, at set-up.
logging.getLogger("weasyprint").setLevel(logging.ERROR)


class PdfUnavailable(RuntimeError):
    """Pango is not on this machine."""

    sentence = _(
        "PDF needs the library Pango, which is not on this machine; print this page "
        "instead, or install it: sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 "
        "libharfbuzz-subset0 fonts-dejavu-core"
    )


class RefusedReference(ValueError):
    """A paper asked for something outside itself."""


@functools.cache
def _engine() -> tuple[Any, Any, Any]:
    """Return WeasyPrint, a fetcher that fetches nothing, and shared fonts."""
    try:
        import weasyprint
        from weasyprint.text.fonts import FontConfiguration
        from weasyprint.urls import URLFetcher
    except OSError as error:
        raise PdfUnavailable(PdfUnavailable.sentence) from error

    class ClosedFetcher(URLFetcher):
        """Refuses every reference; drawings stand in the page itself."""

        def __init__(self) -> None:
            super().__init__(allowed_protocols=(), allow_redirects=False, timeout=1)

        def fetch(self, url: str, headers: object = None) -> object:
            raise RefusedReference(url[:200])

    return weasyprint, ClosedFetcher(), FontConfiguration()


def available() -> bool:
    """Say whether this machine can make PDFs."""
    try:
        _engine()
    except PdfUnavailable:
        return False
    return True


@functools.cache
def _style(name: str) -> Any:
    weasyprint, fetcher, fonts = _engine()
    text = (STYLES / name).read_text("utf-8")
    return weasyprint.CSS(string=text, url_fetcher=fetcher, font_config=fonts)


def render(html: str, styles: tuple[str, ...], *, variant: str | None = None) -> bytes:
    """Return the PDF of a page.

    Parameters
    ----------
    html : str
        The page, made by Django's templates with escaping on.
    styles : tuple of str
        Style sheets in ``quotes/static/quotes``, where print views find them as well.
    variant : str, optional
        A kind of PDF, say "pdf/ua-1" for a tagged one.

    Raises
    ------
    PdfUnavailable
        Where Pango is missing; the sentence says what to type.
    """
    weasyprint, fetcher, fonts = _engine()
    document = weasyprint.HTML(string=html, base_url=None, url_fetcher=fetcher)
    options: dict[str, Any] = {"pdf_variant": variant} if variant else {}
    write: Callable[..., bytes] = document.write_pdf
    return write(
        stylesheets=[_style(name) for name in styles], font_config=fonts, **options
    )
