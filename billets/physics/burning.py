"""How hot is too hot: the line where steel starts to melt, and the limits below it."""

from __future__ import annotations

from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import PlanError, _

LEAST_CARBON, MOST_CARBON = 0.17, 2.11
"""Carbon between which the line runs, mass fraction in percent [%]."""

AMBER_MARGIN = 150.0
"""Below the solidus by less than this, look twice; common practice, no source [K]."""

RED_MARGIN = 100.0
"""Below it by less than this, steel may burn; common practice, no source [K]."""


def solidus(carbon: float) -> float:
    """Return the temperature at which a steel starts to melt.

    Parameters
    ----------
    carbon : float
        Carbon, mass fraction in percent, up to 2.11 [%].

    Returns
    -------
    float
        Solidus [K].

    Notes
    -----
    A straight line between 1495 °C at 0.17 % and 1147 °C at 2.11 %. Below 0.17 % the
    first of these is kept: iron itself melts higher, nickel a little lower (1455 °C),
    and in any stack with a knife steel that steel rules. Burning starts well below
    the line, since phosphorus and sulphur gather between the grains.

    References
    ----------
    Points of the iron-carbon diagram; quoted from memory, verify.
    """
    if not 0.0 <= carbon <= MOST_CARBON:
        raise PlanError(
            _(
                "The carbon of steel lies between {low} and {high} %, not at "
                "{value} %; correct the steel."
            ),
            field="steel",
            low=0.0,
            high=MOST_CARBON,
            value=carbon,
        )
    inside = max(carbon, LEAST_CARBON)
    return 1495.0 - 179.38 * (inside - LEAST_CARBON) + ZERO_CELSIUS


def amber_limit(carbon: float) -> float:
    """Return the steel temperature [K] from which to look twice, for carbon [%]."""
    return solidus(carbon) - AMBER_MARGIN


def red_limit(carbon: float) -> float:
    """Return the steel temperature [K] from which steel may burn, for carbon [%]."""
    return solidus(carbon) - RED_MARGIN
