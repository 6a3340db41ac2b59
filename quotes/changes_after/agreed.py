"""What was agreed with the yes, knife by knife, and whether steel is cut for it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from decimal import Decimal

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.models import Quote, QuoteAnswer, QuoteOption
from quotes.money import ZERO, split, total
from quotes.pricing import wanted
from shop import stages
from shop.again import pairs
from shop.entries import entries_of
from shop.models import Knife, Order, WorkRecord
from shop.work import BILLET

CUT_FOR = ("stack", "bar")
"""Things weighed of a billet that show that its steel is cut."""


def answer_of(order: Order) -> QuoteAnswer | None:
    """Return the yes an order was accepted with, if there is one."""
    said = QuoteAnswer.objects.filter(quote__order=order, accepted=True)
    return said.select_related("quote", "option").order_by("-pk").first()


def agreed_total(order: Order) -> Decimal:
    """Return what is agreed for an order, tax included; QuoteError if nothing is."""
    if order.agreed is None:
        raise QuoteError(
            _("Order {number} was accepted without a quote: there is no agreed price "
              "to reckon from. Change the knife itself, and agree on the money "
              "separately."),
            field="agreed", number=order.number,
        )  # fmt: skip
    return order.agreed


def knife_prices(order: Order, currency: str) -> dict[str, Decimal]:
    """Return the agreed price of each knife that is still owed, by its number.

    What is charged beside the knives, and what was taken off, is shared out with
    them, so that the prices add up to what is agreed. A change that was agreed on
    raises its own knife only; a knife made again has the price of the lost one, and
    one that was lost and not begun again keeps its own.
    """
    again = begun_again(order)
    knives = wanted(order) + _waiting(order, again)
    if not knives:
        return {}
    altered = _altered(order, [one.serial for one in knives], again)
    base = agreed_total(order) - total(altered.values())
    weights = _weights(order, knives, again)
    parts = split(base, [weights[one.serial] for one in knives], currency)
    return {
        one.serial: part + altered.get(one.serial, ZERO)
        for one, part in zip(knives, parts, strict=True)
    }


def lost_for_good(order: Order) -> list[Knife]:
    """Return the scrapped knives of an order that none was begun in the place of."""
    return _waiting(order, begun_again(order))


def _waiting(order: Order, again: Mapping[str, str]) -> list[Knife]:
    """Return the scrapped knives that wait to be begun again, of those agreed on."""
    quoted = _lines(order)
    stand = {last_begun(one, again) for one in quoted}
    lost = order.knives.filter(stage="scrapped").order_by("pk")
    return [
        one for one in lost
        if one.serial not in again and (one.serial in stand or not quoted)
    ]  # fmt: skip


def _altered(
    order: Order, owed: Collection[str], again: Mapping[str, str]
) -> dict[str, Decimal]:
    """Return by how much agreed changes altered the price of knives still owed."""
    found: dict[str, Decimal] = {}
    for one in order.changes.filter(state="agreed").select_related("knife"):
        if one.knife is not None:
            serial = last_begun(one.knife.serial, again)
            found[serial] = found.get(serial, ZERO) + one.more + one.fee
    return {serial: more for serial, more in found.items() if serial in owed}


def begun_again(order: Order) -> dict[str, str]:
    """Return which knife was begun in the place of each that was scrapped."""
    return pairs(order, set(_lines(order)))


def last_begun(serial: str, again: Mapping[str, str]) -> str:
    """Return the knife that was begun last in the place of one, or that one itself.

    >>> last_begun("A", {"A": "B", "B": "C"})
    'C'
    """
    seen = {serial}
    while (later := again.get(serial)) and later not in seen:
        serial = later
        seen.add(later)
    return serial


def _weights(
    order: Order, knives: list[Knife], again: Mapping[str, str]
) -> dict[str, Decimal]:
    """Return what each knife was quoted at; all alike where no quote says."""
    quoted = _lines(order)
    for lost, amount in list(quoted.items()):
        quoted.setdefault(last_begun(lost, again), amount)
    weights = {one.serial: quoted.get(one.serial, ZERO) for one in knives}
    if not all(weights.values()):
        return dict.fromkeys(weights, Decimal(1))
    return weights


def _lines(order: Order) -> dict[str, Decimal]:
    """Return the lines of the knives in the quote that was accepted."""
    answer = answer_of(order)
    if answer is None:
        return {}
    quote: Quote = answer.quote
    found = {
        line.serial: line.amount
        for line in quote.lines.all()
        if line.kind == "knife" and line.serial
    }
    return _with_option(found, quote, answer.option)


def _with_option(
    found: Mapping[str, Decimal], quote: Quote, chosen: QuoteOption | None
) -> dict[str, Decimal]:
    """Put the difference an option makes on its own knife."""
    lines = dict(found)
    if chosen is not None and chosen.serial in lines:
        first = quote.options.order_by("position").first()
        before = first.amount if first else chosen.amount
        lines[chosen.serial] = max(
            lines[chosen.serial] + chosen.amount - before, Decimal("0.01")
        )
    return lines


def steel_is_cut(knife: Knife) -> bool:
    """Say whether steel is cut for a knife, as far as anything written down shows it.

    It is past the forge, its billet was weighed, or hours were spent on either.
    """
    if knife.stage == stages.NOT_STARTED:
        return False
    if knife.stage != stages.STAGES[0].key:
        return True
    if entries_of(knife).filter(kind__in=CUT_FOR, taken_back=None).exists():
        return True
    own = WorkRecord.objects.filter(taken_back=None)
    if own.filter(knife=knife).exists():
        return True
    plan = knife.target.plan_id
    return bool(plan) and own.filter(row=BILLET, knife__target__plan=plan).exists()


def order_is_cut(order: Order) -> bool:
    """Say whether steel is cut for any knife of an order that is still wanted."""
    return any(steel_is_cut(knife) for knife in wanted(order))
