"""What is drawn of a knife: its places and its edge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics.assembly import Fittings
from billets.physics.blade import Blade, stations
from billets.physics.outline import Along

SCALLOP = (0.010, 0.0012)
"""Pitch and depth of a bread knife's scallops, drawn only; practice [m]."""

SCALLOPED = frozenset({"bread"})

PANELS = 160
"""Pieces of the curves as drawn [1]."""


HANDLE_ABOVE = 0.003
"""A bored handle's top stands this far above the spine; practice [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Knife:
    """What is drawn.

    Attributes
    ----------
    family : str
        Key of the family.
    height : float
        Of the blade at the heel [m].
    heel_thickness : float
        Of the spine [m].
    blade : Blade
        Its curves.
    fittings : Fittings
        Neck, tang and handle.
    steel_only : bool
        Whether the handle is left out and the tang seen.
    """

    family: str
    height: float
    heel_thickness: float
    blade: Blade
    fittings: Fittings
    steel_only: bool

    @property
    def axis(self) -> float:
        """Middle of handle and tang above the heel corner [m]."""
        handle, neck = self.fittings.handle, self.fittings.neck
        above = 0.0 if handle.kind == "scales" else HANDLE_ABOVE
        axis = self.height + above - handle.front[1] / 2.0
        return min(axis, self.height - neck.back / 2.0)

    @property
    def behind(self) -> float:
        """How far it reaches behind the heel [m]."""
        fittings = self.fittings
        end = fittings.tang.length if self.steel_only else fittings.handle.length
        return fittings.neck.length + end

    @property
    def top(self) -> float:
        """Its highest point above the heel corner [m]."""
        return max(self.height, self.axis + self._half)

    @property
    def bottom(self) -> float:
        """Its lowest point above the heel corner [m]."""
        return min(0.0, self.axis - self._half)

    @property
    def heights(self) -> tuple[float, float]:
        """Height of handle or bare tang at its front and at its end [m]."""
        handle = self.fittings.handle
        if self.steel_only:
            return self.fittings.tang.heights
        return handle.front[1], handle.butt[1]

    @property
    def _half(self) -> float:
        """Half the greatest height behind the heel [m]."""
        return max(self.heights) / 2.0


def edge_points(knife: Knife) -> tuple[Along, Along]:
    """Return the edge as drawn.

    Parameters
    ----------
    knife : Knife
        What is drawn; a bread knife gets its scallops.

    Returns
    -------
    x, y : array (points,)
        From heel to tip [m].
    """
    blade = knife.blade
    if knife.family not in SCALLOPED:
        x, _weight = stations(blade.length, PANELS)
        return x, blade.edge(x)
    count = max(round(blade.length / SCALLOP[0]), 1)
    x = np.linspace(0.0, blade.length, 10 * count + 1)
    rise = SCALLOP[1] * np.abs(np.sin(np.pi * count * x / blade.length))
    return x, np.minimum(blade.edge(x) + rise, blade.spine(x))
