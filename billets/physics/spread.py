"""How far a bar spreads sideways under narrow flat dies.

Good only for counting squeezes and turns: dies are rounded and the smith squares
the edge, so the planned section rules the chain of masses, not this.
"""

from __future__ import annotations

import numpy as np

from billets.physics import Number
from billets.physics.errors import PlanError, _

BITE_LOW, BITE_HIGH = 0.25, 2.0
"""Bite over width for which the spread coefficient was fitted [1]."""


def spread_coefficient(bite: Number, width: Number) -> Number:
    """Return the share of a squeeze that goes sideways.

    Parameters
    ----------
    bite : float or array (draws,)
        Length of bar under the die at one squeeze [m].
    width : float or array (draws,)
        Width of the bar before the squeeze [m].

    Returns
    -------
    float or array (draws,)
        Exponent s in w1/w0 = (h0/h1)^s [1].

    Notes
    -----
    Flat tools, about 1000 °C, bite over width 0.25 to 2; about 25 % either way.

    References
    ----------
    Tomlinson and Stringer, J. Iron Steel Inst. 193 (1959) 157-162; quoted from
    memory, verify.
    """
    ratio = bite / width
    if not np.all((ratio >= BITE_LOW) & (ratio <= BITE_HIGH)):
        raise PlanError(
            _(
                "Spread is known for bites of {low} to {high} times the width; "
                "take a bite of {least_length} to {most_length}."
            ),
            field="bite",
            low=BITE_LOW,
            high=BITE_HIGH,
            least_length=BITE_LOW * width,
            most_length=BITE_HIGH * width,
        )
    return 0.14 + 0.36 * ratio - 0.054 * ratio**2


def squeezed(
    width: Number, height: Number, to_height: Number, bite: Number
) -> tuple[Number, Number]:
    """Return how wide a bar gets in one squeeze, and by how much it grows longer.

    Parameters
    ----------
    width, height : float or array (draws,)
        Section before the squeeze [m].
    to_height : float or array (draws,)
        Height after it [m].
    bite : float or array (draws,)
        Length of bar under the die [m].

    Returns
    -------
    width : float or array (draws,)
        Width after the squeeze [m].
    stretch : float or array (draws,)
        New length of the squeezed part over the old one [1].

    References
    ----------
    As for `spread_coefficient`; the two exponents add up to one, which keeps the
    volume.
    """
    reduction = height / to_height
    share = spread_coefficient(bite, width)
    return width * reduction**share, reduction ** (1.0 - share)
