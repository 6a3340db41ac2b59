"""How many layers many chains come to, side by side, without laying a single one.

The count after a restack follows from the count before and from which steels lie
outside; `layers` does the same for one plan, layer by layer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Counts: TypeAlias = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Counted:
    """Layers of many billets.

    Attributes
    ----------
    layers : array (candidates,)
        Layers told apart [1].
    top, bottom : array (candidates,)
        Which steel lies outside, by a number of its own.
    """

    layers: Counts
    top: Counts
    bottom: Counts


def after_cut(before: Counted, pieces: Counts) -> Counted:
    """Return the layers after bars are cut and their pieces laid on one another.

    Parameters
    ----------
    before : Counted
        The layers of each bar.
    pieces : array (candidates,)
        Pieces of each; 1 leaves a bar as it is [1].

    Returns
    -------
    Counted
        One layer fewer at each joint where equal steels meet.
    """
    meet = (before.top == before.bottom).astype(np.int64)
    layers = before.layers * pieces - (pieces - 1) * meet
    return Counted(layers=layers, top=before.top, bottom=before.bottom)


def after_fold(before: Counted) -> Counted:
    """Return the layers after bars are folded: the outer steel meets itself."""
    return Counted(layers=2 * before.layers - 1, top=before.top, bottom=before.top)


def after_restack(
    before: Counted, pieces: Counts, folded: NDArray[np.bool_]
) -> Counted:
    """Return the layers after bars are cut or folded, each as told.

    Parameters
    ----------
    before : Counted
        The layers of each bar.
    pieces : array (candidates,)
        Pieces of each that is cut; 1 leaves a bar as it is [1].
    folded : array of bool (candidates,)
        Which are folded instead.

    Returns
    -------
    Counted
        The layers of each stack.
    """
    cut, fold = after_cut(before, pieces), after_fold(before)
    return Counted(
        layers=np.where(folded, fold.layers, cut.layers),
        top=before.top,
        bottom=np.where(folded, fold.bottom, cut.bottom),
    )
