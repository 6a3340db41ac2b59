"""An issued invoice by the business terms of EN 16931, as JSON.

BT numbers are single terms, BG numbers groups of them. Amounts are text with a point
as decimal mark. An address of several lines stands line by line in BT-35, BT-36 and
BT-162 (of the buyer BT-50, BT-51, BT-163): towns and postal codes are not kept apart.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from quotes.invoices.amounts import BillLine
from quotes.invoices.drafts import kept_bill
from quotes.models import Invoice
from quotes.money import money

Terms = dict[str, Any]

TYPES: Mapping[str, str] = {"advance": "386", "final": "380", "cancel": "384"}
"""Types of document (BT-3, UNTDID 1001): prepayment, commercial, corrected."""

PROFILE = "urn:cen.eu:en16931:2017"
"""Which rules the terms keep to (BT-24): those of the standard itself."""

PIECE = "C62"
"""Unit of measure (BT-130, UN/ECE Recommendation 20): one."""

SELLER_LINES, BUYER_LINES = ("BT-35", "BT-36", "BT-162"), ("BT-50", "BT-51", "BT-163")
BESIDE = {
    "allowance": ("BG-20", "BT-92", "BT-95", "BT-96", "BT-97"),
    "charge": ("BG-21", "BT-99", "BT-102", "BT-103", "BT-104"),
}  # fmt: skip
"""Groups of allowances and charges: amount, category, rate, reason."""


def invoice_json(invoice: Invoice) -> str:
    """Return an issued invoice as JSON."""
    return json.dumps(invoice_terms(invoice), ensure_ascii=False, indent=2) + "\n"


def invoice_terms(invoice: Invoice) -> Terms:
    """Return an issued invoice by terms; what does not apply is left out."""
    found = {
        "BT-1": invoice.number,
        "BT-2": invoice.issued_on.isoformat(),
        "BT-3": TYPES[invoice.kind],
        "BT-5": invoice.currency,
        **_days(invoice),
        "BT-10": invoice.order.number,
        "BT-20": "" if invoice.due_on or invoice.due <= 0 else "at once",
        "BG-1": [{"BT-22": invoice.note}] if invoice.note else [],
        "BG-2": {"BT-24": PROFILE},
        "BG-3": _preceding(invoice),
        "BG-4": _seller(invoice),
        "BG-7": _buyer(invoice),
        "BG-16": _payment(invoice),
        **_beside(invoice),
        "BG-22": _totals(invoice),
        "BG-23": _taxes(invoice),
        "BG-25": _lines(invoice),
        "paper_sha256": invoice.paper.sha256,
    }
    return _filled(found)


def _filled(terms: Terms) -> Terms:
    return {name: value for name, value in terms.items() if value not in ("", [], {})}


def _days(invoice: Invoice) -> Terms:
    """Return when it is due, and when supplied, of an advance when it was received."""
    day = invoice.supplied_on.isoformat() if invoice.supplied_on else ""
    of = invoice.cancels.kind if invoice.cancels else invoice.kind
    supplied: Terms = {"BT-7": day} if of == "advance" else {"BG-13": {"BT-72": day}}
    due = invoice.due_on.isoformat() if invoice.due_on else ""
    return {"BT-9": due, **supplied}


def _preceding(invoice: Invoice) -> list[Terms]:
    """Return the advances it takes off, or what it cancels."""
    before = [one.advance for one in invoice.advances.select_related("advance")]
    if invoice.cancels:
        before.append(invoice.cancels)
    return [{"BT-25": one.number, "BT-26": one.issued_on.isoformat()} for one in before]


def _address(text: str, names: Sequence[str]) -> Terms:
    """Return an address line by line; what is beyond the third goes with it."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    kept = [*lines[:2], ", ".join(lines[2:])]
    return dict(zip(names, kept, strict=False))


def _seller(invoice: Invoice) -> Terms:
    own = invoice.seller
    place = _filled({**_address(own["address"], SELLER_LINES),
                     "BT-40": own["country"]})  # fmt: skip
    contact = _filled({"BT-41": own["owner"], "BT-42": own["phone"],
                       "BT-43": own["email"]})  # fmt: skip
    return _filled({
        "BT-27": own["name"], "BT-30": own["legal_id"], "BT-31": own["vat_number"],
        "BT-32": own["tax_number"], "BG-5": place, "BG-6": contact,
    })  # fmt: skip


def _buyer(invoice: Invoice) -> Terms:
    own = invoice.buyer
    place = _filled({**_address(own["address"], BUYER_LINES),
                     "BT-55": own["country"]})  # fmt: skip
    return _filled({"BT-44": own["name"], "BT-48": own["vat_number"], "BG-8": place})


def _payment(invoice: Invoice) -> Terms:
    """Return where to pay, by transfer (UNTDID 4461 code 30), if there is a place."""
    own = invoice.seller
    if not own["iban"] or invoice.due <= 0:
        return {}
    holder = own["account_holder"] or own["name"]
    account = _filled({"BT-84": own["iban"], "BT-85": holder, "BT-86": own["bic"]})
    return {"BT-81": "30", "BT-83": invoice.number, "BG-17": account}


def _beside(invoice: Invoice) -> Terms:
    """Return what is taken off and charged beside the lines."""
    bill, found = kept_bill(invoice), {}
    for kind, (group, amount, category, percent, reason) in BESIDE.items():
        sign = -1 if kind == "allowance" else 1
        found[group] = [
            {
                amount: _text(sign * one.net, invoice), category: one.category,
                percent: _rate(one.percent), reason: one.label,
            }
            for one in bill.of_kind(kind)
        ]  # fmt: skip
    return found


def _totals(invoice: Invoice) -> Terms:
    bill = kept_bill(invoice)
    sums = {
        "BT-106": bill.lines_net, "BT-107": bill.allowances, "BT-108": bill.charges,
        "BT-109": invoice.net, "BT-110": invoice.tax, "BT-112": invoice.gross,
        "BT-113": invoice.paid, "BT-115": invoice.due,
    }  # fmt: skip
    return {name: _text(amount, invoice) for name, amount in sums.items()}


def _taxes(invoice: Invoice) -> list[Terms]:
    return [
        _filled({
            "BT-116": _text(one.base, invoice), "BT-117": _text(one.tax, invoice),
            "BT-118": one.category, "BT-119": _rate(one.percent),
            "BT-120": invoice.taxes["reason"] if one.category in "EG" else "",
        })
        for one in kept_bill(invoice).taxes
    ]  # fmt: skip


def _lines(invoice: Invoice) -> list[Terms]:
    lines = kept_bill(invoice).of_kind("line")
    return [_line(place, one, invoice) for place, one in enumerate(lines, start=1)]


def _line(place: int, one: BillLine, invoice: Invoice) -> Terms:
    return {
        "BT-126": str(place),
        "BT-129": _rate(one.quantity), "BT-130": PIECE,
        "BT-131": _text(one.net, invoice),
        "BG-29": {"BT-146": _text(one.net / one.quantity, invoice)},
        "BG-30": {"BT-151": one.category, "BT-152": _rate(one.percent)},
        "BG-31": _filled({"BT-153": one.label, "BT-154": one.detail}),
    }  # fmt: skip


def _text(amount: Decimal, invoice: Invoice) -> str:
    return str(money(amount, invoice.currency))


def _rate(number: Decimal) -> str:
    return f"{number.normalize():f}"
