"""How fast carbon and alloying wander in hot steel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.constants import GAS_CONSTANT, ZERO_CELSIUS
from billets.physics.errors import PlanError, _
from billets.physics.state import every, typical

COLDEST, HOTTEST = 727.0 + ZERO_CELSIUS, 1495.0 + ZERO_CELSIUS
"""Between these steel can be austenite, iron-carbon diagram, from memory [K]."""

LEE_MOST_CARBON = 1.2
"""Carbon up to which the law with carbon is used, quoted from memory, verify [%]."""


@dataclass(frozen=True, slots=True)
class Diffusivity:
    """An Arrhenius law: start times exp(-energy/(R T)).

    Attributes
    ----------
    start : float
        Factor before the exponential [m^2/s].
    energy : float
        Activation energy [J/mol].
    source : str
        Where both come from.
    """

    start: float
    energy: float
    source: str


DIFFUSIVITIES: Mapping[str, Diffusivity] = MappingProxyType(
    {
        "carbon": Diffusivity(
            2.3e-5, 148e3,
            "W. D. Callister, Materials Science and Engineering: constants of an "
            "exercise; its table quoted from memory, verify",
        ),
        "nickel": Diffusivity(
            0.77e-4, 280.5e3,
            "Hirano, Cohen and Averbach 1961, quoted from memory, verify",
        ),
        "chromium": Diffusivity(
            10.8e-4, 291.8e3,
            "Bowen and Leak 1970, quoted from memory, verify; Ruzickova and Million "
            "1981 have 284 kJ/mol",
        ),
        "manganese": Diffusivity(
            0.16e-4, 261.7e3,
            "Nohara and Hirano 1971, quoted from memory, verify",
        ),
        "iron": Diffusivity(
            5.0e-5, 284e3,
            "W. D. Callister, Materials Science and Engineering, quoted from memory, "
            "verify; a tracer in iron with 0.4 atom per cent of manganese gave "
            "7.90e-15 m2/s at 1250 °C, Million and others 1993",
        ),
    }
)  # fmt: skip
"""Diffusion in austenite. Carbon's is the dilute value, half of that at 0.85 % carbon:
it levels too slowly, which errs on the safe side."""


def diffusivity(element: str, temperature: Number) -> Number:
    """Return how fast an element wanders in austenite.

    Parameters
    ----------
    element : str
        A key of `DIFFUSIVITIES`.
    temperature : float or array (draws,)
        Of the steel, 727 to 1495 °C [K].

    Returns
    -------
    float or array (draws,)
        Diffusivity [m^2/s].

    References
    ----------
    Beside each element in `DIFFUSIVITIES`; nickel, chromium and manganese are quoted
    from memory, verify: their order of size is sure, a factor of 2 is not.

    Examples
    --------
    >>> float(diffusivity("carbon", 1473.15))
    1.30e-10
    """
    _check_austenite(temperature)
    law = DIFFUSIVITIES[element]
    found: Number = law.start * np.exp(-law.energy / (GAS_CONSTANT * temperature))
    return found


def carbon_diffusivity_lee(carbon: Number, temperature: Number) -> Number:
    """Return how fast carbon wanders where much of it is in solution already.

    Parameters
    ----------
    carbon : float or array (draws,)
        In solution, 0 to 1.2 [%].
    temperature : float or array (draws,)
        Of the steel, 727 to 1495 °C [K].

    Returns
    -------
    float or array (draws,)
        Diffusivity [m^2/s]; about twice the dilute value at 0.85 %.

    Notes
    -----
    For comparison. The terms for alloying are left out.

    References
    ----------
    Lee, Matlock and Van Tyne, ISIJ International 51 (2011) 1903, quoted from memory,
    verify.
    """
    _check_austenite(temperature)
    if not every((carbon >= 0.0) & (carbon <= LEE_MOST_CARBON)):
        raise PlanError(
            _("This law of diffusion holds up to {most} % carbon, not at {value} %."),
            field="carbon",
            value=typical(carbon),
            most=LEE_MOST_CARBON,
        )
    energy = 1e3 * (144.3 - 15.0 * carbon + 0.37 * carbon**2)
    found: Number = (
        1e-4 * (0.146 - 0.036 * carbon) * np.exp(-energy / (GAS_CONSTANT * temperature))
    )
    return found


def _check_austenite(temperature: Number) -> None:
    if not every((temperature >= COLDEST) & (temperature <= HOTTEST)):
        raise PlanError(
            _(
                "Layers level in hot steel, from {least} to {most}, not at "
                "{temperature}; correct the heat."
            ),
            field="temperature",
            temperature=typical(temperature),
            least=COLDEST,
            most=HOTTEST,
        )
