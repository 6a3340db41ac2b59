"""From a priced order to what it may cost, in numbers."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import numpy as np

from billets.figures import PlanFigures
from quotes.errors import QuoteError
from quotes.pricing import PricedOrder
from quotes.risk import Risk, risk
from quotes.risks.chance import Draws, chance_of


def risk_on(priced: PricedOrder, net: Decimal) -> Risk:
    """Return what an order may cost, and what a net price of its knives leaves.

    The seed is that of the order's first billet. Billets drawn from one seed burn
    dear or cheap gas together, as they would in one forge.
    """
    billets = list(priced.plans.values())
    first = billets[0].sampled
    chance = chance_of(
        priced.rates, [_gas(one) for one in billets],
        seed=first.seed, draws=first.draws,
    )  # fmt: skip
    return risk(priced.job, priced.rates, chance, net)


def _gas(figures: PlanFigures) -> Draws:
    """Return the gas of a billet in every draw, as a multiple of what is planned."""
    planned, sampled = float(figures.plain.gas), figures.sampled
    draws = np.broadcast_to(sampled.result.gas, (sampled.draws,))
    return draws / planned if planned else np.ones(sampled.draws)


def kept_risk(priced: PricedOrder) -> dict[str, Any] | None:
    """Return what is kept of the risk with a quote; None if it is not known."""
    try:
        found = risk_on(priced, priced.lines.price.net)
    except QuoteError:
        return None
    levels = {name: str(getattr(found.cost, name)) for name in ("p50", "p80", "p90")}
    return {**levels, "seed": found.seed, "draws": found.draws}
