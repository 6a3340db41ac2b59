"""What an order may cost, in words and as a picture; for the owner."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.messages import sentence, spoken
from billets.units import System, local_number
from billets.wording import share
from quotes.errors import QuoteError
from quotes.money import quantity, rounded
from quotes.pricing import PricedOrder
from quotes.rates import Rates
from quotes.risk import Cause, Levels, Risk
from quotes.risks.chart import Mark, cost_chart
from quotes.risks.of_price import risk_on
from quotes.terms.offering import Offered
from quotes.wording import money_text

NAMED = 3
"""Causes that are named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskRow:
    """One line of the table: how it may turn out, what it costs, what is left."""

    name: str
    cost: str
    left: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskWords:
    """What an order may cost, as the page says it.

    Attributes
    ----------
    refusal : str
        Why it cannot be said; then nothing else is.
    rows : tuple of RiskRow
        From what is expected to what is not exceeded nine times in ten.
    loss, hours, origin : str
        The chance of losing money, the hours, and what it was reckoned from.
    causes : tuple of str
        A sentence for each of the largest.
    caption, chart
        The distribution.
    """

    refusal: str = ""
    rows: tuple[RiskRow, ...] = ()
    loss: str = ""
    hours: str = ""
    causes: tuple[str, ...] = ()
    caption: str = ""
    chart: str = ""
    origin: str = ""


def risk_words(priced: PricedOrder, asked: Offered, system: System) -> RiskWords:
    """Say what an order may cost, and what its knives leave at what is asked."""
    try:
        found = risk_on(priced, asked.left + priced.lines.price.cost)
    except QuoteError as error:
        return RiskWords(refusal=sentence(error, system))
    currency = priced.lines.currency
    loss = _loss(found.loss)
    return RiskWords(
        rows=tuple(_rows(found, priced)),
        loss=loss,
        hours=_hours(found.hours),
        causes=tuple(_cause(one) for one in found.causes[:NAMED]),
        caption=_("How often the knives come to what cost, {currency}; beyond the net "
                  "price, filled, you lose money").format(currency=currency),
        chart=_chart(found, priced, loss),
        origin=_origin(priced.rates, found),
    )  # fmt: skip


def _rows(found: Risk, priced: PricedOrder) -> Iterator[RiskRow]:
    price, currency = priced.lines.price, priced.lines.currency
    for name, cost, left in (
        (_("Expected: the cost in the price"), price.cost, found.net - price.cost),
        (_("One time in two not more than"), found.cost.p50, found.left50),
        (_("Four times in five not more than"), found.cost.p80, found.left20),
        (_("Nine times in ten not more than"), found.cost.p90, found.left10),
    ):
        yield RiskRow(
            name=name, cost=money_text(cost, currency), left=money_text(left, currency)
        )


def _loss(chance: float) -> str:
    return _("Chance that the knives cost more than they bring: {chance}.").format(
        chance=share(chance)
    )


def _hours(hours: Levels) -> str:
    return _(
        "Hours at the bench, with all that is done again: {mean} expected, {p50} one "
        "time in two, {p80} four times in five, {p90} nine times in ten."
    ).format(
        mean=_hour(hours.mean), p50=_hour(hours.p50), p80=_hour(hours.p80),
        p90=_hour(hours.p90),
    )  # fmt: skip


def _hour(hours: Decimal) -> str:
    return f"{local_number(rounded(hours, 0), spoken())}\u00a0h"


def _cause(cause: Cause) -> str:
    texts = {
        "failures": _(
            "Failures, which start a knife again or send it back, make {share} of it."
        ),
        "weeks": _(
            "Your own good and bad weeks, which move all hours at once, make {share} "
            "of it."
        ),
        "gas": _("The gas the billet burns makes {share} of it."),
    }
    text = texts.get(cause.key, _("The hours of “{row}” make {share} of it."))
    return text.format(row=_(cause.label), share=share(cause.share))


def _chart(found: Risk, priced: PricedOrder, loss: str) -> SafeString:
    currency, floor = priced.lines.currency, priced.lines.price.cost
    label = _(
        "Cost between {low} and {high} in most cases; the floor before tax, which is "
        "the cost with failures, is {floor}, the net price {net}. {loss}"
    ).format(
        low=_about(found.edges[0], currency), high=_about(found.edges[-1], currency),
        floor=money_text(floor, currency), net=money_text(found.net, currency),
        loss=loss,
    )  # fmt: skip
    marks = (
        Mark(
            name=_("Floor, net"), amount=money_text(floor, currency),
            value=float(floor), dashes="5 3",
        ),
        Mark(
            name=_("Net price"), amount=money_text(found.net, currency),
            value=float(found.net),
        ),
    )  # fmt: skip
    return cost_chart(
        found.edges, found.counts, marks, label=label, loss_from=float(found.net)
    )


def _about(amount: float, currency: str) -> str:
    return money_text(quantity(amount, 0), currency)


def _origin(rates: Rates, found: Risk) -> str:
    """Say what the draws were made from, and from how many knives."""
    made = _(
        "{draws} orders like this one, made by chance (seed {seed}): hours from "
        "{hours}, good and bad weeks and failures from your rates, gas from the "
        "billet's plan."
    ).format(
        draws=local_number(Decimal(found.draws), spoken()), seed=found.seed,
        hours=_hours_from(rates),
    )  # fmt: skip
    unsure = _(
        "How often a stage fails is not learned from your knives: it is as sure as "
        "what you enter."
    )
    return f"{made} {unsure}"


def _hours_from(rates: Rates) -> str:
    counts = [one.count for one in rates.learned.values()]
    if not counts:
        return _("the three points of your rates, uncalibrated (from no knife yet)")
    return ngettext(
        "your rates and what one finished piece taught",
        "your rates and what up to {count} finished pieces taught",
        max(counts),
    ).format(count=max(counts))
