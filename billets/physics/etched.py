"""Which layer of a billet lies where in a cut across the blade.

Uniform forging thins all layers alike, so a layer keeps its share of the blank's
thickness; grinding then cuts through them. A sequence counts from the near face.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from billets.physics.blade_cut import BladeCut
from billets.physics.errors import PlanError, _
from billets.physics.layers import Sequence, merged, shares
from billets.physics.outline import Along

NOTHING = 1e-9
"""A layer thinner than this does not show: less than an atom or so [m]."""

MOST_BANDS = 2000
"""Bands beyond which no cut is laid out: no screen and no paper shows so many [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The part of a cut that is looked at, all of it unless told.

    Attributes
    ----------
    low, high : float
        Height above the edge [m].
    near, far : float
        Place across the blade [m].
    """

    low: float = -np.inf
    high: float = np.inf
    near: float = -np.inf
    far: float = np.inf


WHOLE = Window()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Etched:
    """Layers as they show in a cut.

    Attributes
    ----------
    steels : tuple of str
        Key of each layer's steel, from the near face to the far one.
    above : array (points,)
        Height above the edge, rising [m].
    bounds : array (layers + 1, points)
        Where each layer begins and the last one ends, across the blade [m].
    """

    steels: tuple[str, ...]
    above: Along
    bounds: NDArray[np.float64]

    def widths(self) -> NDArray[np.float64]:
        """Return how wide each layer shows at each height (layers, points) [m]."""
        return np.diff(self.bounds, axis=0)

    def areas(self) -> Along:
        """Return the area in which each layer shows (layers,) [m^2]."""
        return np.asarray(np.trapezoid(self.widths(), self.above, axis=1))

    def steel_areas(self) -> dict[str, float]:
        """Return the area in which each steel shows [m^2]."""
        totals = dict.fromkeys(self.steels, 0.0)
        for steel, area in zip(self.steels, self.areas(), strict=True):
            totals[steel] += float(area)
        return totals


def etched(sequence: Sequence, cut: BladeCut, window: Window = WHOLE) -> Etched:
    """Return the layers of a billet in a cut across its blade.

    Parameters
    ----------
    sequence : tuple of (str, float)
        The billet's layers across its thickness [m, or any one unit].
    cut : BladeCut
        The blade and the blank around it.
    window : Window
        What of it is looked at.

    Returns
    -------
    Etched
        One entry a layer, those that show nowhere too.

    Notes
    -----
    Exact for straight layers: heights at which a layer runs out at a flank are added
    to those of the cut. Real layers wander by a quarter of their thickness and more
    (common practice, no source).
    """
    if len(sequence) > MOST_BANDS:
        raise PlanError(
            _("{layers} layers are too many to be drawn; draw them coarser."),
            field="layers",
            layers=len(sequence),
        )
    steps = _steps(sequence)
    above = _with_crossings(cut, steps, window)
    left, right, near, far = (
        np.interp(above, cut.above, side)
        for side in (cut.left, cut.right, cut.near, cut.far)
    )
    places = near + steps[:, None] * (far - near)
    bounds = np.clip(places, left, right)
    return Etched(
        steels=tuple(key for key, _share in sequence),
        above=above,
        bounds=np.clip(bounds, window.near, window.far),
    )


def _steps(sequence: Sequence) -> Along:
    """Return where layers meet, as shares of the thickness from 0 to 1 [1]."""
    ends = list(accumulate(share for _key, share in shares(sequence)))
    return np.array([0.0, *ends[:-1], 1.0])


def _with_crossings(cut: BladeCut, steps: Along, window: Window) -> Along:
    """Return the heights of a cut with those at which a layer meets a flank."""
    places = cut.near + steps[:, None] * (cut.far - cut.near)
    found = [
        cut.above,
        *_crossings(cut.above, places - cut.left),
        *_crossings(cut.above, places - cut.right),
    ]
    low, high = max(window.low, 0.0), min(window.high, cut.height)
    above = np.unique(np.concatenate([*found, [low, high]]))
    return above[(above >= low) & (above <= high)]


def _crossings(above: Along, gaps: NDArray[np.float64]) -> Iterator[Along]:
    """Yield the heights at which gaps (layers + 1, points) change their sign."""
    for gap in gaps:
        start = np.flatnonzero(gap[:-1] * gap[1:] < 0.0)
        part = gap[start] / (gap[start] - gap[start + 1])
        yield above[start] + part * (above[start + 1] - above[start])


def layers_shown(sequence: Sequence, cut: BladeCut, height: float) -> int:
    """Return how many layers show at a height above the edge.

    Parameters
    ----------
    sequence : tuple of (str, float)
        The billet's layers across its thickness [m, or any one unit].
    cut : BladeCut
        The blade and the blank around it.
    height : float
        Above the edge [m].

    Returns
    -------
    int
        Layers, those cut at a flank counted in [1].
    """
    left, right, near, far = (
        float(np.interp(height, cut.above, side))
        for side in (cut.left, cut.right, cut.near, cut.far)
    )
    bounds = np.clip(near + _steps(sequence) * (far - near), left, right)
    return int(np.count_nonzero(np.diff(bounds) > NOTHING))


def coarser(sequence: Sequence, thickness: float, least: float) -> tuple[Sequence, int]:
    """Return a sequence coarse enough to be drawn, and how many layers a band holds.

    Parameters
    ----------
    sequence : tuple of (str, float)
        Layers across a thickness [m, or any one unit].
    thickness : float
        What they add up to [m].
    least : float
        The thinnest band that can be drawn [m].

    Returns
    -------
    tuple of (str, float), int
        Shares of the thickness [1], and layers of one steel in one drawn band [1]; 1
        where every layer is drawn.

    Notes
    -----
    Neighbours are sorted by steel, so each steel keeps its share to the last digit.
    Layers thick enough to be drawn, such as a core, stay as they are.

    Examples
    --------
    >>> fine = (("a", 1.0), ("b", 1.0)) * 4
    >>> coarser(fine, 0.008, 0.002)
    ((('a', 0.25), ('b', 0.25), ('a', 0.25), ('b', 0.25)), 2)
    """
    result: list[tuple[str, float]] = []
    told, most = shares(sequence), 1
    for thin, run in _runs(told, least / thickness):
        factor = 1
        if thin:
            mean = sum(share for _key, share in run) / len(run)
            factor = int(np.ceil(least / thickness / mean - 1e-9))
        result += _sorted_by_steel(run, factor)
        most = max(most, factor)
    return merged(result), most


def _runs(sequence: Sequence, least: float) -> Iterator[tuple[bool, Sequence]]:
    """Yield runs of layers, and whether they are too thin on the whole.

    A thick layer stands alone; those between thick ones are judged together, so that
    a thin bright layer between two dark ones is not too thin by itself.
    """
    typical = float(np.median([share for _key, share in sequence]))
    thick = max(least, 8.0 * typical)
    run: list[tuple[str, float]] = []
    for layer in sequence:
        if layer[1] < thick:
            run.append(layer)
            continue
        if run:
            yield _too_thin(run, least), tuple(run)
        yield False, (layer,)
        run = []
    if run:
        yield _too_thin(run, least), tuple(run)


def _too_thin(run: list[tuple[str, float]], least: float) -> bool:
    return sum(share for _key, share in run) < least * len(run)


def _sorted_by_steel(run: Sequence, factor: int) -> Iterator[tuple[str, float]]:
    """Yield groups of layers, each sorted by steel as its first group was."""
    if factor == 1:
        yield from run
        return
    steels = list(dict.fromkeys(key for key, _share in run))
    group = factor * len(steels)
    count = max(1, round(len(run) / group))
    for place in range(count):
        end = len(run) if place == count - 1 else (place + 1) * group
        part = run[place * group : end]
        for steel in steels:
            total = sum(share for key, share in part if key == steel)
            if total:
                yield steel, total


def focused(sequence: Sequence, low: float, high: float) -> Sequence:
    """Return a sequence whose layers outside a part of the thickness are one each.

    Parameters
    ----------
    sequence : tuple of (str, float)
        The billet's layers across its thickness [m, or any one unit].
    low, high : float
        The part looked at, as shares of the thickness from the near face [1].

    Returns
    -------
    tuple of (str, float)
        As thick as before; true inside, one band on either side of it [1].

    Examples
    --------
    >>> focused((("a", 0.25), ("b", 0.25), ("a", 0.25), ("b", 0.25)), 0.6, 0.7)
    (('a', 0.5), ('a', 0.25), ('b', 0.25))
    """
    told, ends = shares(sequence), _steps(sequence)
    first = int(np.searchsorted(ends, low, side="right")) - 1
    last = int(np.searchsorted(ends, high, side="left"))
    first, last = max(first, 0), min(max(last, first + 1), len(told))
    kept = list(told[first:last])
    if first > 0:
        kept.insert(0, (told[0][0], float(ends[first])))
    if last < len(told):
        kept.append((told[-1][0], float(1.0 - ends[last])))
    return tuple(kept)
