"""Wood takes up water: how heavy it is, and how much it swells and shrinks."""

from __future__ import annotations

import numpy as np

from billets.physics import Number
from billets.physics.errors import PlanError, _

WORKSHOP_MOISTURE = 12.0
"""Moisture of air-dry wood, the usual basis of tables [percent of dry mass]."""

FIBRE_SATURATION = 30.0
"""Above this moisture wood neither swells nor shrinks [percent of dry mass]."""


def wood_density(gravity: Number, moisture: Number = WORKSHOP_MOISTURE) -> Number:
    """Return the density of wood at a moisture.

    Parameters
    ----------
    gravity : float or array (draws,)
        Specific gravity: dry mass over the volume at 12 % moisture [1].
    moisture : float or array (draws,)
        Moisture, 0 to 30 [percent of dry mass].

    Returns
    -------
    float or array (draws,)
        Density with its water [kg/m^3].

    References
    ----------
    Forest Products Laboratory, Wood Handbook, chapter 4. Quoted from memory, verify.
    Density as 1000 G (1 + M/100): University of Missouri, quoting GTR-190.

    Examples
    --------
    >>> round(wood_density(0.55, 12.0))
    616
    """
    _check_moisture(moisture)
    basic = gravity / (1.0 + 0.265 * _dryness(WORKSHOP_MOISTURE) * gravity)
    there = basic / (1.0 - 0.265 * _dryness(moisture) * basic)
    return 1000.0 * there * (1.0 + moisture / 100.0)


def wood_movement(
    width: Number, shrinkage: Number, moisture: Number, later: Number
) -> Number:
    """Return how much a piece of wood shrinks from one moisture to another.

    Parameters
    ----------
    width : float or array (draws,)
        Size across the grain [m].
    shrinkage : float or array (draws,)
        Shrinkage from green to dry in that direction [percent].
    moisture, later : float or array (draws,)
        Moisture before and after, 0 to 30 [percent of dry mass].

    Returns
    -------
    float or array (draws,)
        Loss of width; negative if the piece swells [m].

    References
    ----------
    Forest Products Laboratory, Wood Handbook, chapter 4. Quoted from memory, verify.
    """
    _check_moisture(moisture)
    _check_moisture(later)
    return width * shrinkage / 100.0 * (moisture - later) / FIBRE_SATURATION


def _check_moisture(moisture: Number) -> None:
    """Refuse a moisture the rules do not hold for."""
    if not np.all((moisture >= 0.0) & (moisture <= FIBRE_SATURATION)):
        raise PlanError(
            _("The moisture of wood must lie between 0 and 30 percent; dry it first."),
            field="moisture",
        )


def _dryness(moisture: Number) -> Number:
    """Return how far below fibre saturation a moisture lies [1]."""
    return (FIBRE_SATURATION - moisture) / FIBRE_SATURATION
