"""After delivery: what an order's accepted quote reckoned with, and what it took.

The quote comes from its rows and its frozen basis; hours and weights as they were
written down. A billet that knives of other orders share counts by the mass each needs
of its bar, as the knives stand now, so that nothing of it is counted twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from billets.physics.knife import MASS_BAND
from quotes.after.compared import Comparison
from quotes.after.comparing import compare
from quotes.after.spent import Bench, bench_of, taken_of
from quotes.after.taken import Reckoned
from quotes.basis import CostSheet, kept_cost_sheet
from quotes.models import Quote, QuoteAnswer, QuoteOption
from quotes.money import total
from quotes.rates import kept_chain
from shop import stages
from shop.entries import forecast_mass
from shop.models import Entry, Knife, Order

BESIDE = ("extra", "charge")
"""Kinds of line that are no knife: taken as spent, since nothing is known of them."""
ALL = "all"


@dataclass(frozen=True, slots=True, kw_only=True)
class KnifeWeighed:
    """A knife's forecast mass with its band, and what it weighs [kg]."""

    knife: Knife
    forecast: float | None
    entry: Entry | None

    @property
    def band(self) -> tuple[float, float]:
        """Where its mass was expected to lie [kg]."""
        forecast = self.forecast or 0.0
        return (1.0 - MASS_BAND) * forecast, (1.0 + MASS_BAND) * forecast

    @property
    def met(self) -> bool:
        """Whether it lies there."""
        low, high = self.band
        return self.entry is not None and low <= self.entry.value <= high


@dataclass(frozen=True, slots=True, kw_only=True)
class BilletWeighed:
    """A billet: what the quote expected of it, and what was weighed.

    Attributes
    ----------
    plan, title
        Which billet.
    share : Decimal
        The part of it this order pays [1].
    forecast : mapping
        Of stack, bar and gas, as far as the quote kept them: the figure alone, or its
        band [kg].
    entries : mapping of str to Entry
        What was weighed, by kind.
    """

    plan: int
    title: str
    share: Decimal
    forecast: Mapping[str, Any]
    entries: Mapping[str, Entry]


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """An accepted order against what it took.

    Attributes
    ----------
    quote, option
        What was accepted.
    comparison : Comparison
        Cost, hours and earnings.
    bench : Bench
        The knives, and all that was written down of them.
    knives, billets
        What was weighed.
    net, beside : Decimal
        The whole price before tax, and of it what is no knife.
    """

    quote: Quote
    option: QuoteOption | None
    comparison: Comparison
    bench: Bench
    knives: tuple[KnifeWeighed, ...]
    billets: tuple[BilletWeighed, ...]
    net: Decimal
    beside: Decimal

    @property
    def waiting(self) -> tuple[Knife, ...]:
        """The knives that are still at the bench."""
        return tuple(
            knife for knife in self.bench.knives if knife.stage not in stages.closed()
        )

    @property
    def cancelled(self) -> tuple[Knife, ...]:
        """The knives nobody wants any more, though the quote holds them."""
        return tuple(one for one in self.bench.knives if one.stage == "cancelled")

    @property
    def added(self) -> tuple[Knife, ...]:
        """The knives that the quote does not hold."""
        held = {row["serial"] for row in self.quote.basis.get("knives", ())}
        return tuple(one for one in self.bench.kept if held and one.serial not in held)

    @property
    def of_another(self) -> bool:
        """Whether the customer chose another knife than the costs are of."""
        kept = self.quote.basis.get("option_costs")
        return self.option is not None and bool(self.option.values) and not kept


def accepted(order: Order) -> QuoteAnswer | None:
    """Return the yes to an order's quote, if there was one."""
    answers = QuoteAnswer.objects.select_related("quote", "option")
    yes = answers.filter(quote__order=order, accepted=True)
    return yes.order_by("-quote__revision").first()


def after(order: Order, answer: QuoteAnswer) -> After:
    """Return what became of an order whose quote was accepted."""
    quote, option, bench = answer.quote, answer.option, bench_of(order)
    basis: dict[str, Any] = quote.basis
    net = option.net if option else quote.net
    beside = _beside(quote)
    sheet = kept_cost_sheet(basis, option.position if option else 1)
    reckoned = _reckoned(sheet, basis, quote.currency, net - beside)
    billets = {row["number"]: row for row in basis.get("billets", ())}
    bought = {pk: _bought(row.get("forecast", {})) for pk, row in billets.items()}
    return After(
        quote=quote,
        option=option,
        comparison=compare(reckoned, taken_of(bench, order, bought)),
        bench=bench,
        knives=tuple(_weighed_knives(bench, basis, option)),
        billets=tuple(_weighed_billets(bench, billets)),
        net=net,
        beside=beside,
    )


def _beside(quote: Quote) -> Decimal:
    rows = quote.lines.filter(kind__in=BESIDE)
    return total(row.amount if row.net is None else row.net for row in rows)


def _reckoned(
    sheet: CostSheet, basis: Mapping[str, Any], currency: str, net: Decimal
) -> Reckoned:
    rows = [one for one in sheet.hours if one.row != ALL]
    kept = basis.get("rates", {}).get("values", {})
    rates = {key: Decimal(row["value"]) for key, row in kept.items()}
    return Reckoned(
        lines=sheet.lines,
        risk=sheet.risk,
        hours={one.row: one.expected for one in rows},
        labels={one.row: one.label for one in rows},
        net=net,
        currency=currency,
        rates=rates,
        links=kept_chain(rates),
    )


def _bought(forecast: Mapping[str, Any]) -> Decimal:
    """Return what is bought for a kilogram that is stacked [1]."""
    if not forecast.get("stack") or not forecast.get("bought"):
        return Decimal(1)
    return Decimal(str(forecast["bought"])) / Decimal(str(forecast["stack"]))


def _weighed_knives(
    bench: Bench, basis: Mapping[str, Any], option: QuoteOption | None
) -> Iterable[KnifeWeighed]:
    masses = {row["serial"]: row.get("mass") for row in basis.get("knives", ())}
    if option and option.serial:
        masses[option.serial] = option.mass
    for knife in bench.kept:
        forecast = masses.get(knife.serial)
        yield KnifeWeighed(
            knife=knife,
            forecast=forecast_mass(knife) if forecast is None else forecast,
            entry=bench.weighed.get(knife.pk),
        )


def _weighed_billets(
    bench: Bench, billets: Mapping[int, Mapping[str, Any]]
) -> Iterable[BilletWeighed]:
    for plan in bench.plans:
        kept = billets.get(plan.pk, {})
        bar = {"bar": kept["bar_mass"]} if "bar_mass" in kept else {}
        yield BilletWeighed(
            plan=plan.pk,
            title=plan.title,
            share=bench.share(plan.pk, _of_one(bench.knives)),
            forecast={**bar, **kept.get("forecast", {})},
            entries=bench.entries.get(plan.pk, {}),
        )


def _of_one(knives: Sequence[Knife]) -> frozenset[int]:
    return frozenset(one.pk for one in knives)
