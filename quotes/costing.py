"""From a job to its cost and its price: the only way money is made of a plan.

The order of calculation: lines of cost, each rounded; the sum of the rounded lines;
the share of failures on it; then the price. Every printed quantity times its printed
rate gives its printed amount, and printed amounts add up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from billets.physics.errors import Flag, _
from quotes import scrap
from quotes.cost_items import COST_ITEMS, CostItem, Need
from quotes.errors import QuoteError
from quotes.hours import HoursEstimate, estimates
from quotes.job import Job
from quotes.money import HUNDRED, ZERO, money, rounded, split, total
from quotes.price import Price, price_of
from quotes.rates import Rates
from shop import stages

Spent = Mapping[str, Decimal]
"""Cost by stage of the bench."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """One line of cost: quantity times rate, rounded.

    Attributes
    ----------
    key, label, group : str
        Of the cost item.
    subject : str
        What was bought, where an item has several lines; else empty.
    quantity, rate, amount : Decimal
        How much, at what price, and their product rounded to the smallest unit.
    unit : str
        What the quantity is counted in; empty for pieces.
    """

    key: str
    label: str
    group: str
    subject: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class KnifePrice:
    """What one knife costs: its part of the net and of the gross price."""

    name: str
    net: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLines:
    """Cost and price of a job, line by line.

    Attributes
    ----------
    lines : tuple of CostLine
        What the work costs if nothing fails; lines of nothing are left out.
    direct : Decimal
        The sum of them.
    risk : CostLine
        The share of failures, in per cent of ``direct``.
    one_in : Decimal or None
        One knife in so many fails somewhere on its way; None if none does.
    price : Price
        From cost to deposit.
    knives : tuple of KnifePrice
        The price by knife; both columns add up to the price.
    hours : tuple of HoursEstimate
        Attended hours by row, and their sum at the end.
    spent : mapping of str to Decimal
        Direct cost by stage of the bench.
    currency, source : str
        What the money is, and whose rates made it.
    """

    lines: tuple[CostLine, ...]
    direct: Decimal
    risk: CostLine
    one_in: Decimal | None
    price: Price
    knives: tuple[KnifePrice, ...]
    hours: tuple[HoursEstimate, ...]
    spent: Spent
    currency: str
    source: str


def cost(job: Job, rates: Rates) -> CostLines:
    """Return what a job costs and what is asked for it; QuoteError if it cannot be.

    Parameters
    ----------
    job : Job
        What is to be made, in plain values.
    rates : Rates
        Prices, hours and shares, in the currency of the job.

    Returns
    -------
    CostLines
        Every line, the price, and its parts.
    """
    if job.currency != rates.currency:
        raise QuoteError(
            _("The job is in {job}, the rates are in {rates}; use one currency."),
            field="currency",
            job=job.currency,
            rates=rates.currency,
        )
    lines, spent = cost_lines(job, rates)
    direct = total(line.amount for line in lines)
    links, by_stage = rates.chain(), _by_stage(spent)
    risk = risk_line(direct, scrap.share(tuple(by_stage.values()), links), job.currency)
    price = price_of(direct + risk.amount, rates, sunk_of(by_stage))
    return CostLines(
        lines=lines,
        direct=direct,
        risk=risk,
        one_in=_one_in(links),
        price=price,
        knives=_knife_prices(job, spent, links, price),
        hours=estimates(job, rates),
        spent=by_stage,
        currency=job.currency,
        source=rates.source,
    )


def cost_lines(
    job: Job, rates: Rates
) -> tuple[tuple[CostLine, ...], tuple[Spent, ...]]:
    """Return the lines of direct cost, and for each knife its cost by stage."""
    lines: list[CostLine] = []
    spent = [dict.fromkeys(stages.bench(), ZERO) for _knife in job.knives]
    for item in COST_ITEMS:
        for need in item.needs(job, rates):
            line = line_of(item, need, job.currency)
            if line.quantity:
                lines.append(line)
                _spend(line.amount, need, spent)
    return tuple(lines), tuple(spent)


def line_of(item: CostItem, need: Need, currency: str) -> CostLine:
    """Return the line of one need: its quantity rounded, times its rate, rounded."""
    quantity = rounded(total(use.amount for use in need.uses), item.places)
    return CostLine(
        key=item.key,
        label=item.label,
        group=item.group,
        subject=need.subject,
        quantity=quantity,
        unit=item.unit,
        rate=need.rate,
        amount=money(quantity * need.rate, currency),
    )


def _spend(amount: Decimal, need: Need, spent: Sequence[dict[str, Decimal]]) -> None:
    """Add a line's amount to knives and stages, in proportion to what they use."""
    whole = total(use.amount for use in need.uses)
    for use in need.uses:
        spent[use.knife][use.stage] += amount * use.amount / whole


def _by_stage(spent: Sequence[Spent]) -> dict[str, Decimal]:
    return {key: total(one[key] for one in spent) for key in stages.bench()}


def risk_line(direct: Decimal, share: Decimal, currency: str) -> CostLine:
    """Return the line that carries failures: a share of direct cost, to 0.01 %.

    The share comes out of the chain of stages, so it moves with where in a job its
    cost lies; it is rounded first, so that the line can be checked by hand.
    """
    percent = rounded(share * HUNDRED, 2)
    return CostLine(
        key="scrap",
        label=_("Share of knives that fail or are repaired"),
        group="risk",
        subject="",
        quantity=percent,
        unit="%",
        rate=direct,
        amount=money(direct * percent / HUNDRED, currency),
    )


def _knife_prices(
    job: Job, spent: Sequence[Spent], links: Sequence[scrap.Link], price: Price
) -> tuple[KnifePrice, ...]:
    """Share the price out by what each knife costs, its failures included."""
    weights = [scrap.expected(tuple(one.values()), links) for one in spent]
    if not any(weights):
        weights = [Decimal(1)] * len(weights)
    nets = split(price.net, weights, job.currency)
    grosses = split(price.whole.gross, weights, job.currency)
    return tuple(
        KnifePrice(name=knife.name, net=net, gross=gross)
        for knife, net, gross in zip(job.knives, nets, grosses, strict=True)
    )


def _one_in(links: Sequence[scrap.Link]) -> Decimal | None:
    fails = 1 - scrap.line_yield(links)
    return rounded(1 / fails, 1) if fails else None


def sunk_of(by_stage: Spent) -> Decimal:
    """Return what is spent before the gate that shows the welds that did not take."""
    bench = stages.bench()
    before = bench[: bench.index(stages.FLAW_GATE) + 1]
    return total(by_stage[key] for key in before)


def deposit_flag(deposit: Decimal, spent: Spent, unit: Decimal) -> tuple[Flag, ...]:
    """Say when a deposit before tax is less than what is spent before flaws show."""
    sunk = sunk_of(spent)
    if deposit >= sunk:
        return ()
    return (
        Flag(
            message=_(
                "The deposit of {deposit} before tax is less than the {sunk} spent "
                "before a bad weld can show; a larger share would cover it."
            ),
            field="deposit",
            level="note",
            values={
                "deposit": deposit,
                "sunk": sunk.quantize(unit, rounding=ROUND_HALF_UP),
            },
        ),
    )
