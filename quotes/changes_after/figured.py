"""What a change after the yes comes to: what it alters, its price, its fee, its steel.

The price is the difference of two prices of the real chain, the order with the changed
knife and without, both at the rates in force today. The billet stays as it is planned.
"""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from django.utils import timezone

from billets.figures import PlanFigures, ends_clean, figures
from billets.knives import spec_from
from billets.physics.errors import Flag, _
from billets.physics.knife import weigh_knife
from billets.services import core_targets, plan_spec, shop_beliefs
from quotes.changes_after.agreed import agreed_total, knife_prices
from quotes.changes_after.billed import billed_more
from quotes.changes_after.ladder import change_fee, part_price, rung
from quotes.changes_after.possible import (
    PARTS,
    Part,
    Wanted,
    cautions,
    parts_changed,
    passed,
    refusals,
    rows_begun,
)
from quotes.errors import QuoteError
from quotes.money import money
from quotes.offer.specification import Specified
from quotes.pricing import PricedOrder, plan_of, price_order, with_spec
from quotes.terms.lines import offer_lines
from quotes.terms.terms import draft_of, terms_of
from shop import payments, stages
from shop.models import Knife
from shop.services import spec_of, target_values

COLUMNS = (*(name for part in PARTS for name in part.fields), "name", "note")
"""All that is specified of a knife."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A change as it is typed.

    Attributes
    ----------
    values : mapping of str to Any
        The whole specification as it would be.
    cut : bool
        Whether the steel is cut.
    fee, total : Decimal or None
        The fee, and the new total of the order, where the smith names one.
    new_week : date or None
        The week promised instead.
    """

    values: Mapping[str, Any]
    cut: bool
    fee: Decimal | None = None
    total: Decimal | None = None
    new_week: dt.date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figured:
    """A change that can be made, with all it comes to; tax included.

    Attributes
    ----------
    knife : Knife
        As it is written.
    wish : Wish
        What is asked for.
    columns : mapping of str to Any
        The columns that differ.
    parts : tuple of Part
        What of the knife is changed.
    before, after : Specified
        The knife as it is and as it would be, with its billet.
    priced : PricedOrder
        The order as it is, at the rates in force today.
    agreed, part, percent : Decimal
        What is agreed, the agreed price of the parts changed (of what of them is
        begun, once the steel is cut), and the fee's rung [%].
    reckoned_more, reckoned_fee : Decimal
        By the chain and by the ladder.
    more, fee, total : Decimal
        As the customer is asked; the total is all there is to pay then.
    paid : Decimal
        What was paid for the order already.
    billet : PlanFigures or None
        The billet with what the knife would need; None once the bar is forged.
    flags : tuple of Flag
        What to look at at the bench.
    """

    knife: Knife
    wish: Wish
    columns: Mapping[str, Any]
    parts: tuple[Part, ...]
    before: Specified
    after: Specified
    priced: PricedOrder
    agreed: Decimal
    part: Decimal
    percent: Decimal
    reckoned_more: Decimal
    reckoned_fee: Decimal
    more: Decimal
    fee: Decimal
    total: Decimal
    paid: Decimal
    billet: PlanFigures | None
    flags: tuple[Flag, ...]

    @property
    def currency(self) -> str:
        """What the amounts are in."""
        return self.priced.lines.currency


class Impossible(QuoteError):
    """A change the stage of its knife forbids; ``errors`` has one for each box."""

    def __init__(self, errors: tuple[QuoteError, ...]) -> None:
        first = errors[0]
        super().__init__(first.message, field=first.field, **first.values)
        self.errors = errors


def as_it_is(knife: Knife) -> Wanted:
    """Return a knife as it is written."""
    return Wanted(spec=spec_of(knife), hardness=knife.hardness, finish=knife.finish)


def as_wanted(values: Mapping[str, Any]) -> Wanted:
    """Return a knife as it would be."""
    return Wanted(
        spec=spec_from(values), hardness=values["hardness"], finish=values["finish"]
    )


def check_possible(knife: Knife, values: Mapping[str, Any]) -> tuple[Part, ...]:
    """Return what of a knife changes; Impossible if its stage forbids some of it."""
    now, then = as_it_is(knife), as_wanted(values)
    parts = parts_changed(now, then)
    if not parts:
        raise QuoteError(
            _("Nothing of the knife is changed yet: change what the customer wants "
              "otherwise. Its name and the note for the bench are changed on its own "
              "page."),
            field="wish",
        )  # fmt: skip
    if errors := refusals(knife.stage, now, then):
        raise Impossible(errors)
    return parts


def figured(knife: Knife, wish: Wish, day: dt.date) -> Figured:
    """Return what a change comes to.

    Impossible if the stage forbids it, PlanError if no such knife can be made, NotReady
    if the order has no price today, QuoteError if nothing was agreed or is changed.
    """
    parts = check_possible(knife, wish.values)
    agreed = agreed_total(knife.order)
    priced = price_order(knife.order, day)
    _check_currency(priced)
    own = next(one for one, _result in priced.knives if one.pk == knife.pk)
    other = with_spec(priced, own, spec_from(wish.values))
    part, percent = _part_and_rung(knife, parts, priced, cut=wish.cut)
    fee = change_fee(part, percent, priced.lines.currency)
    more = billed_more(knife, _more(priced, other) + fee) - fee
    asked = _asked(knife, agreed, more, fee, wish)
    then = changed_knife(knife, wish.values)
    result = next(one for row, one in other.knives if row.pk == knife.pk)
    plan = priced.plans[plan_of(own).pk]
    return Figured(
        knife=knife, wish=wish, columns=columns_of(knife, wish.values), parts=parts,
        before=Specified(knife=knife, result=weigh_knife(spec_of(knife)), figures=plan),
        after=Specified(knife=then, result=result, figures=plan),
        priced=priced, agreed=agreed, part=part, percent=percent,
        reckoned_more=more, reckoned_fee=fee, **asked,
        paid=payments.received(knife.order),
        billet=_billet(own, then) if _bar_to_come(knife) else None,
        flags=cautions(knife.stage, as_it_is(knife), as_wanted(wish.values)),
    )  # fmt: skip


def columns_of(knife: Knife, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the columns of a knife in which a specification differs from it."""
    return {
        name: values[name] for name in COLUMNS if values[name] != getattr(knife, name)
    }


def changed_knife(knife: Knife, values: Mapping[str, Any]) -> Knife:
    """Return a knife as it would be; not to be saved."""
    then = copy.copy(knife)
    for name in COLUMNS:
        setattr(then, name, values[name])
    return then


def gates_passed(knife: Knife) -> list[dict[str, str]]:
    """Return the gates a knife has passed, each with the day it last did."""
    days = {
        event.came_from: timezone.localdate(event.at).isoformat()
        for event in knife.events.filter(gate_passed=True)
    }
    return [{"stage": key, "day": days.get(key, "")} for key in passed(knife.stage)]


# --- money -------------------------------------------------------------------------


def _check_currency(priced: PricedOrder) -> None:
    """Refuse to add amounts of two currencies."""
    agreed_in = payments.currency_of(priced.order)
    if priced.lines.currency != agreed_in:
        raise QuoteError(
            _("This order was agreed in {old}, and the shop prices in {new} now: the "
              "two cannot be added up."),
            field="currency", old=agreed_in, new=priced.lines.currency,
        )  # fmt: skip


def _more(priced: PricedOrder, other: PricedOrder) -> Decimal:
    """Return what the order costs more, or less, with the other knife."""
    return _gross(other) - _gross(priced)


def _gross(priced: PricedOrder) -> Decimal:
    """Return the total of an order before it is asked for or rounded, with tax.

    Discounts in per cent count; a total that was asked for once says nothing of
    another knife.
    """
    terms = terms_of(priced.order, draft_of(priced.order))
    draft = copy.copy(terms.draft)
    draft.asked, draft.step = None, Decimal(0)
    return offer_lines(priced, replace(terms, draft=draft))[1].gross


def _part_and_rung(
    knife: Knife, parts: tuple[Part, ...], priced: PricedOrder, *, cut: bool
) -> tuple[Decimal, Decimal]:
    """Return the agreed price of what is changed, and the per cent of the fee."""
    currency = priced.lines.currency
    price = knife_prices(knife.order, currency)[knife.serial]
    hours = {one.row: one.expected for one in priced.lines.hours if one.row != "all"}
    rows = {row for part in parts for row in part.rows}
    if cut:
        rows &= rows_begun(knife.stage)  # nobody pays for work that is still to come
    percent = rung("change", priced.rates, cut=cut)
    return part_price(price, hours, rows, currency), percent


def _asked(
    knife: Knife, agreed: Decimal, more: Decimal, fee: Decimal, wish: Wish
) -> dict[str, Decimal]:
    """Return what the customer is asked: as reckoned, unless the smith names another.

    A total that is named is met by the price of the work, not by the fee; one that no
    bill before tax comes to, by the nearest that does.
    """
    currency = payments.currency_of(knife.order)
    fee = fee if wish.fee is None else money(wish.fee, currency)
    if wish.total is not None:
        more = money(wish.total, currency) - agreed - fee
    more = billed_more(knife, more + fee) - fee
    whole = agreed + more + fee
    if whole < 0:
        raise QuoteError(
            _("With this change less than nothing would be left to pay: name a total."),
            field="total",
        )
    return {"more": more, "fee": fee, "total": whole}


# --- steel -------------------------------------------------------------------------


def _bar_to_come(knife: Knife) -> bool:
    """Say whether the bar of a knife is not forged out yet, so that it can be short."""
    return knife.stage in (stages.NOT_STARTED, stages.STAGES[0].key)


def _billet(knife: Knife, then: Knife) -> PlanFigures:
    """Return the billet of a knife as it would be, the stack left as it is planned."""
    plan, own = plan_of(knife), spec_of(then)
    values = target_values(str(then), own, weigh_knife(own), then.hardness)
    spec, rows = plan_spec(plan), list(plan.targets.all())
    for row in rows:
        if row.pk == knife.target_id:
            for name, value in values.items():
                setattr(row, name, value)
    targets = core_targets(rows, clean=ends_clean(spec))
    wanted = [
        replace(one, knife=own) if row.pk == knife.target_id else one
        for row, one in zip(rows, targets, strict=True)
    ]
    return figures(spec, wanted, shop_beliefs(), seed=plan.seed, chance=plan.chance)
