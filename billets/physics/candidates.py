"""Every sensible way from the bars on offer to a bar of so many layers.

A chain is a stack welded, drawn, cut and laid on itself a few times. Chains stand
side by side in arrays, one place for each, those of most welds first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np
from numpy.typing import NDArray

from billets.physics.chains import (
    GROUND,
    Chains,
    Means,
    Measures,
    ProposalWish,
    check_wish,
    restack_heights,
)
from billets.physics.counting import Counts, after_restack
from billets.physics.equipment import Forge
from billets.physics.first_stacks import FirstStacks, first_stacks
from billets.physics.flags import SPREADING, passes_door
from billets.physics.verdict import Target

CUTS = (2, 3, 4, 5, 6, 7)
"""Pieces of a restack; more slip at the weld, common practice, no source [1]."""

NEAR = 1.25
"""How far from the wish the pieces may multiply to for a chain to be looked at [1]."""

HEIGHTS = (0.035, 0.028, 0.042)
"""Heights of a restack that are tried, the usual one first [m]."""

RESTACKED = (0.025, 0.045)
"""Between these a restack is steady and can be welded, common practice [m]."""

HALF_MILLIMETRE = 0.0005
"""Bars are drawn to half millimetres between welds [m]."""

NARROWER = (1.0, 0.75, 0.625)
"""Widths of a stack that are tried, over that of its narrowest bar [1]."""

NARROWEST = 0.020
"""No stack is narrower, common practice, no source [m]."""

TALLEST = 1.25
"""Height of a stack over its width beyond which it leans, common practice [1]."""

DOWN = 0.9
"""A draw makes the section smaller by a tenth at least, or is not worth a heat [1]."""

USUAL_BAR = 0.006
"""Thickness of a bar for which nothing is asked [m]."""

FINEST = (3, 3), (3, 2), (2, 2), (1, 2), (1, 1)
"""Heights and widths tried, as many as keep the chains below `MOST_CHAINS` [1]."""

MOST_CHAINS, GUESSED = 12_000, 4
"""Chains that are gone through; beyond it only some of the heights and widths. Of so
many times more it is not even tried, for not nearly all can be drawn [1]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Enumerated:
    """The chains worth a closer look, and how many were not.

    Attributes
    ----------
    chains : Chains
        What is left.
    considered : int
        Chains looked at [1].
    dropped : mapping of str to int
        How many were left out, by reason [1].
    """

    chains: Chains
    considered: int
    dropped: Mapping[str, int]


def enumerated(
    wish: ProposalWish, means: Means, targets: Sequence[Target]
) -> Enumerated:
    """Return every sensible chain whose numbers can be right.

    Parameters
    ----------
    wish : ProposalWish
        Layers wanted [1].
    means : Means
        Bars and equipment.
    targets : sequence of Target
        What must come out of the bar [m, kg].

    Returns
    -------
    Enumerated
        The chains in the order of their welds, and what was dropped: "layers" outside
        the wish, "door" too small, bar "wide" beyond what a stack spreads to.
    """
    check_wish(wish)
    stacks = first_stacks(means.bars)
    ways = _ways(wish.most_welds - 1)
    pairs = _near(stacks, ways, wish)
    chains = _fine_enough(stacks, ways, pairs, targets)
    return _sifted(chains, wish, means.forge)


def _fine_enough(
    stacks: FirstStacks,
    ways: _Ways,
    pairs: tuple[Counts, Counts],
    targets: Sequence[Target],
) -> Chains:
    """Return chains in as many heights and widths as there is time for."""
    for heights, widths in FINEST:
        at_most = GUESSED * MOST_CHAINS // (heights * widths)
        last = (heights, widths) == FINEST[-1]
        if pairs[0].size > at_most and not last:
            continue
        # Of more than any shop has bars for, some of all of them, evenly.
        step = max(1, -(-pairs[0].size // at_most))
        some = pairs[0][::step], pairs[1][::step]
        chains = _chains(stacks, ways, some, (heights, widths), targets)
        if len(chains) <= MOST_CHAINS or last:
            break
    return chains.of(np.arange(0, len(chains), max(1, -(-len(chains) // MOST_CHAINS))))


def bar_thickness(targets: Sequence[Target]) -> float:
    """Return how thick the bar must be for all knives, to a tenth of a mm [m]."""
    asked = max((one.thickness for one in targets), default=0.0) or USUAL_BAR
    # A hair more, so that a size drawn to is never less than a size needed.
    return math.ceil(asked * 1e4 + 1e-6) * 1e-4


def bar_widths(width: Measures, targets: Sequence[Target]) -> Measures:
    """Return the width of the bar at the end, close to that of its stack.

    Parameters
    ----------
    width : array (candidates,)
        Of the stack [m].
    targets : sequence of Target
        Widths from which each knife can be forged [m].

    Returns
    -------
    array (candidates,)
        Within the widths of all knives; if they have none in common, wide enough for
        the widest [m].
    """
    low = math.ceil(max(one.width_low for one in targets) * 1e3 - 1e-6) * 1e-3
    high = min(one.width_high for one in targets)
    if math.isfinite(high):
        high = math.floor(high * 1e3 + 1e-6) * 1e-3
    held: Measures = np.maximum(np.minimum(width, high), low)
    return held


# --- ways from a stack to a bar ------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ways:
    """Restacks one after the other: arrays (ways, restacks), 0 where there is none."""

    cuts: Counts
    folded: NDArray[np.bool_]

    @property
    def times(self) -> Counts:
        """By how much they multiply the pieces."""
        times: Counts = np.prod(np.maximum(self.cuts, 1), axis=1)
        return times


def _ways(most: int) -> _Ways:
    """Return every way to restack, the most pieces first; in two is cut or folded.

    The order hardly matters to what is lost, and the bar is longest when it can be
    cut in most pieces.
    """
    found: list[tuple[tuple[int, ...], bool]] = []
    for count in range(most + 1):
        for cuts in combinations_with_replacement(sorted(CUTS, reverse=True), count):
            found += [(cuts, False), (cuts, True)] if 2 in cuts else [(cuts, False)]
    laid = np.zeros((len(found), most), dtype=np.int64)
    for place, (pieces, _fold) in enumerate(found):
        laid[place, : len(pieces)] = pieces
    folding = np.array([fold for _pieces, fold in found])[:, np.newaxis]
    return _Ways(cuts=laid, folded=folding & (laid == 2))


def _near(
    stacks: FirstStacks, ways: _Ways, wish: ProposalWish
) -> tuple[Counts, Counts]:
    """Return pairs of stack and way that multiply to something near the wish."""
    pieces = np.multiply.outer(stacks.pieces, ways.times)
    near = (pieces >= wish.layers_low / NEAR) & (pieces <= wish.layers_high * NEAR)
    rows, way = np.nonzero(near)
    return rows, way


def _chains(
    stacks: FirstStacks,
    ways: _Ways,
    pairs: tuple[Counts, Counts],
    fineness: tuple[int, int],
    targets: Sequence[Target],
) -> Chains:
    """Return chains for all pairs of stack and way, heights and widths."""
    heights, widths = HEIGHTS[: fineness[0]], NARROWER[: fineness[1]]
    options = [(high, place) for place in range(len(widths)) for high in heights]
    rows, way = (np.repeat(one, len(options)) for one in pairs)
    high, place = (np.tile(one, pairs[0].size) for one in zip(*options, strict=True))
    cuts, folded = ways.cuts[way], ways.folded[way]
    width = _stack_widths(stacks)[stacks.kit[rows], place]
    found = Chains(
        stacks=stacks, row=rows, width=width, cuts=cuts, folded=folded,
        thickness=_drawn_to(cuts, high),
        layers=_layers(stacks, rows, cuts, folded),
        bar_width=bar_widths(width, targets),
    )  # fmt: skip
    # Without a restack there is no height to choose.
    chosen = (found.welds > 1) | (high == heights[0])
    found = found.of(chosen & _can_be_drawn(found, bar_thickness(targets)))
    return found.of(np.argsort(-found.welds, kind="stable"))


def _stack_widths(stacks: FirstStacks) -> Measures:
    """Return the widths tried for each kit; 0 for one that is tried already [m]."""
    widest = np.array([kit.width for kit in stacks.kits])[:, np.newaxis]
    steps = np.round(widest * np.array(NARROWER) / 0.005) * 0.005
    steps[:, :1] = widest
    again = steps[:, 1:] >= steps[:, :-1]
    steps[:, 1:][again | (steps[:, 1:] < NARROWEST)] = 0.0
    widths: Measures = steps
    return widths


def _drawn_to(cuts: Counts, height: Measures) -> Measures:
    """Return the thickness before each cut, so that the pieces make a height [m]."""
    each = height[:, np.newaxis] / np.maximum(cuts, 1) + GROUND
    rounded: Measures = np.round(each / HALF_MILLIMETRE) * HALF_MILLIMETRE
    return rounded


def _can_be_drawn(chains: Chains, thickness: float) -> NDArray[np.bool_]:
    """Say which chains draw the bar down each time, to stacks of sensible height."""
    low, high = RESTACKED
    before, tallest = chains.stacks.height[chains.row], TALLEST * chains.width
    fine = before <= tallest
    for drawn, after in zip(chains.thickness.T, restack_heights(chains).T, strict=True):
        there = after > 0.0
        sound = (drawn <= DOWN * before) & (after >= low)
        sound &= after <= np.minimum(high, tallest)
        fine = fine & (sound | ~there)
        before = np.where(there, after, before)
    ends: NDArray[np.bool_] = (
        chains.bar_width * thickness <= DOWN * chains.width * before
    )
    return fine & ends


def _layers(
    stacks: FirstStacks, rows: Counts, cuts: Counts, folded: NDArray[np.bool_]
) -> Counts:
    """Return the layers told apart at the end of each chain."""
    book = stacks.counted(rows)
    for pieces, fold in zip(cuts.T, folded.T, strict=True):
        book = after_restack(book, np.maximum(pieces, 1), fold)
    return book.layers


# --- what cannot be right ------------------------------------------------------------


def _sifted(chains: Chains, wish: ProposalWish, forge: Forge) -> Enumerated:
    """Leave out, one reason after the other, what cannot be right."""
    considered, dropped = len(chains), {}
    for reason, fine in (
        ("layers", lambda one: _wanted(one, wish)),
        ("wide", _spreads),
        ("door", lambda one: _passes(one, forge)),
    ):
        kept = fine(chains)
        dropped[reason] = int(np.count_nonzero(~kept))
        chains = chains.of(kept)
    return Enumerated(chains=chains, considered=considered, dropped=dropped)


def _wanted(chains: Chains, wish: ProposalWish) -> NDArray[np.bool_]:
    return (chains.layers >= wish.layers_low) & (chains.layers <= wish.layers_high)


def _spreads(chains: Chains) -> NDArray[np.bool_]:
    fine: NDArray[np.bool_] = chains.bar_width <= SPREADING * chains.width
    return fine


def _passes(chains: Chains, forge: Forge) -> NDArray[np.bool_]:
    """Say of which chains every stack passes the forge door."""
    heights = np.column_stack(
        (chains.stacks.height[chains.row], restack_heights(chains))
    )
    width = chains.width[:, np.newaxis]
    passes: NDArray[np.bool_] = np.all(passes_door(forge, width, heights), axis=1)
    return passes
