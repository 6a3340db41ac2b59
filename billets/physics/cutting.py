"""How many pieces of which length from how many bars."""

from __future__ import annotations

import math
from dataclasses import dataclass

from billets.physics.errors import PlanError, _


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLine:
    """One line of the cut list.

    Attributes
    ----------
    pieces : int
        Pieces to cut [1].
    length : float
        Length of each [m].
    per_bar : int
        Pieces one bar gives, kerfs counted [1].
    bars : int
        Bars to take [1].
    left : float
        What is left of the last bar [m].
    """

    pieces: int
    length: float
    per_bar: int
    bars: int
    left: float


def cut_line(pieces: int, length: float, bar_length: float, kerf: float) -> CutLine:
    """Return how a number of equal pieces is cut from bars.

    Parameters
    ----------
    pieces : int
        Pieces wanted [1].
    length, bar_length, kerf : float
        Of a piece, of a bar, and of the saw's cut [m].

    Returns
    -------
    CutLine
        Bars to take and what is left; lengths in [m].

    Examples
    --------
    >>> line = cut_line(8, 0.150, 1.0, 0.0016)
    >>> line.per_bar, line.bars, round(line.left, 4)
    (6, 2, 0.6968)
    """
    if length > bar_length:
        raise PlanError(
            _(
                "A piece of {length} does not fit on a bar of {bar_length}; "
                "shorten the stack."
            ),
            field="length",
            length=length,
            bar_length=bar_length,
        )
    # A kerf lies between two pieces, so the last piece of a full bar needs none.
    per_bar = math.floor((bar_length + kerf) / (length + kerf) + 1e-9)
    bars = math.ceil(pieces / per_bar)
    in_last = pieces - (bars - 1) * per_bar
    left = max(0.0, bar_length - in_last * (length + kerf))
    return CutLine(pieces=pieces, length=length, per_bar=per_bar, bars=bars, left=left)
