"""What has to be started with, so that enough is left: a lognormal need.

What a billet needs at its start is what is wanted at its end over all that is kept
on the way. If every share kept is lognormal, so is the need.

Written for mass [kg]. Any measure in which the need is told serves as well: length of
a stack [m]. The identities are textbook knowledge, quoted from memory, verify.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from billets.physics.errors import PlanError, _

NORMAL = NormalDist()
"""The normal distribution of mean 0 and spread 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The share of the steel that one step keeps: lognormal.

    Attributes
    ----------
    median : float
        As likely more as less, above 0 and not above 1 [1].
    log_sd : float
        Standard deviation of its logarithm [1].
    """

    median: float
    log_sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What has to be started with, so that just enough is left: lognormal.

    Attributes
    ----------
    median : float
        Enough one time in two [kg].
    log_sd : float
        Standard deviation of its logarithm [1].
    """

    median: float
    log_sd: float

    @property
    def mean(self) -> float:
        """The mean need, above the median [kg]."""
        return self.median * math.exp(self.log_sd**2 / 2.0)


def demand(final: float, kept: Iterable[Kept]) -> Demand:
    """Return what must be started with for a mass to be left after several steps.

    Parameters
    ----------
    final : float
        Wanted at the end [kg].
    kept : iterable of Kept
        Share kept by each step, independent of the others [1].

    Returns
    -------
    Demand
        Its median and spread [kg, 1].

    Notes
    -----
    A lognormal share can exceed 1; at a median of 0.95 and a spread of 0.02 it does
    so one time in 200. Draws are to be cut at 1, the formula is not.
    """
    shares = tuple(kept)
    check_costs(final=final)
    for one in shares:
        if not 0.0 < one.median <= 1.0 or not 0.0 <= one.log_sd < math.inf:
            raise PlanError(
                _("A step keeps a share above 0 and not above 1, not {value}."),
                field="kept",
                value=one.median,
            )
    return Demand(
        median=final / math.prod(one.median for one in shares),
        log_sd=math.hypot(*(one.log_sd for one in shares)),
    )


def demand_of(needed: NDArray[np.float64]) -> Demand:
    """Return the lognormal that lies closest to draws of what is needed.

    Parameters
    ----------
    needed : array (draws,)
        What each draw needs; infinite where nothing suffices, which is left out [kg].

    Returns
    -------
    Demand
        With the mean and spread of the logarithms [kg, 1].
    """
    logs = np.log(needed[np.isfinite(needed)])
    if logs.size == 0:
        raise nothing_suffices()
    return Demand(median=float(np.exp(logs.mean())), log_sd=float(logs.std()))


def start_for(need: Demand, chance: float) -> float:
    """Return the start that suffices with a chance.

    Parameters
    ----------
    need : Demand
        What is needed [kg].
    chance : float
        Between 0 and 1 [1].

    Returns
    -------
    float
        Mass to start with [kg].
    """
    if not 0.0 < chance < 1.0:
        raise PlanError(
            _("A chance lies between 0 and 1, not at {value}."),
            field="chance",
            value=chance,
        )
    return need.median * math.exp(NORMAL.inv_cdf(chance) * need.log_sd)


def chance_of(need: Demand, mass: float) -> float:
    """Return the chance [1] that a start suffices.

    Parameters
    ----------
    need : Demand
        What is needed [kg].
    mass : float
        Started with [kg].

    Returns
    -------
    float
        Between 0 and 1; of a need without spread 0 or 1 [1].
    """
    if mass <= 0.0:
        return 0.0
    if need.log_sd == 0.0:
        return float(mass >= need.median)
    return NORMAL.cdf(math.log(mass / need.median) / need.log_sd)


def short_of(need: Demand, mass: float) -> float:
    """Return what is expected to be lacking at the start, none where it suffices.

    Parameters
    ----------
    need : Demand
        What is needed [kg].
    mass : float
        Started with [kg].

    Returns
    -------
    float
        Mean of the need beyond the start, E max(D - S, 0) [kg].
    """
    if mass <= 0.0:
        return need.mean - mass
    if need.log_sd == 0.0:
        return max(need.median - mass, 0.0)
    place = math.log(mass / need.median) / need.log_sd
    return need.mean * NORMAL.cdf(need.log_sd - place) - mass * NORMAL.cdf(-place)


def check_costs(**values: float) -> None:
    """Raise PlanError unless masses and costs are above zero.

    Parameters
    ----------
    values : float
        By the name of the input [kg or currency].
    """
    for name, value in values.items():
        if not 0.0 < value < math.inf:
            raise PlanError(
                _("A mass wanted and what short or spare steel costs must be above "
                  "zero."),
                field=name,
                value=value,
            )  # fmt: skip


def nothing_suffices() -> PlanError:
    """Return the refusal of a plan that is used up whatever it starts with."""
    return PlanError(
        _(
            "No length of stack suffices in any draw; plan a thicker stack, fewer "
            "welds or less grinding."
        ),
        field="length",
    )
