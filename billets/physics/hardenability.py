"""How deep a steel has to harden in a quench, and whether it does.

The severity of a quench is how fast it takes heat over how fast steel brings it [1/m];
the trade gives it per inch.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.errors import Flag, PlanError, _
from billets.physics.grades import Grade
from billets.physics.ideal_diameter import INCH, ideal_diameter
from billets.physics.state import every, typical

SEVERITIES: Mapping[str, float] = MappingProxyType(
    {"water": 1.0 / INCH, "fast_oil": 0.7 / INCH, "oil": 0.5 / INCH, "air": 0.02 / INCH}
)
"""Severity by quench class, common practice, no source; that of still water and air
from Grossmann and Bain, quoted from memory, verify. Names are loose and the bath's
own value wins [1/m]."""

THROUGH, PARTLY = 1.5, 1.0
"""Ideal over needed diameter from which a blade hardens through, and from which it
hardens at all; common practice, no source [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hardening:
    """Whether a section hardens in a quench.

    Attributes
    ----------
    ratio : float or array (draws,)
        Ideal over required diameter [1].
    ideal, required : float or array (draws,)
        Those diameters [m].
    verdict : str
        "through", "partly" (the middle may not be all martensite) or "edge" (only
        what is thinner hardens).
    flags : tuple of Flag
        Contents outside the method's range.
    """

    ratio: Number
    ideal: Number
    required: Number
    verdict: str
    flags: tuple[Flag, ...] = ()


def severity_of(quench: str) -> float:
    """Return the severity a quench has by habit, until the shop knows its bath's.

    Parameters
    ----------
    quench : str
        A quench class of `SEVERITIES`.

    Returns
    -------
    float
        Severity [1/m].
    """
    if quench not in SEVERITIES:
        raise PlanError(
            _("No quench is known as “{value}”; choose water, fast oil, oil or air."),
            field="quench_class",
            value=quench,
        )
    return SEVERITIES[quench]


def required_diameter(
    thickness: Number, severity: Number, shape: str = "plate"
) -> Number:
    """Return the ideal diameter at which a section just hardens to its middle.

    Parameters
    ----------
    thickness : float or array (draws,)
        Of the plate, or diameter of the bar [m].
    severity : float or array (draws,)
        Of the quench [1/m].
    shape : str
        "plate" or "bar".

    Returns
    -------
    float or array (draws,)
        Ideal diameter needed [m].

    Notes
    -----
    By the time the middle takes to lose half its heat. The exact series is met to
    0.3 % for plates of 2 to 8 mm and to 2 % for bars.

    References
    ----------
    Grossmann's half-temperature time, as Grossmann and Bain, Principles of Heat
    Treatment, have it, quoted from memory; the closed form is our own.
    """
    if shape not in _SHAPES:
        raise PlanError(_("A section is a plate or a bar."), field="shape", value=shape)
    if not every((thickness > 0.0) & (severity > 0.0)):
        raise PlanError(
            _(
                "Depth of hardening needs a thickness and a severity of the quench "
                "above zero; correct the bath."
            ),
            field="severity",
        )
    sides, core = _SHAPES[shape]
    surface = 0.6931 / (sides * severity * thickness)
    needed: Number = thickness * np.sqrt((surface + core) / 0.2005)
    return needed


_SHAPES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"plate": (1.0, 0.39), "bar": (2.0, 0.20)}
)


def hardening_ratio(
    grade: Grade,
    carbon: Number | None,
    thickness: Number,
    severity: Number,
    shape: str = "plate",
) -> Hardening:
    """Return whether a section of a steel hardens in a quench.

    Parameters
    ----------
    grade : Grade
        The steel.
    carbon : float or array (draws,) or None
        Carbon after levelling, None for that of the grade [%].
    thickness : float or array (draws,)
        Of the plate, or diameter of the bar [m].
    severity : float or array (draws,)
        Of the quench [1/m].
    shape : str
        "plate" or "bar".

    Returns
    -------
    Hardening
        Ratio [1], diameters [m] and verdict. The diameters are those of half
        martensite: hence through only from a ratio of 1.5.
    """
    ideal = ideal_diameter(grade, carbon)
    required = required_diameter(thickness, severity, shape)
    ratio = ideal.value / required
    middle = typical(ratio)
    verdict = (
        "through" if middle >= THROUGH else "partly" if middle >= PARTLY else "edge"
    )
    return Hardening(
        ratio=ratio,
        ideal=ideal.value,
        required=required,
        verdict=verdict,
        flags=ideal.flags,
    )
