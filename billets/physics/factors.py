"""What a shop does differently from the book, and how sure that is.

Every factor is 1 (or, for scale, 0.8) until the shop has weighed something. What is
believed about a factor is a lognormal: a median, a spread between shops, and a
spread between billets of one shop.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.errors import PlanError, _

WELD_HEAT_OFFSETS = (-1.0, 0.0, 0.0, 1.0)
"""Heats a weld really takes beside the planned ones, equally likely [1].

Makers tell of three passes or three fluxed heats; common practice, no source.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Factors:
    """The shop's own factors on what is planned.

    Attributes
    ----------
    scale_strength : float or array (draws,)
        Scale against the law for iron [1].
    grind, edge_grind : float or array (draws,)
        Ground off faces and edges, as a multiple of what is planned [1].
    trim : float or array (draws,)
        Cut off the ends, as a multiple of what is planned [1].
    strain : float or array (draws,)
        Strain in one heat, as a multiple of the tool's [1].
    weld_time : float or array (draws,)
        Time at welding heat, as a multiple of what is planned [1].
    weld_heats : float or array (draws,)
        Heats of a weld beyond the planned ones; a weld takes at least one [1].
    heating_time : float or array (draws,)
        Every time at the forge, as a multiple of the computed one [1].
    gas : float or array (draws,)
        Gas burnt, as a multiple of the forge's rate [1].
    hours : float or array (draws,)
        Attended time, as a multiple of the computed one [1].
    """

    scale_strength: Number = 0.8
    grind: Number = 1.0
    edge_grind: Number = 1.0
    trim: Number = 1.0
    strain: Number = 1.0
    weld_time: Number = 1.0
    weld_heats: Number = 0.0
    heating_time: Number = 1.0
    gas: Number = 1.0
    hours: Number = 1.0


@dataclass(frozen=True, slots=True)
class FactorBelief:
    """What is believed about one factor: lognormal.

    Attributes
    ----------
    median : float
        As likely more as less [1].
    ln_sd : float
        Standard deviation of the logarithm, between shops or for what this shop
        does not know yet [1].
    billet_ln_sd : float
        The same from one billet to the next in one shop [1].
    """

    median: float
    ln_sd: float
    billet_ln_sd: float = 0.0

    def spread(self, *, with_billet_scatter: bool = False) -> float:
        """Return the standard deviation of the logarithm to draw with [1].

        Never less than the scatter between billets: a shop that knows its habits
        well still makes one billet differently from the next.
        """
        if with_billet_scatter:
            return math.hypot(self.ln_sd, self.billet_ln_sd)
        return max(self.ln_sd, self.billet_ln_sd)


PRIORS: Mapping[str, FactorBelief] = MappingProxyType(
    {
        "scale_strength": FactorBelief(0.8, 0.45, 0.25),
        "grind": FactorBelief(1.0, 0.40, 0.20),
        "edge_grind": FactorBelief(1.0, 0.50),
        "trim": FactorBelief(1.0, 0.50, 0.25),
        "strain": FactorBelief(1.0, 0.25, 0.10),
        "weld_time": FactorBelief(1.0, 0.30),
        # 30 % on times and 30 % on the rate make the 40 % told of gas.
        "heating_time": FactorBelief(1.0, 0.30),
        "gas": FactorBelief(1.0, 0.30),
        # PERT of 2, 4 and 9 h: mean 4.5, sd 1.17, so ln sd 0.255.
        "hours": FactorBelief(1.0, 0.255),
    }
)
"""Beliefs of a shop that has weighed nothing yet; common practice, no source."""


def medians(beliefs: Mapping[str, FactorBelief] = PRIORS) -> Factors:
    """Return the factors of a plain plan: every belief at its median [1]."""
    return replace(Factors(), **{name: one.median for name, one in beliefs.items()})


def sample(
    beliefs: Mapping[str, FactorBelief],
    rng: np.random.Generator,
    draws: int,
    *,
    with_billet_scatter: bool = False,
) -> Factors:
    """Return factors drawn at random, one of each for every draw.

    Parameters
    ----------
    beliefs : mapping of str to FactorBelief
        What is believed; a factor not named keeps its default.
    rng : numpy.random.Generator
        Source of chance.
    draws : int
        How many [1].
    with_billet_scatter : bool
        Whether to add the scatter between billets of one shop.

    Returns
    -------
    Factors
        Arrays of shape (draws,) [1].
    """
    if draws < 1:
        raise PlanError(
            _("At least one draw is needed; {value} is too few."),
            field="draws",
            value=draws,
        )
    drawn: dict[str, Number] = {}
    # In the order of the fields, so that one seed gives one plan whatever order the
    # beliefs come in, and a new factor leaves the draws of the old ones alone.
    for name in (field.name for field in fields(Factors)):
        if name == "weld_heats":
            drawn[name] = rng.choice(WELD_HEAT_OFFSETS, size=draws)
        elif name in beliefs:
            belief = beliefs[name]
            spread = belief.spread(with_billet_scatter=with_billet_scatter)
            drawn[name] = belief.median * np.exp(spread * rng.standard_normal(draws))
    return Factors(**drawn)
