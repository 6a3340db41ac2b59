"""How an accepted order stands, as its customer reads it."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _

from quotes.private.words import STAGE_WORDS
from quotes.wording import long_day, money_text
from shop import payments, stages
from shop.models import Order, Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """What is needed from the customer, and the money.

    Attributes
    ----------
    needed : tuple of str
        What is to do; empty where nothing is.
    sums : tuple of (label, amount)
        Agreed, received, open.
    received : tuple of (day, amount)
        What has arrived.
    pay_to : tuple of (label, text)
        The shop's bank and what to write on the transfer; empty where nothing is due.
    """

    needed: tuple[str, ...]
    sums: tuple[tuple[str, str], ...]
    received: tuple[tuple[str, str], ...]
    pay_to: tuple[tuple[str, str], ...]


def knife_stages(order: Order) -> dict[str, str]:
    """Return where each knife of an order stands, in words, by its number."""
    rows = order.knives.values_list("serial", "stage")
    return {serial: str(STAGE_WORDS.get(stage, "")) for serial, stage in rows}


def progress_of(order: Order, currency: str, shop: Shop) -> Progress:
    """Return how an order stands after the yes, in the language that is spoken."""
    prefetch_related_objects([order], "payments", "knives", "changes")
    needed = _needed(order, currency)
    arrived = [one for one in order.payments.all() if one.taken_back is None]
    return Progress(
        needed=tuple(needed.values()),
        sums=_sums(order, currency),
        received=tuple(
            (long_day(one.received_on), money_text(one.amount, currency))
            for one in arrived
        ),
        pay_to=_pay_to(order, shop) if needed.keys() & {"deposit", "balance"} else (),
    )


def _sums(order: Order, currency: str) -> tuple[tuple[str, str], ...]:
    sums = (
        (_("Agreed"), order.agreed or payments.ZERO),
        (_("Received"), payments.received(order)),
        (_("Open"), payments.balance(order)),
    )
    return tuple((label, money_text(amount, currency)) for label, amount in sums)


def _needed(order: Order, currency: str) -> dict[str, str]:
    """Return what the customer has to do, by what it is about."""
    needed = {}
    deposit, open_now = payments.deposit_missing(order), payments.balance(order)
    if order.state == "accepted" and deposit > 0:
        needed["deposit"] = _(
            "Pay the deposit of {amount}. When it is here your steel is bought and "
            "the forging is planned."
        ).format(amount=money_text(deposit, currency))
    elif open_now > 0 and _finished(order):
        needed["balance"] = _(
            "Pay the balance of {amount}. Your knife is handed over when it is here."
        ).format(amount=money_text(open_now, currency))
    if any(one.state == "open" for one in order.changes.all()):
        needed["change"] = _(
            "A change you wished for waits for your yes or no: tell the shop."
        )
    return needed


def _finished(order: Order) -> bool:
    """Say whether no knife has more before it than the last stage of the bench."""
    here = {one.stage for one in order.knives.all() if one.stage not in stages.EXITS}
    return bool(here) and here <= {one.key for one in stages.STAGES[-2:]}


def _pay_to(order: Order, shop: Shop) -> tuple[tuple[str, str], ...]:
    if not shop.iban:
        return ()
    known = (
        (_("Account holder"), shop.account_holder or shop.name),
        (_("IBAN"), shop.iban),
        (_("BIC"), shop.bic),
        (_("Reference"), order.number),
    )
    return tuple((label, text) for label, text in known if text)
