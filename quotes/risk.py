"""What an order may really cost: the same order made by chance, some thousand times.

Three things make a cost uncertain: hours, which scatter row by row and all together
in a person's good and bad weeks; failures, which send a knife back; and the gas. The
seed is kept with the result, so that the same draws come again with this version of
numpy.

Every pass of a stage pays for all of the stage once more, as the share of failures in
the price has it; a pass done again takes as long as the first, because what makes a
knife slow makes it slow again. Knives fail each for itself; a slow billet is slow for
all its knives.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

import numpy as np

from billets.physics.errors import _
from quotes import scrap
from quotes.errors import QuoteError
from quotes.job import Job
from quotes.money import cent, money, quantity
from quotes.rates import Rates
from quotes.risks.chance import Chance, Draws
from quotes.risks.parts import ROWS, KnifeParts, parts_of
from shop import stages

BARS = 40
"""Bars of the distribution [1]."""

SHOWN = (0.002, 0.995)
"""Shares of draws between which bars lie; what is beyond is in the outer ones [1]."""

STREAM = 2
"""Sets the draws of a price apart from those of a billet with the same seed."""

LEVELS = (0.50, 0.80, 0.90)
"""Shares of draws below the three figures that are told [1]."""

CAUSES: Mapping[str, str] = MappingProxyType(
    {
        "failures": _("Failures and repairs"),
        **stages.HOURS_ROWS,
        "weeks": _("Good and bad weeks"),
        "gas": _("Gas"),
    }
)
"""What makes a cost uncertain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """Where an amount will probably lie.

    Attributes
    ----------
    mean : Decimal
        Expected, in closed form and so without chance.
    p50, p80, p90 : Decimal
        Not exceeded one time in two, four in five, nine in ten.
    """

    mean: Decimal
    p50: Decimal
    p80: Decimal
    p90: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One thing that makes the cost uncertain, and its share of the spread.

    Attributes
    ----------
    key : str
        A row of hours, ``weeks``, ``failures`` or ``gas``.
    label : str
        What it is called.
    share : float
        Covariance of its part with the cost, over the variance of the cost [1].
    """

    key: str
    label: str
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """What an order may cost, and what a price leaves of it.

    Attributes
    ----------
    net : Decimal
        What the knives bring before tax [currency].
    cost, hours : Levels
        Of all knives, what is done again included [currency, h].
    left50, left20, left10 : Decimal
        The price less the cost: not missed one time in two, missed one time in five,
        and one in ten [currency].
    loss : float
        Share of draws that cost more than the price [1].
    causes : tuple of Cause
        The largest first; shares add up to 1. Empty where nothing is uncertain.
    edges : tuple of float
        Of the bars of the distribution, one more than there are bars [currency].
    counts : tuple of int
        Draws in each bar [1].
    seed, draws : int
        With them the same comes again.
    """

    net: Decimal
    cost: Levels
    hours: Levels
    left50: Decimal
    left20: Decimal
    left10: Decimal
    loss: float
    causes: tuple[Cause, ...]
    edges: tuple[float, ...]
    counts: tuple[int, ...]
    seed: int
    draws: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """Every draw: what it costs, by what makes it differ, and its hours.

    Attributes
    ----------
    parts : mapping of str to array (draws,)
        The cost by cause; they add up to it. What is planned is in ``failures``
        [currency].
    hours : array (draws,)
        Attended hours [h].
    """

    parts: Mapping[str, Draws]
    hours: Draws

    @property
    def cost(self) -> Draws:
        """Cost of all knives, array (draws,) [currency]."""
        whole: Draws = np.sum(list(self.parts.values()), axis=0)
        return whole


def simulate(knives: Sequence[KnifeParts], chance: Chance) -> Outcome:
    """Make an order by chance, many times.

    Parameters
    ----------
    knives : sequence of KnifeParts
        What they cost if nothing fails [currency, h].
    chance : Chance
        What is left to chance.

    Returns
    -------
    Outcome
        Arrays of shape (draws,) [currency, h].

    Notes
    -----
    A row's hours cost n c m w: n passes, c as planned, m the row's own factor and w
    that of the week. Its part over n c is m w - 1 = (m - 1)(1 + w)/2 + (w - 1)(1 +
    m)/2, of which the first goes to the row and the second to the weeks, so that the
    order in which causes are counted does not matter between them.
    """
    generator = np.random.default_rng((chance.seed, STREAM))
    weeks = chance.weeks.draw(generator, chance.draws)
    billets: dict[int, Draws] = {}
    parts = {key: np.zeros(chance.draws) for key in CAUSES}
    hours = np.zeros(chance.draws)
    for knife in knives:
        if knife.billet not in billets:
            slow = chance.spreads["billet"].draw(generator, chance.draws)
            billets[knife.billet] = slow
        own = _factors(chance, generator, billets[knife.billet])
        walked = scrap.passes(chance.links, chance.draws, generator)
        parts["failures"] += knife.nominal @ walked
        parts["gas"] += (knife.gas @ walked) * (chance.gas[knife.billet] - 1)
        hourly = knife.hourly.T @ walked
        parts["weeks"] += (hourly * (1 + own)).sum(axis=0) * (weeks - 1) / 2
        for row, part in zip(ROWS, hourly * (own - 1) * (1 + weeks) / 2, strict=True):
            parts[row] += part
        hours += ((knife.hours.T @ walked) * own).sum(axis=0) * weeks
    return Outcome(parts=parts, hours=hours)


def _factors(chance: Chance, generator: np.random.Generator, billet: Draws) -> Draws:
    """Return the factors of one knife, array (rows, draws) [1]."""
    return np.stack(
        [
            billet if row == "billet" else chance.spreads[row].draw(
                generator, chance.draws
            )
            for row in ROWS
        ]
    )  # fmt: skip


def risk(job: Job, rates: Rates, chance: Chance, net: Decimal) -> Risk:
    """Return what a job may cost, and what a price leaves of it.

    Parameters
    ----------
    job, rates : Job, Rates
        What ``quotes.costing.cost`` takes.
    chance : Chance
        What is left to chance, as by ``chance_of``.
    net : Decimal
        What the knives bring before tax [currency].

    Returns
    -------
    Risk
        Amounts to the smallest unit of the currency, hours to a hundredth.
    """
    _check(job, chance, net)
    knives = parts_of(job, rates)
    made = simulate(knives, chance)
    expected, hours = _expected(knives, chance)
    cost = _levels(expected, made.cost, cent(job.currency))
    edges, counts = _bars(made.cost)
    tie = float(cent(job.currency)) / 2
    return Risk(
        net=money(net, job.currency),
        cost=cost,
        hours=_levels(hours, made.hours, Decimal("0.01")),
        left50=money(net - cost.p50, job.currency),
        left20=money(net - cost.p80, job.currency),
        left10=money(net - cost.p90, job.currency),
        loss=float(np.mean(made.cost > float(net) + tie)),
        causes=_causes(made),
        edges=edges,
        counts=counts,
        seed=chance.seed,
        draws=chance.draws,
    )


def _check(job: Job, chance: Chance, net: Decimal) -> None:
    if not (net.is_finite() and net >= 0):
        raise QuoteError(
            _("A price before tax is an amount from zero on, not {net}."),
            field="net", net=net,
        )  # fmt: skip
    if len(chance.gas) != len(job.billets):
        raise QuoteError(
            _("The gas of every billet must be known; look at their plans."),
            field="gas",
        )


def _expected(knives: Sequence[KnifeParts], chance: Chance) -> tuple[float, float]:
    """Return expected cost [currency] and hours [h]: passes times what one costs.

    Factors have a mean of 1 and come apart from the passes, so nothing is averaged
    but the gas, whose draws are given.
    """
    walked = np.array([float(one) for one in scrap.expected_passes(chance.links)])
    cost = hours = 0.0
    for knife in knives:
        more_gas = knife.gas * (chance.gas[knife.billet].mean() - 1)
        cost += float(walked @ (knife.nominal + more_gas))
        hours += float(walked @ knife.hours.sum(axis=1))
    return cost, hours


def _levels(mean: float, values: Draws, unit: Decimal) -> Levels:
    p50, p80, p90 = np.quantile(values, LEVELS).tolist()
    places = -int(unit.as_tuple().exponent)
    return Levels(
        mean=quantity(mean, places), p50=quantity(p50, places),
        p80=quantity(p80, places), p90=quantity(p90, places),
    )  # fmt: skip


def _causes(made: Outcome) -> tuple[Cause, ...]:
    """Return each cause with its share of the spread; no spread has none."""
    cost = made.cost - made.cost.mean()
    whole = float(cost @ cost)
    if whole <= 1e-18 * float(made.cost @ made.cost):
        return ()
    causes = (
        Cause(key=key, label=CAUSES[key], share=float(part @ cost) / whole)
        for key, part in made.parts.items()
    )
    return tuple(sorted(causes, key=lambda cause: -cause.share))


def _bars(cost: Draws) -> tuple[tuple[float, ...], tuple[int, ...]]:
    """Return the bars of the distribution; all in one place makes one bar."""
    low, high = np.quantile(cost, SHOWN).tolist()
    if high - low <= 1e-9 * abs(high):
        return (low, high), (cost.size,)
    counts, edges = np.histogram(np.clip(cost, low, high), BARS, (low, high))
    return tuple(edges.tolist()), tuple(counts.tolist())
