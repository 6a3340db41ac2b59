"""From a priced order and its draft to what is asked for it, in numbers.

``quotes.pricing`` says what the knives cost; here extras, discount, rounding and
options are laid on, and everything is added up in the customer's reading. Words come
later, in ``quotes.offers``.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from billets.physics.errors import Flag, _
from billets.physics.knife import KnifeResult
from billets.physics.knife_spec import KnifeSpec
from quotes.errors import QuoteError
from quotes.extra_items import EXTRAS
from quotes.models import Extra, QuoteDraft, Variant
from quotes.money import HUNDRED, ZERO, Taxed, deposit_of, money, total
from quotes.pricing import PricedOrder, with_spec
from quotes.sums import Amount, Mode, Sums, rounded_up, share_out, sums
from shop.models import Knife, Order
from shop.services import spec_of

NO_FERRULE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of a quote before it has words.

    Attributes
    ----------
    kind : {"knife", "extra", "charge", "discount"}
        What it is.
    key, label : str
        Of an extra its key, and the smith's own words; empty takes the usual ones.
    knife : Knife or None
        Which knife.
    amount : Amount
        As the customer reads it.
    """

    kind: str
    key: str
    label: str
    knife: Knife | None
    amount: Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of several ways to have it; the first is the knife as it is written.

    Attributes
    ----------
    label : str
        What the smith calls it; empty for the first.
    knife, spec, result
        The knife it is about, as it would be.
    values : mapping of str to Any
        Columns of the knife that differ, to write into it when it is chosen.
    priced : PricedOrder
        The order with it.
    items, sums, deposit
        The whole quote with it.
    """

    label: str
    knife: Knife
    spec: KnifeSpec
    result: KnifeResult
    values: Mapping[str, Any]
    priced: PricedOrder
    items: tuple[Item, ...]
    sums: Sums
    deposit: Taxed


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """All a quote asks for, in numbers.

    Attributes
    ----------
    kind : {"fixed", "estimate", ""}
        Whether the price binds; empty where the smith has not said.
    mode : {"gross", "net"}
        How this customer reads amounts.
    regime, currency : str
        How it is taxed, and in what it is paid.
    items, sums, deposit
        The lines, what they add up to, the part paid first.
    choices : tuple of Choice
        Empty where there is one way only; else the first is the lines above.
    floor : Sums
        The knives at cost, failures included and no margin.
    left : Decimal
        What the knives leave over their cost, before tax; below zero it is a loss.
    flags : tuple of Flag
        What the owner should look at.
    """

    kind: str
    mode: Mode
    regime: str
    currency: str
    items: tuple[Item, ...]
    sums: Sums
    deposit: Taxed
    choices: tuple[Choice, ...]
    floor: Sums
    left: Decimal
    flags: tuple[Flag, ...]

    @property
    def final(self) -> Taxed:
        """What is left to pay after the deposit."""
        return whole_of(self.sums) - self.deposit


def draft_of(order: Order) -> QuoteDraft | None:
    """Return the terms of an order's next quote, if they have been written."""
    return QuoteDraft.objects.filter(order=order).first()


def offered(priced: PricedOrder, draft: QuoteDraft | None) -> Offered:
    """Return what is asked for an order; QuoteError if the terms cannot be met."""
    extras = list(draft.extras.all()) if draft else []
    variants = list(draft.variants.select_related("knife")) if draft else []
    plain = draft or QuoteDraft(order=priced.order)
    items, added = _whole(priced, plain, extras, more=ZERO)
    choices = _choices(priced, plain, extras, variants)
    left = _knives_net(items, added) - priced.lines.price.cost
    return Offered(
        kind=plain.kind,
        mode=mode_of(priced.order),
        regime=priced.rates.tax.regime if priced.rates.tax else "",
        currency=priced.lines.currency,
        items=items,
        sums=added,
        deposit=_deposit(priced, added),
        choices=choices,
        floor=_floor(priced),
        left=left,
        flags=_flags(left),
    )


def mode_of(order: Order) -> Mode:
    """Return how the customer of an order reads amounts."""
    return "net" if order.customer.business else "gross"


def whole_of(added: Sums) -> Taxed:
    """Return the total of a quote with its tax."""
    return Taxed(net=added.net, tax=added.tax, gross=added.gross)


def _percent(priced: PricedOrder) -> Decimal:
    return priced.lines.price.taxes[0].percent


def _whole(
    priced: PricedOrder, draft: QuoteDraft, extras: Sequence[Extra], *, more: Decimal,
    asked: Decimal | None = None,
) -> tuple[tuple[Item, ...], Sums]:  # fmt: skip
    """Return the lines of a quote and their sums, at the total that is asked."""
    mode, currency = mode_of(priced.order), priced.lines.currency
    price = priced.lines.price
    knives = (price.whole.gross if mode == "gross" else price.net) + more
    beside = [_extra(one, priced) for one in extras]
    off = _discount(draft, knives, currency)
    exact = knives + total(one.amount.amount for one in beside) - off
    if asked is None:
        asked = draft.asked
    wanted = rounded_up(exact, draft.step) if asked is None else asked
    items = (*_knives(priced, knives + wanted - exact), *beside, *_off(off, priced))
    return items, sums([one.amount for one in items], mode, currency)


def _knives(priced: PricedOrder, whole: Decimal) -> list[Item]:
    if whole <= 0:
        raise QuoteError(
            _("Nothing is left for the knives: ask for more, or take less off."),
            field="asked",
        )
    mode, currency = mode_of(priced.order), priced.lines.currency
    own = [getattr(one, mode) for one in priced.lines.knives]
    parts = share_out(own, whole, currency)
    return [
        Item(
            kind="knife", key="", label="", knife=knife,
            amount=Amount(kind="line", amount=part, percent=_percent(priced)),
        )
        for part, (knife, _result) in zip(parts, priced.knives, strict=True)
    ]  # fmt: skip


def _extra(row: Extra, priced: PricedOrder) -> Item:
    usual = _percent(priced)
    percent = usual if row.percent is None or not usual else row.percent
    kind = EXTRAS[row.key].kind
    return Item(
        kind=kind, key=row.key, label=row.label, knife=None,
        amount=Amount(
            kind="charge" if kind == "charge" else "line",
            amount=money(row.amount, priced.lines.currency), percent=percent,
        ),
    )  # fmt: skip


def _discount(draft: QuoteDraft, knives: Decimal, currency: str) -> Decimal:
    """Return what is taken off the knives."""
    off = money(knives * draft.discount_percent / HUNDRED, currency) + draft.discount
    if off > knives:
        raise QuoteError(
            _("A discount of {off} is more than the knives cost, {knives}: make it "
              "smaller."),
            field="discount", off=off, knives=knives,
        )  # fmt: skip
    return money(off, currency)


def _off(off: Decimal, priced: PricedOrder) -> list[Item]:
    if not off:
        return []
    amount = Amount(kind="allowance", amount=off, percent=_percent(priced))
    return [Item(kind="discount", key="", label="", knife=None, amount=amount)]


def _deposit(priced: PricedOrder, added: Sums) -> Taxed:
    """Return the deposit on a quote, with the tax it holds."""
    currency, share = priced.lines.currency, priced.rates.value("deposit")
    if len(added.taxes) == 1:
        percent = added.taxes[0].percent
        return deposit_of(whole_of(added), share, percent, currency)
    gross = money(added.gross * share / HUNDRED, currency)
    tax = money(added.tax * share / HUNDRED, currency)
    return Taxed(net=gross - tax, tax=tax, gross=gross)


# --- options ---------------------------------------------------------------------


def _choices(
    priced: PricedOrder, draft: QuoteDraft, extras: Sequence[Extra],
    variants: Sequence[Variant],
) -> tuple[Choice, ...]:  # fmt: skip
    if not variants:
        return ()
    knife = variants[0].knife
    rows: list[Variant | None] = [None, *variants]
    return tuple(_choice(priced, draft, extras, one, knife) for one in rows)


def _choice(
    priced: PricedOrder, draft: QuoteDraft, extras: Sequence[Extra],
    variant: Variant | None, first: Knife,
) -> Choice:  # fmt: skip
    knife = variant.knife if variant else first
    values = values_of(variant) if variant else {}
    spec = _spec(knife, values)
    other = with_spec(priced, knife, spec) if values else priced
    more = variant.more if variant else ZERO
    asked = None
    if draft.asked is not None:
        exact = _exact(other, more) - _exact(priced, ZERO)
        asked = draft.asked + rounded_up(exact, draft.step)
    items, added = _whole(other, draft, extras, more=more, asked=asked)
    return Choice(
        label=variant.label if variant else "",
        knife=knife,
        spec=spec,
        result=next(result for one, result in other.knives if one == knife),
        values=values,
        priced=other,
        items=items,
        sums=added,
        deposit=_deposit(other, added),
    )


def _exact(priced: PricedOrder, more: Decimal) -> Decimal:
    price = priced.lines.price
    gross = mode_of(priced.order) == "gross"
    return (price.whole.gross if gross else price.net) + more


def values_of(variant: Variant) -> dict[str, Any]:
    """Return the columns of a knife that an option changes."""
    told = {
        name: getattr(variant, name)
        for name in ("handle", "handle_material", "ferrule", "bolster_mass")
    }
    values = {name: value for name, value in told.items() if value not in ("", None)}
    if values.get("ferrule") == NO_FERRULE:
        values["ferrule"] = ""
    return values


def _spec(knife: Knife, values: Mapping[str, Any]) -> KnifeSpec:
    own: dict[str, Any] = {name: value or None if name == "ferrule" else value
           for name, value in values.items()}  # fmt: skip
    return replace(spec_of(knife), **own)


# --- what it leaves ---------------------------------------------------------------


def _knives_net(items: Sequence[Item], added: Sums) -> Decimal:
    """Return what the knives bring before tax, the discount taken off."""
    return total(
        shown.net
        for item, shown in zip(items, added.shown, strict=True)
        if item.kind in ("knife", "discount")
    )


def _floor(priced: PricedOrder) -> Sums:
    cost = Amount(kind="line", amount=priced.lines.price.cost, percent=_percent(priced))
    return sums([cost], "net", priced.lines.currency)


def _flags(left: Decimal) -> tuple[Flag, ...]:
    if left >= 0:
        return ()
    return (
        Flag(
            message=_(
                "At this price the knives bring {loss} less than they cost, failures "
                "included: every one of them costs you money."
            ),
            field="asked",
            level="red",
            values={"loss": -left},
        ),
    )


def offered_on(priced: PricedOrder) -> Offered:
    """Return what is asked for an order with the terms it has now."""
    return offered(priced, draft_of(priced.order))


def until(draft: QuoteDraft | None, usual: dt.date) -> dt.date:
    """Return the last day the next quote holds."""
    return draft.valid_until if draft and draft.valid_until else usual
