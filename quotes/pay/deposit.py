"""Another deposit than the quote's: asked about where it does not cover the work.

The rule of a deposit is that it covers at least what is spent before the first gate
that shows a flaw (``quotes.costing.sunk_of``).
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from billets.physics.errors import _
from quotes.changes_after.agreed import answer_of
from quotes.costing import sunk_of
from quotes.errors import QuoteError
from quotes.money import ZERO, Taxed, covering
from quotes.pay.bought import bought_of
from quotes.price import to_cover
from quotes.pricing import price_order
from quotes.wording import money_text
from shop import payments
from shop.models import Order
from shop.payments import DoubtfulError


def covering_deposit(order: Order, day: dt.date) -> Decimal | None:
    """Return the smallest deposit that covers what is spent before a flaw can show.

    Tax included, by the rates of a day; never more than the agreed total. None where
    it cannot be reckoned: nothing agreed, a rate missing, another currency by now.
    """
    bought = bought_of(order)
    try:
        lines = price_order(order, day).lines
    except QuoteError:
        return None
    if bought is None or lines.currency != bought.currency:
        return None
    whole = Taxed(net=bought.gross - bought.tax, tax=bought.tax, gross=bought.gross)
    nothing = Taxed(net=ZERO, tax=ZERO, gross=ZERO)
    spent = to_cover(sunk_of(lines.spent), bought.currency)
    return covering(nothing, spent, whole, bought.tax_until, bought.currency).gross


def agree_deposit(
    order: Order, deposit: Decimal, *, seen: Decimal | None, day: dt.date, sure: bool
) -> None:
    """Agree on another deposit than the quote's.

    StageError as in ``shop.payments.change_deposit``; DoubtfulError, unless somebody
    is ``sure``, where it does not cover what is spent before a flaw can show.
    """
    payments.check_deposit(order.agreed, deposit)
    if order.deposit_due == seen and not sure:
        _ask(order, deposit, day)
    payments.change_deposit(order, deposit, seen=seen)


def _ask(order: Order, deposit: Decimal, day: dt.date) -> None:
    currency, covers = payments.currency_of(order), covering_deposit(order, day)
    if covers is not None and deposit < covers:
        raise DoubtfulError(
            _("{covers} would cover what these knives take before a bad weld can show, "
              "tax included; this deposit does not. Tick the box if you agreed on it "
              "all the same."),
            field="sure", covers=money_text(covers, currency),
        )  # fmt: skip
    quoted = _quoted(order)
    if covers is None and quoted is not None and deposit < quoted:
        raise DoubtfulError(
            _("The quote asked for a deposit of {quoted}, and what these knives take "
              "before a bad weld can show cannot be reckoned now. Tick the box if you "
              "agreed on this one all the same."),
            field="sure", quoted=money_text(quoted, currency),
        )  # fmt: skip


def _quoted(order: Order) -> Decimal | None:
    """Return the deposit of what was accepted, no more than is agreed now."""
    answer = answer_of(order)
    if answer is None:
        return None
    bought = answer.option or answer.quote
    return min(bought.deposit, order.agreed or ZERO)
