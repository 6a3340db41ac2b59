"""A few draws of a shop's factors, spread evenly, where thousands would take too long.

Every factor is cut into as many equally likely parts as there are draws, and one draw
comes from the middle of each; which parts of two factors meet is left to chance
(Latin hypercube sampling: McKay, Beckman and Conover 1979, quoted from memory, verify).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from statistics import NormalDist

import numpy as np

from billets.physics import Number
from billets.physics.factors import WELD_HEAT_OFFSETS, FactorBelief, Factors

NORMAL = NormalDist()
"""The normal distribution of mean 0 and spread 1."""


def even_draws(beliefs: Mapping[str, FactorBelief], seed: int, draws: int) -> Factors:
    """Return a few draws of a shop's factors, spread evenly.

    Parameters
    ----------
    beliefs : mapping of str to FactorBelief
        What is believed; a factor not named keeps its default.
    seed : int
        Start of the stream of chance [1].
    draws : int
        How many [1].

    Returns
    -------
    Factors
        Arrays of shape (draws,) [1].
    """
    rng = np.random.default_rng(seed)
    parts = (np.arange(draws) + 0.5) / draws
    normal = np.array([NORMAL.inv_cdf(part) for part in parts])
    offsets = np.array(WELD_HEAT_OFFSETS)
    heats = offsets[(parts * offsets.size).astype(np.intp)]
    drawn: dict[str, Number] = {}
    # In the order of the fields, so that one seed gives one set of draws.
    for name in (one.name for one in fields(Factors)):
        if name == "weld_heats":
            drawn[name] = rng.permutation(heats)
        elif name in beliefs:
            belief = beliefs[name]
            drawn[name] = belief.median * np.exp(
                belief.spread() * rng.permutation(normal)
            )
    return Factors(**drawn)
