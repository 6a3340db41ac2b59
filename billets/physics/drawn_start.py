"""How much steel to start with when running short costs money: from draws.

The twin of `start_mass`, which answers the same in closed form for a lognormal need.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from billets.physics.demand import check_costs, nothing_suffices
from billets.physics.start_mass import Start


def drawn_proportional_start(
    needed: NDArray[np.float64], *, short: float, spare: float
) -> Start:
    """Return the cheapest start where every kilogram short costs the same, of draws.

    Parameters
    ----------
    needed : array (draws,)
        What each draw needs, all of them finite [kg].
    short, spare : float
        Cost of a kilogram short, and to spare [currency/kg].

    Returns
    -------
    Start
        The draw at the critical ratio [kg].
    """
    check_costs(short=short, spare=spare)
    mass = float(np.quantile(needed, short / (short + spare), method="inverted_cdf"))
    lacking = float(np.mean(np.maximum(needed - mass, 0.0)))
    over = float(np.mean(np.maximum(mass - needed, 0.0)))
    return Start(
        mass=mass,
        chance=float(np.mean(needed <= mass)),
        cost=short * lacking + spare * over,
    )


def drawn_lump_start(
    needed: NDArray[np.float64],
    *,
    loss: float,
    spare: float,
    step: float | None = None,
) -> Start | None:
    """Return the cheapest start where being short costs a lump sum, of draws.

    Parameters
    ----------
    needed : array (draws,)
        What each draw needs; infinite where nothing suffices [kg].
    loss : float
        Cost of a billet that is short [currency].
    spare : float
        Cost of a kilogram more at the start [currency/kg].
    step : float or None
        What a start is a whole multiple of, if it must be [kg].

    Returns
    -------
    Start or None
        The cheapest of all starts that just suffice for one of the draws [kg]; None
        where none is cheaper than to be short for sure.
    """
    check_costs(loss=loss, spare=spare)
    starts = np.sort(needed[np.isfinite(needed)])
    if starts.size == 0:
        raise nothing_suffices()
    if step is not None:
        starts = np.ceil(starts / step - 1e-9) * step
    chances = np.searchsorted(starts, starts, side="right") / needed.size
    costs = spare * starts + loss * (1.0 - chances)
    best = int(np.argmin(costs))
    if costs[best] >= loss:
        return None
    return Start(
        mass=float(starts[best]), chance=float(chances[best]), cost=float(costs[best])
    )
