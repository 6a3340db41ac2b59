"""What one weighed billet teaches about a factor."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from billets.physics.errors import PlanError, _
from billets.physics.factors import FactorBelief

OBSERVED_SPREAD: Mapping[str, float] = MappingProxyType(
    {"scale_strength": 0.30, "grind": 0.22, "trim": 0.27}
)
"""Standard deviation of the logarithm of one billet's figure [1].

Common practice, no source.
"""

MOST_OFF = 4.0
"""A weigh-in that would change a factor by more than this is a mistake [1]."""


def observed_factor(now: float, lost: float, predicted: float) -> float:
    """Return the factor that would have predicted what the scales say.

    Parameters
    ----------
    now : float
        The factor the prediction was made with [1].
    lost : float
        Steel lost by the scales [kg].
    predicted : float
        Steel lost by the plan [kg].

    Returns
    -------
    float
        Factor [1].
    """
    if not 0.0 < lost <= MOST_OFF * predicted:
        raise PlanError(
            _(
                "A loss of {lost} where {predicted} was expected is not learnt from: "
                "check the piece, the flux and the can, and weigh again."
            ),
            field="lost",
            lost=lost,
            predicted=predicted,
        )
    return now * lost / predicted


def learnt(belief: FactorBelief, observed: float, spread: float) -> FactorBelief:
    """Return the belief after one billet.

    Parameters
    ----------
    belief : FactorBelief
        Before.
    observed : float
        This billet's factor, the mean of its weigh-ins: one figure a billet, or the
        belief would grow surer than it may [1].
    spread : float
        Standard deviation of the logarithm of that figure [1].

    Returns
    -------
    FactorBelief
        After: both logarithms averaged by how sure they are.
    """
    before, weight = 1.0 / belief.ln_sd**2, 1.0 / spread**2
    mean = (before * math.log(belief.median) + weight * math.log(observed)) / (
        before + weight
    )
    return FactorBelief(math.exp(mean), (before + weight) ** -0.5, belief.billet_ln_sd)
