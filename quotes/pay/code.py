"""The code of a SEPA credit transfer, to be scanned with a bank's app.

References
----------
European Payments Council, EPC069-12, "Quick Response Code: Guidelines to enable data
capture for the initiation of a SEPA credit transfer", version 2.1 (2012): error level
M, at most version 13 and 331 bytes, twelve lines from service tag to information.
Which countries take part is quoted from memory, verify.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import segno
from segno import helpers

from billets.physics.errors import _
from quotes.errors import QuoteError
from shop.models import Shop

AREA = frozenset(
    ("AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR",
     "HU", "IE", "IS", "IT", "LI", "LT", "LU", "LV", "MT", "NL", "NO", "PL", "PT",
     "RO", "SE", "SI", "SK")
)  # fmt: skip
"""The European Economic Area: no BIC is needed between its banks."""

BESIDE = frozenset(
    ("AD", "AL", "CH", "GB", "GI", "MC", "MD", "ME", "MK", "RS", "SM", "VA")
)
"""Countries beside it that take part; their transfers need a BIC."""

LEAST, MOST = Decimal("0.01"), Decimal("999999999.99")


@dataclass(frozen=True, slots=True, kw_only=True)
class Transfer:
    """A transfer to the shop.

    Attributes
    ----------
    name, iban, bic : str
        Whose account it is, which, and at which bank.
    amount : Decimal
        How much.
    currency : str
        Of what.
    reference : str
        What the customer writes on it.
    """

    name: str
    iban: str
    bic: str
    amount: Decimal
    currency: str
    reference: str


def transfer_to(
    shop: Shop, amount: Decimal, currency: str, reference: str
) -> Transfer:  # fmt: skip
    """Return a transfer to the shop; QuoteError if it has told no account."""
    if not shop.iban:
        raise QuoteError(
            _("A request says where the money goes: write down the shop's IBAN and "
              "whose account it is first."),
            field="iban",
        )  # fmt: skip
    return Transfer(
        name=shop.account_holder or shop.owner or shop.name,
        iban="".join(shop.iban.split()),
        bic=shop.bic,
        amount=amount,
        currency=currency,
        reference=reference,
    )


def no_code(transfer: Transfer) -> str:
    """Return why a transfer has no code, to be translated; empty if it has one."""
    country = transfer.iban[:2]
    if transfer.currency != "EUR":
        return _("Codes to scan are for transfers in euro only, so there is none here.")
    if country not in AREA | BESIDE:
        return _("Codes to scan are for accounts of the euro transfer area only, so "
                 "there is none here.")  # fmt: skip
    if country not in AREA and not transfer.bic:
        return _("For this account a code to scan needs the bank's BIC, which is not "
                 "told.")  # fmt: skip
    if not LEAST <= transfer.amount <= MOST:
        return _("This amount cannot stand in a code to scan.")
    return ""


def transfer_code(transfer: Transfer) -> segno.QRCode:
    """Return the code of a transfer that can have one."""
    return helpers.make_epc_qr(
        name=transfer.name,
        iban=transfer.iban,
        amount=transfer.amount,
        text=transfer.reference,
        bic=transfer.bic or None,
        encoding="utf-8",
    )


def code_drawing(transfer: Transfer, title: str) -> str:
    """Return the code as SVG with its quiet edge; its size is the style sheet's."""
    return transfer_code(transfer).svg_inline(
        border=4, omitsize=True, title=title, svgclass=None, lineclass=None
    )
