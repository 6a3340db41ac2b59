"""A core between two jackets, as it shows on a blade that is ground from it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

import numpy as np

from billets.physics.blade_cut import BladeCut
from billets.physics.layers import Sequence, shares
from billets.physics.outline import Along


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreShown:
    """Where a core shows, measured in a cut.

    Attributes
    ----------
    steel : str
        Key of its steel.
    near, far : float
        Height of the boundary line above the edge on either side; the height of the
        cut where no jacket is left on that side [m].
    margin : float
        Core left on the thinner side of the edge, at the top of the edge bevel; below
        zero where the edge lies in a jacket [m].
    """

    steel: str
    near: float
    far: float
    margin: float


def core_shown(sequence: Sequence, cut: BladeCut, core: int) -> CoreShown:
    """Return where a layer shows at the flanks and what is left of it at the edge.

    Parameters
    ----------
    sequence : tuple of (str, float)
        The billet's layers across its thickness [m, or any one unit].
    cut : BladeCut
        The blade and the blank around it.
    core : int
        Place of the core in the sequence [1].

    Returns
    -------
    CoreShown
        Boundary lines and margin.

    Notes
    -----
    Plane geometry: a jacket begins to show where its blade is as thick as the core.
    """
    told = shares(sequence)
    ends = [0.0, *accumulate(share for _key, share in told)]
    deep = cut.far - cut.near
    # how much of the core the grind has taken on each side; below zero it is covered
    near = cut.left - (cut.near + ends[core] * deep)
    far = cut.near + ends[core + 1] * deep - cut.right
    edge = min(float(np.interp(cut.shoulder, cut.above, one)) for one in (near, far))
    return CoreShown(
        steel=told[core][0],
        near=_covered_from(cut.above, near),
        far=_covered_from(cut.above, far),
        margin=edge,
    )


def middle_layer(sequence: Sequence) -> int:
    """Return the place of the layer that holds the middle of the thickness [1].

    >>> middle_layer((("a", 1.0), ("b", 2.0), ("a", 1.0)))
    1
    """
    ends = accumulate(share for _key, share in shares(sequence))
    return next(place for place, end in enumerate(ends) if end >= 0.5)


def _covered_from(above: Along, bare: Along) -> float:
    """Return the height at which a jacket begins to cover the core, going up."""
    covered = np.flatnonzero(bare < 0.0)
    if not covered.size:
        return float(above[-1])
    first = int(covered[0])
    if first == 0:
        return 0.0
    part = bare[first - 1] / (bare[first - 1] - bare[first])
    return float(above[first - 1] + part * (above[first] - above[first - 1]))
