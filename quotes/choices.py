"""The words a row of paper may hold."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


def paper_kind() -> list[tuple[str, str | Promise]]:
    """Kinds of paper the shop prints."""
    return [("quote", _("quote")), ("sheet", _("build sheet"))]


def paper_media() -> list[tuple[str, str | Promise]]:
    """Forms a paper is kept in; a page to print where PDF cannot be made."""
    return [("pdf", "PDF"), ("html", _("page to print"))]
