"""How deep a fire takes the carbon out of the skin, against what is ground off."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.blank import Allowance
from billets.physics.constants import GAS_CONSTANT
from billets.physics.errors import Flag, PlanError, _

SKIN_MARGIN = 0.0001
"""To be ground off beyond the decarburised skin; common practice, no source [m]."""

COOLEST, HOTTEST = 1150.0, 1500.0
"""Steel temperatures the loss of carbon is reckoned for [K]."""


def decarburised_depth(temperature: Number, duration: Number) -> Number:
    """Return how deep the steel loses carbon in an oxidising fire.

    Parameters
    ----------
    temperature : float or array (draws,)
        Of the steel, 1150 to 1500 [K].
    duration : float or array (draws,)
        Time at heat [s].

    Returns
    -------
    float or array (draws,)
        Depth, the root of diffusivity times time; on the high side [m].

    References
    ----------
    Diffusion of carbon in austenite: Callister, Rethwisch, Materials Science and
    Engineering, 8th ed. (2010), Table 5.2. Quoted from memory, verify.
    """
    if not np.all((temperature >= COOLEST) & (temperature <= HOTTEST)):
        raise PlanError(
            _("Loss of carbon is reckoned from {low} to {high}; change the heat."),
            field="temperature",
            low=COOLEST,
            high=HOTTEST,
        )
    diffusivity = 2.3e-5 * np.exp(-148000.0 / (GAS_CONSTANT * temperature))
    return np.sqrt(diffusivity * duration)


def skin_flags(
    allowance: Allowance, temperature: float = 1373.15, duration: float = 1800.0
) -> tuple[Flag, ...]:
    """Return a flag if grinding does not reach below the decarburised skin.

    Parameters
    ----------
    allowance : Allowance
        What is ground off.
    temperature : float
        Of the steel; 1100 degrees Celsius unless told otherwise [K].
    duration : float
        Time at heat; half an hour unless told otherwise [s].

    Returns
    -------
    tuple of Flag
        One amber flag, or none.
    """
    skin = float(decarburised_depth(temperature, duration))
    if allowance.side >= skin + SKIN_MARGIN:
        return ()
    said = {"side": allowance.side, "needed": skin + SKIN_MARGIN}
    message = _(
        "Grinding {side} off each side may leave steel that has lost carbon; allow "
        "{needed}, or forge in a reducing fire."
    )
    return (Flag(message=message, field="allowance", values=MappingProxyType(said)),)
