"""Formulas nothing is planned by: what others say, to hold ours against.

Contents are mass per cent, temperatures kelvin.
"""

from __future__ import annotations

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import PlanError, _
from billets.physics.grades import Grade
from billets.physics.hardness import J406_FULL, J406_HALF, rising_powers
from billets.physics.state import every, typical
from billets.physics.transformation import require_steel


def lower_critical_hougardy(grade: Grade) -> float:
    """Return Ac1 by Hougardy.

    Parameters
    ----------
    grade : Grade
        The steel.

    Returns
    -------
    float
        Ac1 [K].

    References
    ----------
    H. P. Hougardy in Werkstoffkunde Stahl, vol. 1 (1984), as quoted in a damaged
    print whose coefficients agree with one another.
    """
    require_steel(grade)
    return (
        739.0 - 22.0 * grade.carbon - 7.0 * grade.manganese + 2.0 * grade.silicon
        + 14.0 * grade.chromium + 13.0 * grade.molybdenum - 13.0 * grade.nickel
        + ZERO_CELSIUS
    )  # fmt: skip


def upper_critical_hougardy(grade: Grade) -> float:
    """Return Ac3 by Hougardy.

    Parameters
    ----------
    grade : Grade
        The steel, below 0.7 % carbon [%].

    Returns
    -------
    float
        Ac3 [K].

    References
    ----------
    H. P. Hougardy in Werkstoffkunde Stahl, vol. 1 (1984), quoted from memory, verify.
    """
    require_steel(grade)
    _check(grade.carbon, 0.0, 0.7)
    return (
        902.0 - 255.0 * grade.carbon - 11.0 * grade.manganese + 19.0 * grade.silicon
        - 5.0 * grade.chromium + 13.0 * grade.molybdenum - 20.0 * grade.nickel
        + 55.0 * grade.vanadium + ZERO_CELSIUS
    )  # fmt: skip


def martensite_start_ingber(grade: Grade, carbon: Number) -> Number:
    """Return Ms by Ingber and Kunert, made for steels with much carbon.

    Parameters
    ----------
    grade : Grade
        The steel; its carbon is not looked at.
    carbon : float or array (draws,)
        Carbon in solution, up to 1.9 [%].

    Returns
    -------
    float or array (draws,)
        Ms [K].

    References
    ----------
    Ingber and Kunert, Steel Research International 93 (2022) 2100576.
    """
    require_steel(grade)
    _check(carbon, 0.0, 1.9)
    start: Number = (
        530.2 - 290.3 * carbon - 35.5 * grade.manganese - 6.8 * grade.silicon
        - 17.2 * grade.nickel - 20.8 * grade.chromium - 10.4 * grade.molybdenum
        - 75.0 * (1.0 - np.exp(-0.96 * carbon)) + ZERO_CELSIUS
    )  # fmt: skip
    return start


def martensite_start_andrews(grade: Grade, carbon: Number) -> Number:
    """Return Ms by the straight line of Andrews.

    Parameters
    ----------
    grade : Grade
        The steel; its carbon is not looked at.
    carbon : float or array (draws,)
        Carbon in solution, 0.1 to 0.6; above it runs 30 to 40 K low [%].

    Returns
    -------
    float or array (draws,)
        Ms [K].

    References
    ----------
    K. W. Andrews, Journal of the Iron and Steel Institute 203 (1965) 721-727, as a
    programme note of the University of Cambridge has it; range quoted from memory.
    """
    require_steel(grade)
    _check(carbon, 0.1, 0.6)
    return (
        539.0 - 423.0 * carbon - 30.4 * grade.manganese - 17.7 * grade.nickel
        - 12.1 * grade.chromium - 7.5 * grade.molybdenum + ZERO_CELSIUS
    )  # fmt: skip


def as_quenched_j406(carbon: Number) -> Number:
    """Return the hardness of full martensite by SAE J406.

    Parameters
    ----------
    carbon : float or array (draws,)
        Carbon in solution, 0.10 to 0.65 [%].

    Returns
    -------
    float or array (draws,)
        Hardness [HRC].

    References
    ----------
    SAE J406, quoted from memory, verify.
    """
    _check(carbon, 0.10, 0.65)
    return rising_powers(carbon, J406_FULL)


def half_martensite(carbon: Number) -> Number:
    """Return the hardness where half is martensite, by SAE J406.

    Parameters
    ----------
    carbon : float or array (draws,)
        Carbon in solution, 0.10 to 0.70 [%].

    Returns
    -------
    float or array (draws,)
        Hardness [HRC]: what the middle has if the ideal diameter is just reached.

    References
    ----------
    SAE J406, quoted from memory, verify.
    """
    _check(carbon, 0.10, 0.70)
    return rising_powers(carbon, J406_HALF)


def _check(carbon: Number, low: float, high: float) -> None:
    if not every((carbon >= low) & (carbon <= high)):
        raise PlanError(
            _("The formula holds from {low} to {high} % carbon, not at {value} %."),
            field="carbon",
            low=low,
            high=high,
            value=typical(carbon),
        )
