"""What a billet holds across its thickness: contents on a fine grid, evening out.

Every cell of the grid holds the same mass, so that the mean over the cells is the mean
by mass and evening out keeps it exactly. A cell also knows which steel it was cut from.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.float64]

MOST_CELLS = 8192
"""Cells beyond which a finer grid tells nothing more [1]."""

LEAST_CELLS, CELLS_IN_LAYER = 256, 8
"""Cells a stack starts with at least, and in its thinnest layer where it can be [1]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """Contents across the thickness of a billet.

    Attributes
    ----------
    contents : array (elements, cells)
        Of each element, mass fraction in percent [%].
    steels : array of int (cells,)
        Which steel each cell was cut from.
    """

    contents: Rows
    steels: NDArray[np.intp]

    @property
    def cells(self) -> int:
        """How fine it is [1]."""
        return self.steels.size


def laid(masses: Sequence[float], kinds: Sequence[int], contents: Rows) -> Profile:
    """Return the profile of a stack as it is laid.

    Parameters
    ----------
    masses : sequence of float
        Of the layers, from top to bottom [any one unit].
    kinds : sequence of int
        Steel of each layer.
    contents : array (elements, steels)
        What each steel holds [%].

    Returns
    -------
    Profile
        A cell that two layers meet in holds the mean of its parts, so that nothing is
        lost to the grid.
    """
    thinnest, whole = min(masses), math.fsum(masses)
    wanted = math.ceil(CELLS_IN_LAYER * whole / thinnest)
    cells = _smooth(min(max(wanted, LEAST_CELLS), MOST_CELLS))
    ends = np.concatenate(([0.0], np.cumsum(masses) / whole))
    ends[-1] = 1.0
    told = np.asarray(kinds)
    middles = (np.arange(cells) + 0.5) / cells
    inside = np.minimum(np.searchsorted(ends, middles, "right") - 1, told.size - 1)
    return Profile(
        contents=_averaged(ends, contents[:, told], cells), steels=told[inside]
    )


def _averaged(ends: Rows, values: Rows, cells: int) -> Rows:
    """Return steps (elements, steps) between ends (0 to 1) as means over cells."""
    sums = np.concatenate(
        (np.zeros((len(values), 1)), np.cumsum(values * np.diff(ends), axis=1)), axis=1
    )
    edges = np.arange(cells + 1) / cells
    found = np.array([np.interp(edges, ends, row) for row in sums])
    return np.diff(found, axis=1) * cells


def regridded(profile: Profile, most: int) -> Profile:
    """Return a profile on about as many cells, but no more than asked for.

    Parameters
    ----------
    profile : Profile
        Before.
    most : int
        Cells at most [1].

    Returns
    -------
    Profile
        The same, its means kept. The number of cells has small factors only: with a
        large one the transforms of `evened` take three times as long.
    """
    cells = _smooth(min(profile.cells, most))
    if cells == profile.cells:
        return profile
    ends = np.arange(profile.cells + 1) / profile.cells
    middles = ((np.arange(cells) + 0.5) * profile.cells / cells).astype(int)
    return Profile(
        contents=_averaged(ends, profile.contents, cells),
        steels=profile.steels[middles],
    )


def _smooth(most: int) -> int:
    """Return the largest number up to a given one whose factors are 2, 3, 5 and 7.

    >>> _smooth(479), _smooth(480)
    (450, 480)
    """
    return next(one for one in range(most, 0, -1) if _rest(one) == 1)


def _rest(number: int) -> int:
    for factor in (2, 3, 5, 7):
        while number % factor == 0:
            number //= factor
    return number


def without_cells(profile: Profile, count: int) -> Profile:
    """Return a profile with some cells taken off either face, never all [1]."""
    off = min(count, (profile.cells - 1) // 2)
    if off <= 0:
        return profile
    return Profile(
        contents=profile.contents[:, off:-off], steels=profile.steels[off:-off]
    )


def stacked_up(profile: Profile, pieces: int, *, turned: bool) -> Profile:
    """Return pieces of a billet on one another, every second turned over if asked.

    Parameters
    ----------
    profile : Profile
        One piece.
    pieces : int
        How many [1].
    turned : bool
        Whether every second piece is turned over.

    Returns
    -------
    Profile
        The new stack.
    """
    piece = regridded(profile, max(MOST_CELLS // pieces, 1))
    over = upside_down(piece) if turned else piece
    return joined([over if place % 2 else piece for place in range(pieces)])


def upside_down(profile: Profile) -> Profile:
    """Return a billet turned over."""
    return Profile(contents=profile.contents[:, ::-1], steels=profile.steels[::-1])


def joined(parts: Sequence[Profile]) -> Profile:
    """Return billets laid on one another, top first; all cells of one mass."""
    return Profile(
        contents=np.concatenate([one.contents for one in parts], axis=1),
        steels=np.concatenate([one.steels for one in parts]),
    )


def plain(kind: int, contents: Rows, cells: int) -> Profile:
    """Return a piece of one steel.

    Parameters
    ----------
    kind : int
        The steel.
    contents : array (elements,)
        What it holds [%].
    cells : int
        How fine [1].

    Returns
    -------
    Profile
        The piece.
    """
    return Profile(
        contents=np.repeat(contents[:, np.newaxis], cells, axis=1),
        steels=np.full(cells, kind),
    )


def evened(profile: Profile, spread: Rows) -> Profile:
    """Return a profile after some time at heat; nothing leaves by its faces.

    Parameters
    ----------
    profile : Profile
        Before.
    spread : array (elements,)
        Diffusivity times time over the thickness squared, of each element [1].

    Returns
    -------
    Profile
        After: every wave across the thickness has fallen by its own factor.

    Notes
    -----
    The exact solution in time of the heat equation in cells: no content ever passes
    the highest or lowest of before. A layer of eight cells evens out 1.3 % too slowly,
    one of four 5 %.
    """
    moving = (spread > 0.0) & (np.ptp(profile.contents, axis=1) > 0.0)
    if not moving.any():
        return profile
    cells = profile.cells
    waves = np.arange(cells // 2 + 1)
    turn = np.exp(-0.5j * np.pi * waves / cells)
    contents = profile.contents.copy()
    held = contents[moving]
    transformed = _cosines(held, turn)
    place = np.arange(cells)
    rate = (2.0 * cells * np.sin(0.5 * np.pi * place / cells)) ** 2
    transformed *= np.exp(-np.multiply.outer(spread[moving], rate))
    contents[moving] = _from_cosines(transformed, turn)
    return replace(profile, contents=contents)


def _cosines(values: Rows, turn: NDArray[np.complex128]) -> Rows:
    """Return sums of values times cos(pi k (j + 1/2)/n), by one real transform.

    Even places first, odd ones backwards behind them; after Makhoul, IEEE
    Transactions on Acoustics, Speech and Signal Processing 28 (1980) 27, from memory.
    """
    cells = values.shape[1]
    order = np.concatenate((values[:, ::2], values[:, 1::2][:, ::-1]), axis=1)
    half = np.fft.rfft(order, axis=1) * turn
    found = np.empty_like(values)
    found[:, : half.shape[1]] = half.real
    rest = cells - half.shape[1]
    found[:, half.shape[1] :] = -half.imag[:, rest:0:-1]
    return found


def _from_cosines(found: Rows, turn: NDArray[np.complex128]) -> Rows:
    """Return the values whose cosine sums are given."""
    cells = found.shape[1]
    half = np.zeros((len(found), turn.size), dtype=complex)
    half.real = found[:, : turn.size]
    half.imag[:, 1:] = -found[:, cells - np.arange(1, turn.size)]
    order = np.fft.irfft(half / turn, n=cells, axis=1)
    values = np.empty_like(found)
    values[:, ::2] = order[:, : (cells + 1) // 2]
    values[:, 1::2] = order[:, (cells + 1) // 2 :][:, ::-1]
    return values
