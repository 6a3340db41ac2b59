"""How much steel to start with when running short costs money: in closed form.

For a lognormal need (`demand`), the start that costs least can be written down.
`drawn_start` answers the same questions from draws; the formula is there to check it.
The draws are what counts, since what the chain of losses needs is not lognormal in its
tails.

Written for mass [kg]. Any measure in which the need is told serves as well: length of
a stack [m], with costs per metre.

Sources: the critical ratio of costs, Arrow, Harris and Marschak 1951 and Silver, Pyke
and Thomas, both quoted from memory, verify; the lump loss, derived here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from billets.physics.demand import (
    NORMAL,
    Demand,
    Kept,
    chance_of,
    check_costs,
    demand,
    demand_of,
    short_of,
    start_for,
)
from billets.physics.errors import PlanError, _

__all__ = [
    "Demand",
    "Kept",
    "Provision",
    "Start",
    "chance_of",
    "demand",
    "demand_of",
    "lump_start",
    "normal_order",
    "proportional_start",
    "short_of",
    "start_for",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """A mass to start with.

    Attributes
    ----------
    mass : float
        To weld [kg].
    chance : float
        That it suffices [1].
    cost : float
        Expected: of the steel to spare and short, or of all steel and the loss
        [currency].
    """

    mass: float
    chance: float
    cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Provision:
    """How much to have at hand of what is asked for once and then spoils.

    Attributes
    ----------
    ratio : float
        Chance at which having and lacking one more cost the same [1].
    quantity : float
        What has that chance of sufficing [unit of the need].
    short : float
        Expected to be lacking [unit of the need].
    """

    ratio: float
    quantity: float
    short: float


def proportional_start(need: Demand, *, short: float, spare: float) -> Start:
    """Return the cheapest start where every kilogram short costs the same.

    Parameters
    ----------
    need : Demand
        What is needed [kg].
    short : float
        Cost of a kilogram short [currency/kg].
    spare : float
        Cost of a kilogram to spare: steel and forging, less what scrap brings
        [currency/kg].

    Returns
    -------
    Start
        Where the chance of sufficing is short / (short + spare) [kg].
    """
    check_costs(short=short, spare=spare)
    ratio = short / (short + spare)
    mass = start_for(need, ratio)
    lacking = short_of(need, mass)
    over = mass - need.mean + lacking
    return Start(mass=mass, chance=ratio, cost=short * lacking + spare * over)


def lump_start(need: Demand, *, loss: float, spare: float) -> Start | None:
    """Return the cheapest start where being short costs a lump sum, however short.

    Parameters
    ----------
    need : Demand
        What is needed [kg].
    loss : float
        Cost of a billet that is short [currency].
    spare : float
        Cost of a kilogram more at the start [currency/kg].

    Returns
    -------
    Start or None
        Where one gram more costs what it saves [kg]. None where no start pays: the
        cost then has no lowest point short of nothing at all, or that point is no
        cheaper than to be short for sure. Ask for a chance instead.

    Notes
    -----
    Costs spare S + loss (1 - Phi(y)) with y = ln(S / median) / log_sd are least where
    y^2 + 2 log_sd y + 2 [ln median + ln(log_sd sqrt(2 pi)) + ln(spare / loss)] = 0;
    the smaller root is where they are greatest.
    """
    check_costs(loss=loss, spare=spare)
    place = _lump_place(need, spare / loss)
    if place is None:
        return None
    mass = need.median * math.exp(need.log_sd * place)
    chance = chance_of(need, mass)
    cost = spare * mass + loss * (1.0 - chance)
    return Start(mass=mass, chance=chance, cost=cost) if cost < loss else None


def _lump_place(need: Demand, ratio: float) -> float | None:
    """Return how many spreads above the median the cheapest start lies [1]."""
    if need.log_sd == 0.0:
        return 0.0
    rest = math.log(need.median * need.log_sd * math.sqrt(2.0 * math.pi) * ratio)
    under_root = need.log_sd**2 - 2.0 * rest
    return math.sqrt(under_root) - need.log_sd if under_root >= 0.0 else None


# --- a need that is normal -----------------------------------------------------------


def normal_order(
    mean: float, sd: float, *, cost: float, revenue: float, salvage: float
) -> Provision:
    """Return how much to have at hand of what sells once, the need being normal.

    Parameters
    ----------
    mean, sd : float
        Of the need, in pieces or any measure [1].
    cost : float
        Paid for one [currency].
    revenue, salvage : float
        Brought by one that is wanted, and by one left over [currency].

    Returns
    -------
    Provision
        The quantity, not rounded, and what it is expected to lack [1].

    Notes
    -----
    Needs revenue above cost above salvage: else nothing is worth having, or anything
    is. A normal need can be below zero; keep the mean above three spreads.
    """
    if not (salvage < cost < revenue and sd > 0.0):
        raise PlanError(
            _(
                "What is had at hand must cost less than it brings and more than "
                "what is left over brings."
            ),
            field="cost",
        )
    ratio = (revenue - cost) / (revenue - salvage)
    place = NORMAL.inv_cdf(ratio)
    lacking = sd * (NORMAL.pdf(place) - place * NORMAL.cdf(-place))
    return Provision(ratio=ratio, quantity=mean + place * sd, short=lacking)
