"""Steels, the stack they are laid in, and the bar a stack becomes."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from billets.physics import Number
from billets.physics.constants import STEEL_DENSITY
from billets.physics.errors import PlanError, _
from billets.physics.grades import Grade

MOST_PIECES = 400
"""Pieces beyond which no one lays a stack [1]; it also keeps a mistyped count from
filling the memory."""


@dataclass(frozen=True, slots=True)
class Steel:
    """A steel as the billet sees it.

    Attributes
    ----------
    key : str
        Short name that tells layers apart.
    name : str
        What the smith calls it.
    carbon : float
        Carbon, mass fraction in percent [%].
    density : float
        Density when cold [kg/m^3].
    etch : str
        How it comes out of the acid.
    grade : Grade or None
        What else is known of it; it tells no two layers apart.
    """

    key: str
    name: str
    carbon: float
    density: float = STEEL_DENSITY
    etch: str = "dark"
    grade: Grade | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Layer:
    """One piece of steel in a stack.

    Attributes
    ----------
    steel : Steel
        What it is made of.
    thickness : float
        How thick the piece is [m]; in a batch of different stacks an array (draws,):
        how thick the pieces of this steel are together.
    """

    steel: Steel
    thickness: float


@dataclass(frozen=True, slots=True)
class Stack:
    """Pieces of one length and width, in order, ready for the first weld.

    Attributes
    ----------
    layers : tuple of Layer
        The pieces from top to bottom.
    length, width : float or array (draws,)
        Length and width of every piece [m].
    """

    layers: tuple[Layer, ...]
    length: Number
    width: Number

    @property
    def thickness(self) -> float:
        """Height of the stack, the sum of its layers [m]."""
        return sum(layer.thickness for layer in self.layers)

    @property
    def density(self) -> float:
        """Density of the stack, each steel by its share of volume [kg/m^3]."""
        weighed = (layer.thickness * layer.steel.density for layer in self.layers)
        return sum(weighed) / self.thickness

    @property
    def mass(self) -> Number:
        """Mass of the stack, float or array (draws,) [kg]."""
        return self.density * self.length * self.width * self.thickness

    @property
    def carbon(self) -> float:
        """Mean carbon, each steel by its share of volume, mass fraction in percent."""
        return sum(one.thickness * one.steel.carbon for one in self.layers) / (
            self.thickness
        )

    @property
    def hardest(self) -> Steel:
        """The steel with the most carbon: it burns first and rules the heats."""
        return max((layer.steel for layer in self.layers), key=lambda one: one.carbon)


def drawn_length(volume: Number, width: Number, thickness: Number) -> Number:
    """Return the length of a bar forged from a given volume.

    Parameters
    ----------
    volume : float or array (draws,)
        Steel in the bar, kept because forging neither makes nor destroys it [m^3].
    width, thickness : float or array (draws,)
        Cross-section of the drawn bar [m].

    Returns
    -------
    float or array (draws,)
        Length of the drawn bar [m].

    References
    ----------
    Groover, Fundamentals of Modern Manufacturing, 18.1.1: constancy of volume.

    Examples
    --------
    >>> drawn_length(75e-6, 0.030, 0.005)
    0.5
    >>> drawn_length(np.array([60e-6, 75e-6]), 0.030, 0.005)
    array([0.4, 0.5])
    """
    sides = {
        "width": (width, _("The drawn bar needs a width above zero.")),
        "thickness": (thickness, _("The drawn bar needs a thickness above zero.")),
    }
    for name, (side, message) in sides.items():
        if not np.all(side > 0):
            raise PlanError(message, field=name, value=side)
    return volume / (width * thickness)
