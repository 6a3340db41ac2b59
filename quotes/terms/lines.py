"""The lines of a quote in numbers: knives, what is charged beside, what is taken off.

A total that is asked, or rounded to, is met by the knives: extras keep their price,
and a discount in per cent stays so many per cent of the knives as they are printed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.extra_items import EXTRAS
from quotes.models import Extra, QuoteDraft
from quotes.money import HUNDRED, ZERO, money, total
from quotes.pricing import PricedOrder
from quotes.sums import Amount, Sums, rounded_up, share_out, sums
from quotes.terms.terms import Terms, mode_of
from shop.models import Knife

NO_MORE: Mapping[int, Decimal] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of a quote before it has words.

    Attributes
    ----------
    kind : {"knife", "extra", "charge", "discount"}
        What it is.
    key, label : str
        Of an extra its key, and the smith's own words; empty takes the usual ones.
        Of a discount what it is for.
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


def offer_lines(
    priced: PricedOrder, terms: Terms, *, more: Mapping[int, Decimal] = NO_MORE,
    asked: Decimal | None = None,
) -> tuple[tuple[Item, ...], Sums]:  # fmt: skip
    """Return the lines of a quote and their sums; QuoteError if they cannot be.

    ``more`` is what a knife costs beyond its price, by the knife's number; ``asked``
    is the total to come out, as the customer reads it.
    """
    mode, currency = mode_of(priced.order), priced.lines.currency
    own = _own(priced, more)
    beside = [_extra(row, priced) for row in terms.extras]
    charged = total(item.amount.amount for item in beside)
    knives, off = _knives_and_off(
        terms.draft, total(own), charged, asked=asked, currency=currency
    )
    items = (
        *_knives(priced, share_out(own, knives, currency)),
        *beside,
        *_off(off, priced, terms.draft.discount_reason),
    )
    return items, sums([one.amount for one in items], mode, currency)


def exact_total(
    priced: PricedOrder, terms: Terms, more: Mapping[int, Decimal] = NO_MORE
) -> Decimal:
    """Return what the lines come to before the total is asked for or rounded."""
    currency = priced.lines.currency
    knives = total(_own(priced, more))
    charged = total(_extra(row, priced).amount.amount for row in terms.extras)
    return knives - _discount(terms.draft, knives, currency) + charged


def own_total(priced: PricedOrder) -> Decimal:
    """Return what the knives come to, as the customer reads it."""
    return total(_own(priced, NO_MORE))


def percent_of(priced: PricedOrder) -> Decimal:
    """Return the rate of tax on knives."""
    return priced.lines.price.taxes[0].percent


def _own(priced: PricedOrder, more: Mapping[int, Decimal]) -> list[Decimal]:
    """Return the price of each knife as the customer reads it."""
    mode = mode_of(priced.order)
    return [
        getattr(share, mode) + more.get(knife.pk, ZERO)
        for share, (knife, _result) in zip(
            priced.lines.knives, priced.knives, strict=True
        )
    ]


def _knives_and_off(
    draft: QuoteDraft, knives: Decimal, charged: Decimal, *, asked: Decimal | None,
    currency: str,
) -> tuple[Decimal, Decimal]:  # fmt: skip
    """Return what the knives are printed at and what is taken off them."""
    off = _discount(draft, knives, currency)
    exact = knives - off + charged
    wanted = rounded_up(exact, draft.step) if asked is None else money(asked, currency)
    left = wanted - charged
    if left <= 0 or off == knives:
        raise QuoteError(
            _("Nothing is left for the knives: ask for more, or take less off."),
            field="discount" if asked is None else "asked",
        )
    if wanted == exact:
        return knives, off
    kept = 1 - draft.discount_percent / HUNDRED
    before = money((left + money(draft.discount, currency)) / kept, currency)
    return before, before - left


def _discount(draft: QuoteDraft, knives: Decimal, currency: str) -> Decimal:
    """Return what is taken off the knives: a share of them, and an amount."""
    off = money(knives * draft.discount_percent / HUNDRED, currency)
    off += money(draft.discount, currency)
    if off > knives:
        raise QuoteError(
            _("A discount of {off} {currency} is more than the price of the knives, "
              "{knives} {currency}: make it smaller."),
            field="discount", off=off, knives=knives, currency=currency,
        )  # fmt: skip
    return off


def _knives(priced: PricedOrder, parts: Sequence[Decimal]) -> list[Item]:
    return [
        Item(
            kind="knife", key="", label="", knife=knife,
            amount=Amount(kind="line", amount=part, percent=percent_of(priced)),
        )
        for part, (knife, _result) in zip(parts, priced.knives, strict=True)
    ]  # fmt: skip


def _extra(row: Extra, priced: PricedOrder) -> Item:
    """Return an extra; where an order is not taxed, no extra of it is."""
    usual = percent_of(priced)
    percent = usual if row.percent is None or not usual else row.percent
    kind = EXTRAS[row.key].kind
    return Item(
        kind=kind, key=row.key, label=row.label, knife=None,
        amount=Amount(
            kind="charge" if kind == "charge" else "line",
            amount=money(row.amount, priced.lines.currency), percent=percent,
        ),
    )  # fmt: skip


def _off(off: Decimal, priced: PricedOrder, reason: str) -> list[Item]:
    if not off:
        return []
    amount = Amount(kind="allowance", amount=off, percent=percent_of(priced))
    return [Item(kind="discount", key="", label=reason, knife=None, amount=amount)]
