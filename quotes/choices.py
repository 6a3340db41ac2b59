"""The words a row of paper may hold."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from quotes.extra_items import EXTRAS
from shop.choices import ferrule


def paper_kind() -> list[tuple[str, str | Promise]]:
    """Kinds of paper the shop prints."""
    return [
        ("quote", _("quote")), ("sheet", _("build sheet")),
        ("request", _("request for payment")), ("advance", _("advance invoice")),
        ("final", _("invoice")), ("cancel", _("cancelling document")),
        ("change", _("change agreed")),
    ]  # fmt: skip


def paper_media() -> list[tuple[str, str | Promise]]:
    """Forms a paper is kept in; a page to print where PDF cannot be made."""
    return [("pdf", "PDF"), ("html", _("page to print"))]


def quote_kind() -> list[tuple[str, str | Promise]]:
    """Whether a price binds; there is no usual one, it has to be chosen."""
    return [("fixed", _("a fixed price")), ("estimate", _("an estimate, not binding"))]


def reading() -> list[tuple[str, str | Promise]]:
    """How amounts are read: with tax, or before it."""
    return [("gross", _("tax included")), ("net", _("before tax"))]


def order_regime() -> list[tuple[str, str | Promise]]:
    """How an order is taxed apart from the shop; empty is as the shop."""
    return [("export", _("sent outside the union, no tax charged"))]


def line_kind() -> list[tuple[str, str | Promise]]:
    """Kinds of line."""
    return [
        ("knife", _("knife")), ("extra", _("extra")), ("charge", _("sending and fees")),
        ("discount", _("discount")),
    ]  # fmt: skip


def rounding_step() -> list[tuple[int, str | Promise]]:
    """Round numbers for a total."""
    return [(0, _("the exact sum")), *((one, str(one)) for one in (1, 5, 10, 50, 100))]


def extra() -> list[tuple[str, str | Promise]]:
    """Things charged beside knives."""
    return [(key, _(one.label)) for key, one in EXTRAS.items()]


def other_ferrule() -> list[tuple[str, str | Promise]]:
    """Ferrules an option can have instead."""
    return [("none", _("no ferrule")), *ferrule()]


def invoice_kind() -> list[tuple[str, str | Promise]]:
    """Kinds of invoice."""
    return [
        ("advance", _("advance invoice")), ("final", _("invoice")),
        ("cancel", _("cancelling document")),
    ]  # fmt: skip


def mail_kind() -> list[tuple[str, str | Promise]]:
    """Things a customer is written about."""
    return [
        ("quote", _("quote")), ("request", _("request for payment")),
        ("invoice", _("invoice")), ("progress", _("how the knife stands")),
        ("balance", _("balance and final photographs")), ("change", _("change")),
    ]  # fmt: skip


def mail_state() -> list[tuple[str, str | Promise]]:
    """Fates of a message."""
    return [("sent", _("sent")), ("failed", _("not sent")), ("copied", _("copied"))]
