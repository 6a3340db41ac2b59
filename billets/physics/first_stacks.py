"""What can be laid of the bars on offer: pieces of two or three steels in turn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from types import MappingProxyType
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from billets.physics.bar import Steel
from billets.physics.counting import Counted, Counts
from billets.physics.errors import PlanError, _

LOWEST, HIGHEST = 0.020, 0.045
"""Height of a stack that is laid and welded, common practice, no source [m]."""

MOST_LAID = 40
"""Pieces beyond which a stack is not laid in one go, common practice, no source [1]."""

PERIODS: MappingProxyType[int, tuple[tuple[int, ...], ...]] = MappingProxyType(
    {
        2: ((0, 1), (1, 0)),
        # One after the other, or one of them between each two of the others.
        3: ((0, 1, 2), (1, 2, 0), (2, 0, 1), (0, 1, 2, 1), (1, 0, 2, 0), (0, 2, 1, 2)),
    }
)
"""How steels follow one another before the order begins again, by their number."""

MOST_SETS, MOST_SETS_READ = 100, 20_000
"""Sets of bars of which stacks are laid, and those they are chosen from [1]."""

TURNED = (1, 0)
"""Two steels in turn, the second one at the bottom."""

Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True, kw_only=True)
class BarOffer:
    """A bar that can be had.

    Attributes
    ----------
    key : str
        Whatever tells it from other bars to whoever asks.
    steel : Steel
        What it is made of.
    thickness, width, length : float
        Its size [m].
    """

    key: str
    steel: Steel
    thickness: float
    width: float
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """A bar for each steel, and how they follow one another.

    Attributes
    ----------
    bars : tuple of BarOffer
        One for each steel.
    period : tuple of int
        Places in ``bars``, from the bottom of the stack, until it begins again.
    """

    bars: tuple[BarOffer, ...]
    period: tuple[int, ...]

    @property
    def width(self) -> float:
        """The narrowest of the bars: no stack is wider [m]."""
        return min(bar.width for bar in self.bars)

    @property
    def length(self) -> float:
        """The shortest of the bars: no piece is longer [m]."""
        return min(bar.length for bar in self.bars)

    def order(self, pieces: int) -> tuple[int, ...]:
        """Return which bar each piece of a stack comes from, from the bottom up."""
        return tuple(self.period[place % len(self.period)] for place in range(pieces))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FirstStacks:
    """Stacks before their first weld, one place of the arrays for each.

    Attributes
    ----------
    kits : tuple of Kit
        The bars they are laid of.
    kit : array (stacks,)
        Place of its kit.
    pieces : array (stacks,)
        Pieces in all [1].
    counts : array (stacks, steels)
        Pieces from each bar of the kit [1].
    height : array (stacks,)
        Of the stack [m].
    top, bottom : array (stacks,)
        Which bar of the kit lies outside.
    """

    kits: tuple[Kit, ...]
    kit: Counts
    pieces: Counts
    counts: Counts
    height: NDArray[np.float64]
    top: Counts
    bottom: Counts

    def counted(self, rows: Counts) -> Counted:
        """Return the layers of some of them: no two neighbours are alike."""
        return Counted(
            layers=self.pieces[rows], top=self.top[rows], bottom=self.bottom[rows]
        )


def first_stacks(bars: Sequence[BarOffer]) -> FirstStacks:
    """Return every stack of sensible height from some bars.

    Parameters
    ----------
    bars : sequence of BarOffer
        Of two or three steels.

    Returns
    -------
    FirstStacks
        Each with every steel in it; PlanError if the steels are too few or many.
    """
    kits = tuple(_kits(bars))
    laid = [_laid(place, kit) for place, kit in enumerate(kits)]
    names = "kit", "pieces", "counts", "height", "top", "bottom"
    whole = {name: np.concatenate([one[name] for one in laid]) for name in names}
    return FirstStacks(kits=kits, **whole)


def _kits(bars: Sequence[BarOffer]) -> Iterator[Kit]:
    by_steel: dict[str, list[BarOffer]] = {}
    for bar in sorted(bars, key=_place):
        by_steel.setdefault(bar.steel.key, []).append(bar)
    if len(by_steel) not in PERIODS:
        raise PlanError(
            _(
                "A pattern is proposed of two or three steels, not of {count}; choose "
                "others."
            ),
            field="steels",
            count=len(by_steel),
        )
    for chosen in _sets(tuple(by_steel.values())):
        for period in PERIODS[len(by_steel)]:
            yield Kit(bars=chosen, period=period)


def _sets(by_steel: Sequence[Sequence[BarOffer]]) -> list[tuple[BarOffer, ...]]:
    """Return a bar of each steel in every way; of too many those with least to rip."""
    most = int(MOST_SETS_READ ** (1.0 / len(by_steel)))
    sets = list(product(*(_evenly(bars, most) for bars in by_steel)))
    if len(sets) <= MOST_SETS:
        return sets
    sets.sort(key=_ripped)
    whole = [one for one in sets if _ripped(one) == 0]
    return _evenly(whole, MOST_SETS) if len(whole) > MOST_SETS else sets[:MOST_SETS]


def _evenly(things: Sequence[Thing], most: int) -> list[Thing]:
    """Return so many of some things at most, taken evenly from first to last."""
    if len(things) <= most:
        return list(things)
    places = np.round(np.linspace(0, len(things) - 1, most)).astype(int).tolist()
    return [things[place] for place in places]


def _ripped(bars: tuple[BarOffer, ...]) -> int:
    """Return how much has to be ripped off the bars, in whole millimetres."""
    widths = [bar.width for bar in bars]
    return round(sum(width - min(widths) for width in widths) * 1e3)


def _place(bar: BarOffer) -> tuple[str, float, float, str]:
    return bar.steel.key, bar.thickness, bar.width, bar.key


def _laid(place: int, kit: Kit) -> dict[str, NDArray[Any]]:
    """Return the stacks of one kit: as many pieces as make a sensible height."""
    thickness = np.array([bar.thickness for bar in kit.bars])
    most = min(int(HIGHEST / float(thickness.min())) + 1, MOST_LAID)
    order = np.array(kit.order(most))
    height = np.cumsum(thickness[order])
    counts = np.cumsum(order[:, np.newaxis] == np.arange(len(kit.bars)), axis=0)
    fine = (height >= LOWEST) & (height <= HIGHEST) & np.all(counts > 0, axis=1)
    if kit.period == TURNED:
        # With as many pieces of both, it is the other order turned over.
        fine &= counts[:, 0] != counts[:, 1]
    last = np.flatnonzero(fine)
    return {
        "kit": np.full(last.size, place),
        "pieces": last + 1,
        "counts": counts[last],
        "height": height[last],
        "top": np.full(last.size, order[0]),
        "bottom": order[last],
    }
