"""What leaves a chain out of the proposals, counted by reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from billets.physics.batch import CYCLE_STEPS, Forging
from billets.physics.chains import Chains, Measures
from billets.physics.flags import STEADY
from billets.physics.pressing import known_force
from billets.physics.trials import Trial

Masks = NDArray[np.bool_]

REASONS = (
    "layers", "wide", "door", "hot", "tool", "pieces", "tall", "long", "short", "dear",
)  # fmt: skip
"""Why a chain is left out: too few or many layers; a bar wider than a stack spreads; a
stack too big for the door; welding heat too hot for the steel; a section the tool does
not move; restack pieces too short for their height or for the vice; a stack too tall
for its length; one longer than the bars it is cut from; never enough steel whatever
the length; so much dearer than the best that it was not gone through in full."""

LEAST_PIECE = 0.040
"""No vice holds a shorter piece while it is cut, common practice, no source [m]."""

DRAW = 2
"""Place of the draw in a cycle [1]."""


@dataclass(slots=True)
class Sieve:
    """Chains that are left, with arrays that go with them, and how many are not.

    Attributes
    ----------
    chains : Chains
        What is left.
    dropped : dict of str to int
        How many were left out, by reason [1].
    """

    chains: Chains
    dropped: dict[str, int] = field(default_factory=lambda: dict.fromkeys(REASONS, 0))

    def drop(self, reasons: Mapping[str, Masks]) -> Masks:
        """Leave chains out for the first reason that holds; return which are left."""
        left = np.ones(len(self.chains), dtype=np.bool_)
        for reason, holds in reasons.items():
            self.dropped[reason] += int(np.count_nonzero(left & holds))
            left &= ~holds
        self.chains = self.chains.of(left)
        return left


def failures(trial: Trial, forging: Forging) -> Mapping[str, Masks]:
    """Return which chains give too little whatever the length, by reason.

    Parameters
    ----------
    trial : Trial
        Of the chains, one draw each.
    forging : Forging
        What they are made with.

    Returns
    -------
    mapping of str to array of bool (candidates,)
        "tool" where the press does not move them, "pieces" where they are too short
        to be laid on one another, "short" for the rest.
    """
    never = ~np.isfinite(trial.needed).any(axis=1)
    place = trial.far.ended % CYCLE_STEPS
    ended = trial.far.ended > 0
    pressed = ended & (place == DRAW) & (known_force(forging.means.tool) is not None)
    laid = ended & ((place == CYCLE_STEPS - 1) | (place == 0))
    return MappingProxyType(
        {"tool": never & pressed, "pieces": never & laid, "short": never}
    )


def too_small(trial: Trial, chains: Chains, length: Measures) -> Mapping[str, Masks]:
    """Return which chains cannot be made at a length of stack, by reason.

    Parameters
    ----------
    trial : Trial
        Of the chains, medians as their first draw.
    chains : Chains
        The chains.
    length : array (candidates,)
        Of their stacks [m].

    Returns
    -------
    mapping of str to array of bool (candidates,)
        "pieces", "tall" and "long".
    """
    near, far = trial.near, trial.far
    share = (length - near.lengths) / (far.lengths - near.lengths)
    pieces = near.pieces + share[:, np.newaxis] * (far.pieces - near.pieces)
    least = np.maximum(STEADY * near.heights, LEAST_PIECE)
    short = np.any((near.heights > 0.0) & (pieces < least), axis=1)
    height = chains.stacks.height[chains.row]
    return MappingProxyType(
        {
            "pieces": short,
            "tall": length < STEADY * height,
            "long": length > chains.longest,
        }
    )
