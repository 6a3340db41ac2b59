"""From a priced order and its draft to what is asked for it, in numbers.

``quotes.pricing`` says what the knives cost; here extras, discount, rounding and
options are laid on, and everything is added up in the customer's reading. Words come
later, in ``quotes.offer.sentences``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from billets.physics.errors import Flag, PlanError, _
from billets.physics.knife import KnifeResult
from billets.physics.knife_spec import KnifeSpec
from quotes.costing import deposit_flag, sunk_of
from quotes.errors import QuoteError
from quotes.gaps import Gap, NotReady, check_currency
from quotes.models import QuoteDraft, Variant
from quotes.money import HUNDRED, ZERO, Taxed, covering, money, rounded, total
from quotes.price import to_cover, usual_deposit
from quotes.pricing import PricedOrder, with_spec
from quotes.sums import Amount, Mode, Sums, rounded_up, sums
from quotes.terms.lines import Item as Item
from quotes.terms.lines import exact_total, offer_lines, own_total, percent_of
from quotes.terms.terms import Terms, spec_with, terms_of
from quotes.terms.terms import draft_of as draft_of
from quotes.terms.terms import mode_of as mode_of
from quotes.terms.terms import until as until
from quotes.terms.terms import values_of as values_of
from quotes.year.rate import margin_in
from shop.models import Knife


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
    left : Decimal
        What the knives leave over their cost with it, before tax.
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
    left: Decimal


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

    @property
    def knives_net(self) -> Decimal:
        """What the knives bring before tax, the discount taken off."""
        return _knives_net(self.items, self.sums)

    @property
    def margin(self) -> Decimal:
        """What is left, in per cent of what the knives bring [%]."""
        if not self.knives_net:
            return ZERO  # an amount so small that all of it is tax
        cost = self.knives_net - self.left
        return rounded(margin_in(self.knives_net, cost) * HUNDRED, 1)

    @property
    def lowest(self) -> Decimal:
        """The total, as the customer reads it, that just covers the knives' cost."""
        own = self.floor.gross if self.mode == "gross" else self.floor.net
        beside = (one for one in self.items if one.kind in ("extra", "charge"))
        return own + total(one.amount.amount for one in beside)


def offered_on(priced: PricedOrder) -> Offered:
    """Return what is asked for an order with the terms it has now.

    NotReady, leading to the page of the terms, if they cannot be met any more.
    """
    try:
        return offered(priced, draft_of(priced.order))
    except NotReady:
        raise
    except QuoteError as error:
        raise NotReady([Gap(error=error, place="terms")]) from error


def offered(priced: PricedOrder, draft: QuoteDraft | None) -> Offered:
    """Return what is asked for an order; QuoteError if the terms cannot be met."""
    return offered_by(priced, terms_of(priced.order, draft))


def offered_by(priced: PricedOrder, terms: Terms) -> Offered:
    """Return what is asked by terms that may not be saved yet."""
    draft = terms.draft
    check_currency(draft, priced.lines.currency)
    items, added = offer_lines(priced, terms, asked=draft.asked)
    choices = _choices(priced, terms)
    left, deposit = _left(priced, items, added), _deposit(priced, added)
    return Offered(
        kind=draft.kind,
        mode=mode_of(priced.order),
        regime=priced.rates.tax.regime if priced.rates.tax else "",
        currency=priced.lines.currency,
        items=items,
        sums=added,
        deposit=deposit,
        choices=choices,
        floor=_floor(priced),
        left=left,
        flags=(
            *_flags(left, choices),
            *_made_up(priced, draft, items),
            *deposit_flag(deposit.net, priced.lines.spent, priced.lines.price.net),
        ),
    )


def is_sent(asked: Offered) -> bool:
    """Say whether sending is charged for, so that the knife is not collected."""
    return any(item.key == "shipping" for item in asked.items)


def whole_of(added: Sums) -> Taxed:
    """Return the total of a quote with its tax."""
    return Taxed(net=added.net, tax=added.tax, gross=added.gross)


def _deposit(priced: PricedOrder, added: Sums) -> Taxed:
    """Return the deposit on a quote, with the tax it holds.

    Its rule is the shop's: a share, and where the shop wants it at least what these
    knives take before their flaws can show.
    """
    sunk, whole = sunk_of(priced.lines.spent), whole_of(added)
    if len(added.taxes) == 1:
        return usual_deposit(whole, priced.rates, added.taxes[0].percent, sunk)
    currency, share = priced.lines.currency, priced.rates.value("deposit")
    gross = money(added.gross * share / HUNDRED, currency)
    tax = money(added.tax * share / HUNDRED, currency)
    deposit = Taxed(net=gross - tax, tax=tax, gross=gross)
    if not priced.rates.deposit_covers:
        return deposit
    return covering(
        deposit, to_cover(sunk, currency), whole,
        lambda part: money(part * added.tax / added.gross, currency), currency,
    )  # fmt: skip


# --- options ---------------------------------------------------------------------


def _choices(priced: PricedOrder, terms: Terms) -> tuple[Choice, ...]:
    if not terms.variants:
        return ()
    for variant in terms.variants:
        _check_there(priced, variant)
    first = _choice(priced, priced, terms, Variant(knife=terms.variants[0].knife))
    return (first, *(option(priced, terms, one) for one in terms.variants))


def _check_there(priced: PricedOrder, variant: Variant) -> None:
    if all(knife != variant.knife for knife, _result in priced.knives):
        raise QuoteError(
            _("{name} is not made in this order any more: take the option “{option}” "
              "out, or choose another knife for it."),
            field="variants", name=str(variant.knife), option=variant.label,
        )  # fmt: skip


def option(priced: PricedOrder, terms: Terms, variant: Variant) -> Choice:
    """Return one other way to have it; QuoteError if it cannot be made so."""
    try:
        other = with_spec(priced, variant.knife, spec_with(variant))
    except PlanError as error:
        raise NotReady([Gap(error=error, place="terms")]) from error
    return _choice(priced, other, terms, variant)


def _choice(
    priced: PricedOrder, other: PricedOrder, terms: Terms, variant: Variant
) -> Choice:
    knife, more = variant.knife, {variant.knife.pk: variant.more}
    asked = _total_with(priced, other, terms, more)
    items, added = offer_lines(other, terms, more=more, asked=asked)
    return Choice(
        label=variant.label,
        knife=knife,
        spec=spec_with(variant),
        result=next(result for one, result in other.knives if one == knife),
        values=values_of(variant),
        priced=other,
        items=items,
        sums=added,
        deposit=_deposit(other, added),
        left=_left(other, items, added),
    )


def _total_with(
    priced: PricedOrder, other: PricedOrder, terms: Terms, more: Mapping[int, Decimal]
) -> Decimal | None:
    """Return the total of an option where the total is asked for or rounded.

    It is the base total and what the option differs by, rounded up by the step, so
    that nothing charged for an option is lost in rounding. None: the sum as it comes.
    """
    draft, exact = terms.draft, exact_total(priced, terms)
    if draft.asked is None and not draft.step:
        return None
    base = rounded_up(exact, draft.step) if draft.asked is None else draft.asked
    return base + rounded_up(exact_total(other, terms, more) - exact, draft.step)


# --- what it leaves ---------------------------------------------------------------


def _left(priced: PricedOrder, items: Sequence[Item], added: Sums) -> Decimal:
    """Return what the knives bring before tax over what they cost."""
    return _knives_net(items, added) - priced.lines.price.cost


def _knives_net(items: Sequence[Item], added: Sums) -> Decimal:
    return total(
        shown.net
        for item, shown in zip(items, added.shown, strict=True)
        if item.kind in ("knife", "discount")
    )


def _floor(priced: PricedOrder) -> Sums:
    percent = percent_of(priced)
    cost = Amount(kind="line", amount=priced.lines.price.cost, percent=percent)
    return sums([cost], "net", priced.lines.currency)


def _flags(left: Decimal, choices: Sequence[Choice]) -> tuple[Flag, ...]:
    """Say where the knives do not bring what they cost."""
    flags = [_loss(left)] if left < 0 else []
    return (*flags, *(_option_loss(one) for one in choices[1:] if one.left < 0))


def _made_up(
    priced: PricedOrder, draft: QuoteDraft, items: Sequence[Item]
) -> tuple[Flag, ...]:
    """Say where a discount is taken off more than the knives come to."""
    printed = total(one.amount.amount for one in items if one.kind == "knife")
    own = own_total(priced)
    discounted = draft.discount or draft.discount_percent
    if draft.asked is None or not discounted or printed <= own:
        return ()
    return (
        Flag(
            message=_(
                "With this total the knives are printed at {printed} before the "
                "discount, though they come to {own}: a price made larger to be made "
                "smaller again. Leave the discount out, or ask for less."
            ),
            field="asked",
            level="amber",
            values={"printed": printed, "own": own},
        ),
    )


def _loss(left: Decimal) -> Flag:
    return Flag(
        message=_(
            "At this price the knives bring {loss} less than they cost, failures "
            "included: every one of them costs you money."
        ),
        field="asked",
        level="red",
        values={"loss": -left},
    )


def _option_loss(choice: Choice) -> Flag:
    return Flag(
        message=_(
            "With the option “{option}” the knives bring {loss} less than they cost, "
            "failures included."
        ),
        field="variants",
        level="red",
        values={"loss": -choice.left, "option": choice.label},
    )
