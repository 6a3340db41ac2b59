"""Chains from a first stack to a bar, side by side, and what they are asked for."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from billets.physics.counting import Counts
from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.errors import PlanError, _
from billets.physics.first_stacks import BarOffer, FirstStacks
from billets.physics.guards import LONGEST
from billets.physics.steps import Grind

Measures = NDArray[np.float64]

MOST_WELDS = 5
"""Welds beyond which no chain is proposed [1]."""

MOST_LAYERS = 2000
"""Layers beyond which the steels run into each other, common practice [1]."""

GROUND = 2.0 * float(Grind().face)
"""What grinding both faces takes off the height of a bar [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Means:
    """What a shop has to make a billet with.

    Attributes
    ----------
    bars : tuple of BarOffer
        Bars on offer, of the steels that are wanted.
    forge, tool, saw : Forge, Tool, Saw
        What it is done with.
    """

    bars: tuple[BarOffer, ...]
    forge: Forge
    tool: Tool
    saw: Saw


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposalWish:
    """What a stack is to give.

    Attributes
    ----------
    layers_low, layers_high : int
        Layers that can be told apart, from and to [1].
    chance : float or None
        Least chance that it suffices; None for whatever is cheapest [1].
    most_welds : int
        Welds at most [1].
    """

    layers_low: int
    layers_high: int
    chance: float | None = None
    most_welds: int = MOST_WELDS


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chains:
    """Chains side by side, those of most welds first.

    Attributes
    ----------
    stacks : FirstStacks
        What they begin with.
    row : array (candidates,)
        Place of the first stack among them.
    width : array (candidates,)
        Of the stack, and of the bar until it is drawn to its last section [m].
    cuts : array (candidates, welds - 1)
        Pieces of each restack; 0 where there is none [1].
    folded : array of bool (candidates, welds - 1)
        Which restacks are folds.
    thickness : array (candidates, welds - 1)
        Of the bar before each cut [m].
    layers : array (candidates,)
        Layers told apart at the end [1].
    bar_width : array (candidates,)
        Of the bar at the end [m].
    """

    stacks: FirstStacks
    row: Counts
    width: Measures
    cuts: Counts
    folded: NDArray[np.bool_]
    thickness: Measures
    layers: Counts
    bar_width: Measures

    def __len__(self) -> int:
        return int(self.row.size)

    @property
    def welds(self) -> Counts:
        """Welds of each chain [1]."""
        welds: Counts = 1 + np.sum(self.cuts > 0, axis=1)
        return welds

    @property
    def longest(self) -> Measures:
        """The longest stack the bars of each give, and any forge takes [m]."""
        bars = np.array([kit.length for kit in self.stacks.kits])
        longest: Measures = np.minimum(bars[self.stacks.kit[self.row]], LONGEST)
        return longest

    def of(self, places: NDArray[np.bool_] | NDArray[np.intp]) -> Chains:
        """Return some of the chains; in the order they stand in, if it is a mask."""
        kept = {
            one.name: getattr(self, one.name)[places]
            for one in fields(self)
            if one.name != "stacks"
        }
        return Chains(stacks=self.stacks, **kept)


def check_wish(wish: ProposalWish) -> None:
    """Raise PlanError unless a wish for layers can be met by any stack."""
    if not 2 <= wish.layers_low <= MOST_LAYERS:
        raise PlanError(
            _("A pattern has {fewest} to {most_layers} layers, not {found}."),
            field="layers_low",
            fewest=2,
            most_layers=MOST_LAYERS,
            found=wish.layers_low,
        )
    if wish.layers_high > MOST_LAYERS:
        raise PlanError(
            _(
                "{found} layers run into one another and show no pattern; ask for "
                "{most_layers} at most."
            ),
            field="layers_high",
            most_layers=MOST_LAYERS,
            found=wish.layers_high,
        )
    if wish.layers_high < wish.layers_low:
        raise PlanError(
            _(
                "From {low_layers} to {high_layers} layers is the wrong way round; "
                "the second number must not be smaller than the first."
            ),
            field="layers_high",
            low_layers=wish.layers_low,
            high_layers=wish.layers_high,
        )


def restack_heights(chains: Chains) -> Measures:
    """Return the height of each restack, 0 where there is none.

    Parameters
    ----------
    chains : Chains
        The chains.

    Returns
    -------
    array (candidates, welds - 1)
        Pieces times what grinding leaves of the bar [m].
    """
    ground = chains.thickness - GROUND
    heights: Measures = chains.cuts * ground
    return heights
