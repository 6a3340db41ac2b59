"""The money of an ordered knife, as its customer reads it: what is to do, what is paid.

The balance is to pay once it was asked for, which the shop does with the final photos.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from quotes.pay.code import Transfer, no_code, transfer_to
from quotes.pay.request import bank_rows, code_note, code_of
from quotes.private.asked import balance_asked
from quotes.private.case import Case
from quotes.private.losses import is_lost, steel_was_cut, what_becomes
from quotes.private.over import is_settled, reckoned
from quotes.wording import long_day, money_text
from shop import payments
from shop.models import Order, Payment


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """What is needed from the customer, and the money.

    Attributes
    ----------
    heading : str
        Above what is needed.
    due : tuple of (amount, what)
        What is to pay now, or comes back; empty where nothing is.
    needed : tuple of str
        What is to do; empty where nothing is.
    calm : str
        What is said instead.
    sums : tuple of (label, amount)
        Agreed, received, open.
    reckoned : tuple of str
        How what is kept was reckoned, if it was cancelled.
    moved : tuple of (amount, what, day)
        What has arrived, and what was paid back.
    pay_to : tuple of (label, text)
        The shop's bank and what to write on the transfer; empty where nothing is due.
    code : str
        The code of that transfer, to be scanned; empty where there can be none.
    code_note : str
        How it is used.
    """

    heading: str
    due: tuple[str, str] | tuple[()]
    needed: tuple[str, ...]
    calm: str
    sums: tuple[tuple[str, str], ...]
    reckoned: tuple[str, ...]
    moved: tuple[tuple[str, str, str], ...]
    pay_to: tuple[tuple[str, str], ...]
    code: SafeString
    code_note: str


def progress_of(case: Case) -> Progress:
    """Return how an order stands after the yes, in the language that is spoken."""
    what, amount = due_now(case)
    transfer = _transfer(case, amount) if what else None
    code = code_of(transfer) if transfer else SafeString()
    return Progress(
        heading=_("What is still open") if case.is_over else _("What is needed from "
                                                               "you"),
        due=_due(case, what, amount),
        needed=_needed(case, what, amount),
        calm=_calm(case),
        sums=_sums(case),
        reckoned=reckoned(case),
        moved=tuple(_moved(one, case.quote.currency) for one in _standing(case.order)),
        pay_to=tuple(bank_rows(transfer)) if transfer else (),
        code=code,
        code_note=code_note(transfer) if transfer and not no_code(transfer) else "",
    )  # fmt: skip


def due_now(case: Case) -> tuple[str, Decimal]:
    """Return what a customer has to pay now, by a key, and how much."""
    order = case.order
    left = payments.balance(order)
    if left <= 0:
        return "", payments.ZERO
    if order.state in payments.OVER:
        return "owed", left
    if is_lost(case):
        return "", payments.ZERO
    if balance_asked(order, case.shop):
        return "balance", left
    missing = min(payments.deposit_missing(order), left)
    return ("deposit", missing) if missing > 0 else ("", payments.ZERO)


def _transfer(case: Case, amount: Decimal) -> Transfer | None:
    if not case.shop.iban:
        return None
    return transfer_to(case.shop, amount, case.quote.currency, case.order.number)


def _standing(order: Order) -> list[Payment]:
    return [one for one in order.payments.all() if one.taken_back is None]


# --- what is to do ----------------------------------------------------------------


def _due(case: Case, what: str, amount: Decimal) -> tuple[str, str] | tuple[()]:
    over = -payments.balance(case.order)
    if over > 0:
        return money_text(over, case.quote.currency), _("comes back to you")
    if not what:
        return ()
    named = {
        "deposit": _("deposit, to pay now"),
        "balance": _("balance, to pay now"),
        "owed": _("still to pay"),
    }
    return money_text(amount, case.quote.currency), named[what]


def _needed(case: Case, what: str, amount: Decimal) -> tuple[str, ...]:
    """Return what the customer has to do, and what comes back without doing it."""
    text = money_text(amount, case.quote.currency)
    said = [what_becomes()] if is_lost(case) else []
    said += [_pay(what, case.order).format(amount=text)] if what else []
    if what and not case.shop.iban:
        said.append(_("Ask the shop where to pay it."))
    over = -payments.balance(case.order)
    if over > 0:
        said.append(_back(case, money_text(over, case.quote.currency)))
    if any(one.state == "open" for one in case.order.changes.all()):
        said.append(_("A change of your knife waits for your yes or no: it stands "
                      "below."))  # fmt: skip
    return tuple(said)


def _pay(what: str, order: Order) -> str:
    if what == "deposit" and steel_was_cut(order):
        return _("Pay the deposit of {amount}.")
    return {
        "deposit": _(
            "Pay the deposit of {amount}. When it is here your steel is bought and the "
            "forging is planned."
        ),
        "balance": _(
            "Pay the balance of {amount}. Your knife is handed over when it is here."
        ),
        "owed": _("Still to pay: {amount}."),
    }[what]


def _back(case: Case, amount: str) -> str:
    if case.state == "cancelled":
        return _("You get back {amount}; the shop pays it to you.").format(
            amount=amount
        )
    return _("You have paid {amount} more than was agreed; the shop pays it back to "
             "you.").format(amount=amount)  # fmt: skip


def _calm(case: Case) -> str:
    left = payments.balance(case.order)
    if not case.is_over and left > 0 and payments.ready(case.order):
        said = _("Nothing now. The balance of {amount} comes with the final photos.")
        return said.format(amount=money_text(left, case.quote.currency))
    if not case.is_over:
        return _("Nothing now. This page shows how your knife gets on.")
    back = [one.received_on for one in _standing(case.order) if one.back]
    if back:
        return _("Nothing: all is settled. Paid back on {day}.").format(
            day=long_day(max(back))
        )
    if is_settled(case):
        return _("Nothing: all is settled.")
    return _("Nothing: all is paid. Thank you.")


# --- what is paid -----------------------------------------------------------------


def _sums(case: Case) -> tuple[tuple[str, str], ...]:
    order, rows = case.order, _standing(case.order)
    back = sum((one.amount for one in rows if one.back), payments.ZERO)
    left = payments.balance(order)
    agreed = _("Kept by the shop") if case.state == "cancelled" else _("Agreed")
    sums = [
        (agreed, order.agreed or payments.ZERO),
        (_("Received"), payments.received(order) + back),
        *([(_("Paid back"), back)] if back else []),
        (_("Open"), left) if left >= 0 else (_("You get back"), -left),
    ]
    return tuple((label, money_text(one, case.quote.currency)) for label, one in sums)


def _moved(one: Payment, currency: str) -> tuple[str, str, str]:
    what = _("paid back") if one.back else _("received")
    return money_text(one.signed, currency), what, long_day(one.received_on)
