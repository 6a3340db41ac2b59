"""Setting a weld under a press: over the whole face at once, or bite by bite."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics import Number
from billets.physics.equipment import Tool
from billets.physics.flow_stress import shida
from billets.physics.force import cogging_force, largest_bite
from billets.physics.pressing import LEAST_BITE, Size, known_force
from billets.physics.scale import AIR_SECONDS
from billets.physics.state import Mask

WELD_STRAIN = 0.05
"""True strain by which the layers are pressed together, common practice, no source."""

WELD_RATE = 0.3
"""How fast, common practice, no source [1/s]."""

WELD_COOLING = 30.0
"""How much colder the stack is under the press than in the fire [K].

Common practice, no source: from 1230 °C, about 40 mm thick, some seven seconds.
"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Setting:
    """How a press of known force sets a weld.

    Attributes
    ----------
    face_force : float or array (draws,)
        Force over the whole face, a plate laid on it where the die is shorter [N].
    whole : bool or array of bool (draws,)
        Whether the press has that force.
    able : bool or array of bool (draws,)
        Whether it gets into the stack at all.
    bites : float or array (draws,)
        Bites from end to end; 1 over the whole face [1].
    extra : float or array (draws,)
        Time beyond the usual that these bites take in one heat [s].
    """

    face_force: Number
    whole: Mask
    able: Mask
    bites: Number
    extra: Number


def weld_stress(carbon: float, temperature: float) -> Number:
    """Return how hard a stack resists being set.

    Parameters
    ----------
    carbon : float
        Mean mass fraction in percent [%].
    temperature : float
        Of the steel as it leaves the fire [K].

    Returns
    -------
    float
        Flow stress by `flow_stress.shida` [Pa].
    """
    return shida(carbon, WELD_STRAIN, WELD_RATE, temperature - WELD_COOLING)


def setting(tool: Tool, size: Size, temperature: float, carbon: float) -> Setting:
    """Return how a press of known force sets a weld.

    Parameters
    ----------
    tool : Tool
        A press whose force is known.
    size : tuple of float or array (draws,)
        Length, width and height of the stack [m].
    temperature : float
        Of the steel as it leaves the fire [K].
    carbon : float
        Mean mass fraction in percent [%].

    Returns
    -------
    Setting
        Force [N], bites [1] and time [s]. A press that does not get in is no refusal:
        a weld can be set with the hammer.

    References
    ----------
    As for `force.cogging_force`; quoted from memory, verify.
    """
    length, width, height = size
    force, stress = known_force(tool) or 0.0, weld_stress(carbon, temperature)
    face_force = cogging_force(stress, width, length, height)
    bite = np.minimum(largest_bite(force, stress, width, height), tool.die)
    whole = face_force <= force
    by_bites = np.ceil(length / np.maximum(bite, LEAST_BITE))
    bites = np.where(whole, 1.0, by_bites)[()]
    return Setting(
        face_force=face_force,
        whole=whole,
        able=whole | (bite >= LEAST_BITE),
        bites=bites,
        extra=np.maximum(bites * tool.squeeze - AIR_SECONDS, 0.0),
    )
