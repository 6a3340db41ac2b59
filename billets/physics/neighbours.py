"""Which layers of a billet lie at the edge of its blade, and which touch."""

from __future__ import annotations

import math
from itertools import groupby, pairwise
from operator import itemgetter

from billets.physics.layers import Sequence


def edge_steels(sequence: Sequence, spine: float, edge: float) -> tuple[str, ...]:
    """Return the steels that come out at the edge of a blade.

    Parameters
    ----------
    sequence : tuple of (str, float)
        Layers across the thickness [m, or any one unit].
    spine, edge : float
        Thickness of the blade at the spine and behind the edge [m].

    Returns
    -------
    tuple of str
        Keys of the layers in the middle of the thickness, as much of them as the edge
        is thick.
    """
    whole = math.fsum(map(itemgetter(1), sequence))
    share = min(edge / spine, 1.0) if spine > 0.0 else 0.0
    low, high = (0.5 - share / 2.0) * whole, (0.5 + share / 2.0) * whole
    found, end = [], 0.0
    for key, thickness in sequence:
        start, end = end, end + thickness
        if end >= low and start <= high:
            found.append(key)
    return tuple(dict.fromkeys(found))


def touching(sequence: Sequence) -> tuple[tuple[str, str], ...]:
    """Return every pair of steels that touch in a billet, each once.

    Parameters
    ----------
    sequence : tuple of (str, float)
        Layers across the thickness [m, or any one unit].

    Returns
    -------
    tuple of (str, str)
        Pairs in the order they are met.
    """
    keys = [key for key, _layers in groupby(sequence, itemgetter(0))]
    pairs = (tuple(sorted(pair)) for pair in pairwise(keys))
    return tuple((one, other) for one, other in dict.fromkeys(pairs))
