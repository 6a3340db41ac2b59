"""What is asked for an order in words and numbers, for the owner's pages."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from billets.units import System
from quotes.extra_items import EXTRAS
from quotes.money import TaxSum
from quotes.offer.specification import balance_text, mass_text
from quotes.price import Price
from quotes.rates import REGIMES
from quotes.terms.offering import Choice, Item, Offered
from quotes.wording import money_text, percent_text


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRow:
    """One line of a quote: before tax, with tax, and as this customer reads it."""

    label: str
    url: str
    net: str
    gross: str
    read: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SumRow:
    """One step from the net price to what is paid."""

    label: str
    amount: str
    whole: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WayRow:
    """One way to have it, beside the others."""

    label: str
    knife: str
    mass: str
    balance: str
    amount: str
    left: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedWords:
    """What a page says of all that is asked.

    Attributes
    ----------
    heading, total, other : str
        How the total is read, the total, and the same read the other way.
    deposit, deposit_tax : str
        The part paid first, and the tax in it.
    lines, sums, ways
        Rows of the tables; no ways where there is one only.
    net, gross : str
        What the lines add up to.
    ways_of : str
        The knife all ways are about, where it is one.
    taxed : bool
        Whether tax is charged.
    left, margin, cost, brings, lowest : str
        What the knives leave before tax, in per cent of what they bring, what they
        cost, what they bring, and the least total that covers their cost.
    loss : bool
        Whether they bring less than they cost.
    notes : list of str
        What is to be said about tax and rounding.
    """

    heading: str
    total: str
    other: str
    deposit: str
    deposit_tax: str
    lines: list[LineRow]
    sums: list[SumRow]
    ways: list[WayRow]
    ways_of: str
    net: str
    gross: str
    taxed: bool
    left: str
    margin: str
    cost: str
    brings: str
    lowest: str
    loss: bool
    notes: list[str]


def asked_words(offered: Offered, price: Price, system: System) -> AskedWords:
    """Return what pages say of an offer; ``price`` is that of its knives."""
    currency, added = offered.currency, offered.sums
    taxed = any(one.percent for one in added.taxes)
    return AskedWords(
        heading=_heading(offered) if taxed else _("Price"),
        total=money_text(added.read, currency),
        other=_other(offered) if taxed else "",
        deposit=money_text(offered.deposit.gross, currency),
        deposit_tax=money_text(offered.deposit.tax, currency) if taxed else "",
        lines=_lines(offered),
        sums=_sums(offered, price),
        ways=[_way(one, offered, system) for one in offered.choices],
        ways_of=_one_knife(offered),
        net=money_text(added.net, currency),
        gross=money_text(added.gross, currency),
        taxed=taxed,
        left=money_text(offered.left, currency),
        margin=percent_text(offered.margin),
        cost=money_text(price.cost, currency),
        brings=money_text(offered.knives_net, currency),
        lowest=money_text(offered.lowest, currency),
        loss=offered.left < 0,
        notes=_notes(price),
    )


def item_label(item: Item) -> str:
    """Return what a line is called on the owner's pages."""
    if item.kind == "discount":
        said = _("Discount: {reason}") if item.label else _("Discount")
        return said.format(reason=item.label)
    if item.knife is not None:
        return str(item.knife)
    return item.label or _(EXTRAS[item.key].label)


def _heading(offered: Offered) -> str:
    if offered.mode == "net":
        return _("Price before tax")
    return _("Price, tax included")


def _other(offered: Offered) -> str:
    """Say the total in the reading that is not this customer's."""
    added, currency = offered.sums, offered.currency
    if offered.mode == "net":
        said = _("With {tax} of tax it is {gross}.")
    else:
        said = _("It holds {tax} of tax; without it, it is {net}.")
    return said.format(
        tax=money_text(added.tax, currency),
        net=money_text(added.net, currency),
        gross=money_text(added.gross, currency),
    )


def _lines(offered: Offered) -> list[LineRow]:
    currency = offered.currency
    rates = {one.percent for one in offered.sums.taxes}
    return [
        LineRow(
            label=_with_rate(item, several=len(rates) > 1),
            url=item.knife.get_absolute_url() if item.knife else "",
            net=money_text(shown.net, currency),
            gross=money_text(shown.gross, currency),
            read=money_text(shown.read, currency),
        )
        for item, shown in zip(offered.items, offered.sums.shown, strict=True)
    ]


def _with_rate(item: Item, *, several: bool) -> str:
    label = item_label(item)
    if not several:
        return label
    rate = percent_text(item.amount.percent)
    return _("{label} (tax {rate})").format(label=label, rate=rate)


def _sums(offered: Offered, price: Price) -> list[SumRow]:
    """Return the steps from the price of the knives to what is paid."""
    currency, added = offered.currency, offered.sums
    rows = (
        *_up_to_net(offered, price),
        (_("Net price"), added.net),
        *((_tax_label(one, offered), one.tax) for one in added.taxes),
        (_("Price"), added.gross),
        (_("Deposit, with its tax"), offered.deposit.gross),
        (_("Balance, with its tax"), offered.final.gross),
    )
    return [
        SumRow(
            label=label, amount=money_text(amount, currency), whole=label == _("Price")
        )
        for label, amount in rows
    ]


def _up_to_net(offered: Offered, price: Price) -> tuple[tuple[str, Decimal], ...]:
    """Return what terms make of the price of the knives, where they change it."""
    brings = offered.knives_net
    beside = offered.sums.net - brings
    if brings == price.net and not beside:
        return ()
    return (
        (_("Knives at cost and the shop's margin"), price.net),
        (
            _("More or less by discount, rounding or the total asked"),
            brings - price.net,
        ),
        (_("Charged beside the knives"), beside),
    )


def _tax_label(one: TaxSum, offered: Offered) -> str:
    rate = percent_text(one.percent)
    if len(offered.sums.taxes) == 1:
        return _("Tax, {rate} of the net price").format(rate=rate)
    base = money_text(one.base, offered.currency)
    return _("Tax, {rate} of {base}").format(rate=rate, base=base)


def _one_knife(offered: Offered) -> str:
    knives = {str(one.knife) for one in offered.choices}
    return knives.pop() if len(knives) == 1 else ""


def _way(choice: Choice, offered: Offered, system: System) -> WayRow:
    return WayRow(
        label=choice.label or _("As it is written"),
        knife=str(choice.knife),
        mass=mass_text(choice.result.mass, system),
        balance=balance_text(choice.result.balance, system),
        amount=money_text(choice.sums.read, offered.currency),
        left=money_text(choice.left, offered.currency),
    )


def _notes(price: Price) -> list[str]:
    """Say what a paper has to say about tax, and how everything was rounded."""
    known = {regime.note for regime in REGIMES.values()}
    return [
        _(price.note) if price.note in known else price.note,
        _("A setting, no advice: check it with your adviser."),
        _(
            "Every amount is rounded to the smallest coin, halves up; tax is computed "
            "once for each rate, and the lines add up to the total."
        ),
    ]
