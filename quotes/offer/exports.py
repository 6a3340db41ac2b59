"""An issued quote as data: JSON and CSV, from its frozen rows and nothing else.

Amounts are text with the places of their currency, point as decimal mark, so that no
program makes a float of them unasked. Sums bear the numbers of their terms in EN 16931
beside names of our own.

CSV is as RFC 4180 has it, commas between, and begins with a byte order mark: without
one the usual spreadsheet programs take UTF-8 for something else and spoil the names.
Whatever is text and could be read as a formula gets an apostrophe before it.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from quotes.models import Quote
from quotes.money import ZERO, money
from quotes.offer.frozen import Offer, OfferLine, OfferOption, kept_offer

Row = dict[str, str]

TERMS: Mapping[str, str] = {
    "lines": "BT-106", "allowances": "BT-107", "charges": "BT-108",
    "net": "BT-109", "tax": "BT-110", "gross": "BT-112",
}  # fmt: skip
"""Sums of a quote and their terms in EN 16931."""

COLUMNS = (
    "quote", "revision", "kind", "mode", "currency", "part", "position", "line_kind",
    "knife", "name", "details", "tax_percent", "net", "tax", "gross", "amount", "term",
    "deposit", "mass_kg", "balance_m",
)  # fmt: skip

CONTROLS = re.compile(r"[\x00-\x1f\x7f-\x9f]")
RISKY = re.compile(r"(^|;)([\s\u200b\u2060\ufeff]*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])")
"""Where a program may read a formula: at the beginning, and behind a semicolon, where
it parts cells at those; spaces nobody sees count as none. The last four signs are the
wide ones of East Asia."""


def quote_json(quote: Quote) -> str:
    """Return an issued quote as JSON."""
    offer = kept_offer(quote)
    return json.dumps(_document(quote, offer), ensure_ascii=False, indent=2) + "\n"


def _document(quote: Quote, offer: Offer) -> dict[str, Any]:
    currency = offer.currency
    return {
        "quote": quote.order.number,
        "revision": offer.revision,
        "kind": offer.kind,
        "mode": offer.mode,
        "regime": offer.regime,
        "currency": currency,
        "issued_at": offer.issued_at.isoformat(),
        "valid_until": offer.valid_until.isoformat(),
        "paper_sha256": quote.paper.sha256,
        "customer": quote.order.customer.name,
        "lines": [_line(one, currency) for one in offer.lines],
        "sums": [
            {"name": name, "term": term, "amount": _text(_sums(offer)[name], currency)}
            for name, term in TERMS.items()
        ],
        "taxes": [
            {
                "percent": str(one.percent),
                "base": _text(one.base, currency),
                "tax": _text(one.tax, currency),
                "terms": {"percent": "BT-119", "base": "BT-116", "tax": "BT-117"},
            }
            for one in offer.taxes
        ],
        "total": _text(offer.read, currency),
        "deposit": _text(offer.deposit, currency),
        "options": [_option(one, currency) for one in offer.options],
        "changes": list(offer.changes),
    }


def _line(line: OfferLine, currency: str) -> dict[str, Any]:
    return {
        "kind": line.kind,
        "knife": line.serial,
        "name": line.label,
        "details": line.detail.splitlines(),
        "amount": _text(line.amount, currency),
        "net": _text(line.net, currency),
        "gross": _text(line.gross, currency),
        "tax_percent": None if line.percent is None else str(line.percent),
    }


def _option(one: OfferOption, currency: str) -> dict[str, Any]:
    amounts = ("amount", "net", "tax", "total", "deposit")
    return {
        "name": one.label,
        "different": one.detail,
        "knife": one.serial,
        "values": dict(one.values),
        "mass_kg": round(one.mass, 6),
        "balance_m": round(one.balance, 6),
        **{name: _text(getattr(one, name), currency) for name in amounts},
    }


def _sums(offer: Offer) -> dict[str, Decimal]:
    """Return the sums before tax by kind, and the three totals.

    Quotes issued before lines were kept with both sides had knives only.
    """
    kinds = {"lines": ZERO, "allowances": ZERO, "charges": ZERO}
    for one in offer.lines:
        place = {"discount": "allowances", "charge": "charges"}.get(one.kind, "lines")
        kinds[place] += one.net or ZERO
    if any(one.net is None for one in offer.lines):
        kinds["lines"] = offer.net
    return {
        **kinds, "allowances": -kinds["allowances"],
        "net": offer.net, "tax": offer.tax, "gross": offer.total,
    }  # fmt: skip


def _text(amount: Decimal | None, currency: str) -> str | None:
    return None if amount is None else str(money(amount, currency))


# --- CSV --------------------------------------------------------------------------


def quote_csv(quote: Quote) -> bytes:
    """Return an issued quote as CSV, one row a line, tax, sum and option."""
    offer, text = kept_offer(quote), io.StringIO(newline="")
    writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    head = {
        "quote": quote.order.number, "revision": str(offer.revision),
        "kind": offer.kind, "mode": offer.mode, "currency": offer.currency,
    }  # fmt: skip
    for row in _rows(offer):
        writer.writerow({**head, **row})
    return text.getvalue().encode("utf-8-sig")


def _rows(offer: Offer) -> Iterator[Row]:
    currency = offer.currency
    for place, line in enumerate(offer.lines, start=1):
        yield {
            "part": "line", "position": str(place), "line_kind": line.kind,
            "knife": line.serial, "name": harmless(line.label),
            "details": harmless(line.detail),
            "tax_percent": "" if line.percent is None else str(line.percent),
            **_amounts(currency, net=line.net, gross=line.gross, amount=line.amount),
        }  # fmt: skip
    for one in offer.taxes:
        yield {
            "part": "tax", "tax_percent": str(one.percent), "term": "BT-116, BT-117",
            **_amounts(currency, net=one.base, tax=one.tax),
        }  # fmt: skip
    for name, amount in _sums(offer).items():
        yield {
            "part": "sum", "name": name, "term": TERMS[name],
            **_amounts(currency, amount=amount),
        }  # fmt: skip
    whole = {"total": offer.read, "deposit": offer.deposit}
    for name, amount in whole.items():
        yield {"part": name, **_amounts(currency, amount=amount)}
    for place, choice in enumerate(offer.options, start=1):
        yield {
            "part": "option", "position": str(place), "knife": choice.serial,
            "name": harmless(choice.label), "details": harmless(choice.detail),
            **_amounts(
                currency, net=choice.net, tax=choice.tax, gross=choice.total,
                amount=choice.amount, deposit=choice.deposit,
            ),
            "mass_kg": f"{choice.mass:.6f}", "balance_m": f"{choice.balance:.6f}",
        }  # fmt: skip


def _amounts(currency: str, **amounts: Decimal | None) -> Row:
    return {name: _text(amount, currency) or "" for name, amount in amounts.items()}


def harmless(text: str) -> str:
    """Return text no spreadsheet takes for a formula; on one line.

    >>> harmless("=1+1"), harmless("oak; @home"), harmless("Gyuto 240")
    ("'=1+1", "oak;' @home", 'Gyuto 240')
    """
    line = CONTROLS.sub(" ", " / ".join(text.splitlines()))
    return RISKY.sub(r"\1'\2", line)
