"""What happens next, step by step, so that a customer never has to ask."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from quotes.private.asked import balance_asked
from quotes.private.case import Case
from quotes.private.losses import is_lost, steel_was_cut, what_becomes
from quotes.wording import long_day, money_text
from shop import payments


def steps_of(case: Case) -> tuple[str, ...]:
    """Return the steps still to come, from where an order stands."""
    if case.state == "open":
        return _from_the_yes(case)
    return _from_the_bench(case) if case.state == "accepted" else ()


def _from_the_yes(case: Case) -> tuple[str, ...]:
    offer = case.offer
    say_yes = (
        _("You choose and say yes at the end of this page, by {day}.")
        if offer.options
        else _("You say yes at the end of this page, by {day}.")
    )
    rest = None if offer.options else offer.total - offer.deposit
    return (
        say_yes.format(day=long_day(offer.valid_until)),
        *_deposit_steps(case),
        _this_page(),
        *_balance_steps(case, rest),
    )


def _deposit_steps(case: Case) -> tuple[str, ...]:
    offer = case.offer
    if not any(one.deposit for one in offer.options or [offer]):
        return (_("Your steel is bought and the work begins."),)
    asked = _("You get a request for the deposit; where to pay it stands here, too.")
    if not offer.options:
        asked = _(
            "You get a request for the deposit of {deposit}; where to pay it stands "
            "here, too."
        ).format(deposit=money_text(offer.deposit, offer.currency))
    return asked, _bought()


def _bought() -> str:
    return _("When the deposit is here, your steel is bought and the work begins.")


def _this_page() -> str:
    return _("This page shows every stage, and photos of the work.")


def _balance_steps(case: Case, rest: Decimal | None) -> tuple[str, ...]:
    if rest == 0:
        return (_handed_over(case),)
    asked = _("When it is finished you get the final photos, and with them a request "
              "for the balance.")  # fmt: skip
    if rest is not None:
        asked = _(
            "When it is finished you get the final photos, and with them a request for "
            "the balance of {rest}."
        ).format(rest=money_text(rest, case.offer.currency))
    return asked, _handed_over(case, paid_first=True)


def _handed_over(case: Case, *, paid_first: bool = False) -> str:
    if case.beside.sent:
        if paid_first:
            return _("When the balance is here, it is sent to you.")
        return _("When it is finished, it is sent to you.")
    if paid_first:
        return _("When the balance is here, it is handed over to you.")
    return _("When it is finished, it is handed over to you.")


def _from_the_bench(case: Case) -> tuple[str, ...]:
    """Return what is left to come after the yes."""
    if is_lost(case):
        return (what_becomes(),)
    order = case.order
    left = max(payments.balance(order), payments.ZERO)
    if left > 0 and balance_asked(order, case.shop):
        return (_handed_over(case, paid_first=True),)
    missing = min(payments.deposit_missing(order), left)
    first = (_bought(),) if missing > 0 and not steel_was_cut(order) else ()
    shows = () if payments.ready(order) else (_this_page(),)
    return (*first, *shows, *_balance_steps(case, left - missing))
