"""A request for payment: what for, how much, the tax in it, and where to send it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from django.utils import translation
from django.utils.functional import Promise
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from billets.text import in_fours
from quotes.countries import countries_between
from quotes.errors import QuoteError
from quotes.pay.asked_for import sentences, total_label
from quotes.pay.bought import Bought, bought_of
from quotes.pay.code import Transfer, code_drawing, no_code, transfer_to
from quotes.rates import REGIMES
from quotes.wording import long_day, money_text, percent_text
from shop import payments
from shop.models import Customer, Order, Shop
from shop.payments import What

NAMES: Mapping[What, str | Promise] = MappingProxyType(
    {"deposit": gettext_lazy("Deposit"), "balance": gettext_lazy("Balance")}
)
"""What can be asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One amount of the paper; the one to pay now is the main one."""

    label: str
    amount: str
    main: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestPaper:
    """Everything a request says, in the customer's language.

    Attributes
    ----------
    what : {"deposit", "balance"}
        What is asked for.
    language, size : str
        Of the paper.
    shop, customer
        Who asks, and whom.
    shop_country, customer_country : str
        By name; empty within one country.
    title, day : str
        What it is, and of when.
    order : str
        The number it refers to.
    sentences, notes : tuple of str
        What it is for; what it is not, and why there is no tax.
    rows : tuple of Row
        From the agreed total to what is paid now.
    bank : tuple of (label, text)
        Where the money goes.
    code : str
        Drawing of the code to scan; empty where there is none.
    code_note : str
        How the code is used, or why there is none.
    """

    what: What
    language: str
    size: str
    shop: Shop
    customer: Customer
    shop_country: str
    customer_country: str
    title: str
    day: str
    order: str
    sentences: tuple[str, ...]
    notes: tuple[str, ...]
    rows: tuple[Row, ...]
    bank: tuple[tuple[str, str], ...]
    code: SafeString
    code_note: str

    @property
    def parts(self) -> tuple[object, ...]:
        """All that makes it another paper; not the day it is printed on."""
        shop, customer = self.shop, self.customer
        return (
            self.what, self.language, self.size, self.title, self.sentences,
            self.notes, [(one.label, one.amount) for one in self.rows], self.bank,
            self.code, self.code_note, shop.name, shop.owner, shop.address, shop.phone,
            shop.email, shop.tax_number, shop.vat_number, customer.name,
            customer.address, self.shop_country, self.customer_country,
        )  # fmt: skip


def amount_asked(order: Order, what: What) -> Decimal:
    """Return what can be asked for; QuoteError if it is nothing."""
    if order.agreed is None or bought_of(order) is None:
        raise QuoteError(
            gettext_noop(
                "Nothing is agreed yet: write down the customer's yes to a quote "
                "first, or agree on a sum."
            ),
            field="what",
        )
    if what == "deposit" and order.state in payments.OVER:
        raise QuoteError(
            gettext_noop("The order is over: ask for the balance, not for a deposit."),
            field="what",
        )
    if what == "deposit":
        amount = min(payments.deposit_missing(order), payments.balance(order))
    else:
        amount = payments.balance(order)
    if amount <= 0:
        raise QuoteError(
            gettext_noop("Nothing of it is open, so there is nothing to ask for."),
            field="what",
        )
    return amount


def request_paper(order: Order, shop: Shop, what: What, day: dt.date) -> RequestPaper:
    """Return a request for the deposit or the balance of an order.

    QuoteError where nothing is open, or no account is told.
    """
    amount, bought = amount_asked(order, what), bought_of(order)
    assert bought is not None  # noqa: S101  amount_asked has looked
    customer = order.customer
    with translation.override(customer.language):
        transfer = transfer_to(shop, amount, bought.currency, order.number)
        countries = countries_between(
            (shop.country, shop.address), (customer.country, customer.address)
        )
        return RequestPaper(
            what=what,
            language=customer.language,
            size=shop.paper,
            shop=shop,
            customer=customer,
            shop_country=countries[0],
            customer_country=countries[1],
            title=_("Request for payment {number}").format(number=order.number),
            day=long_day(day),
            order=order.number,
            sentences=tuple(sentences(order, what, bought.currency)),
            notes=tuple(_notes(order, bought)),
            rows=tuple(_rows(order, bought, what, amount)),
            bank=tuple(bank_rows(transfer)),
            code=code_of(transfer),
            code_note=code_note(transfer),
        )


def _notes(order: Order, bought: Bought) -> list[str]:
    plain = _("This is a request for payment and no invoice. The invoice comes "
              "separately.")  # fmt: skip
    if order.state == "cancelled":
        plain = _("This is a request for payment and no invoice.")
    regime = REGIMES.get(bought.regime)
    if regime is None or regime.taxed:
        return [plain]
    return [plain, _(regime.note)]


def _rows(
    order: Order, bought: Bought, what: What, amount: Decimal
) -> list[Row]:  # fmt: skip
    paid = payments.received(order)
    told = [(total_label(order), bought.gross)]
    if what == "deposit":
        told.append((_("Deposit agreed"), order.deposit_due or Decimal(0)))
    if paid:
        told.append((_("Received so far"), paid))
    rows = [_row(label, value, bought.currency) for label, value in told]
    rows.append(_row(_("To pay now"), amount, bought.currency, main=True))
    if bought.tax and order.state != "cancelled":
        # Whether money kept of a cancelled order bears tax is not for a program to say.
        label = _("Tax in what is to pay now")
        if bought.percent is not None:
            rate = percent_text(bought.percent)
            label = _("Tax in what is to pay now, {rate}").format(rate=rate)
        tax = bought.tax_between(paid, amount)
        rows.append(_row(label, tax, bought.currency))
    return rows


def _row(label: str, amount: Decimal, currency: str, *, main: bool = False) -> Row:
    return Row(label=label, amount=money_text(amount, currency), main=main)


# --- where the money goes ---------------------------------------------------------


def bank_rows(transfer: Transfer) -> list[tuple[str, str]]:
    """Return where a transfer goes, as a paper or page says it."""
    rows = [
        (_("Account holder"), transfer.name),
        ("IBAN", in_fours(transfer.iban)),
        ("BIC", transfer.bic),
        (_("Amount"), money_text(transfer.amount, transfer.currency)),
        (_("Reference"), transfer.reference),
    ]
    return [(label, text) for label, text in rows if text]


def code_of(transfer: Transfer) -> SafeString:
    """Return the drawing of a transfer's code; nothing where it has none."""
    if no_code(transfer):
        return SafeString()
    drawing = code_drawing(transfer, _("Code of this transfer"))
    # A path of modules, and a title the library has escaped.
    return mark_safe(drawing)  # noqa: S308


def code_note(transfer: Transfer) -> str:
    """Say how a code is used, or why there is none."""
    why = no_code(transfer)
    if why:
        return _(why)
    return _("Scan this with your bank's app: it fills in the transfer, and you look "
             "at it before you send it.")  # fmt: skip
