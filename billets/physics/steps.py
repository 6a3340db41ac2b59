"""What a smith does to a billet, step by step: the words of a plan.

What each step does to the steel stands in `rules.RULES`, by its kind.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar, TypeAlias

from billets.physics import Number
from billets.physics.bar import Steel
from billets.physics.constants import ZERO_CELSIUS

WELDING_HEAT = 1230.0 + ZERO_CELSIUS
"""Steel temperature at a weld, common practice, no source [K]."""

DRAWING_HEAT = 1150.0 + ZERO_CELSIUS
"""Steel temperature when drawing out, common practice, no source [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weld:
    """Weld the stack, in several heats.

    Attributes
    ----------
    temperature : float
        Of the steel [K].
    heats : int
        Planned heats [1].
    seconds : float or array (draws,)
        Time at that heat in each, heating-up counted in: what scales the steel, not
        what burns the gas [s].
    """

    kind: ClassVar[str] = "weld"
    temperature: float = WELDING_HEAT
    heats: int = 3
    seconds: Number = 240.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """Draw the billet out to a section.

    Attributes
    ----------
    width, thickness : float or array (draws,)
        Section to reach, cold [m].
    temperature : float
        Of the steel [K].
    seconds : float or array (draws,)
        Time at that heat in each, heating-up counted in [s].
    """

    kind: ClassVar[str] = "draw"
    width: Number
    thickness: Number
    temperature: float = DRAWING_HEAT
    seconds: Number = 110.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Trim:
    """Cut off both ends.

    Attributes
    ----------
    per_end : float or array (draws,)
        Off each end [m]; 10 mm after the first weld, 5 mm later (common practice,
        no source).
    """

    kind: ClassVar[str] = "trim"
    per_end: Number = 0.010


@dataclass(frozen=True, slots=True, kw_only=True)
class Grind:
    """Grind all four sides clean.

    Attributes
    ----------
    face, edge : float or array (draws,)
        Off each face and each edge [m]; common practice, no source.
    """

    kind: ClassVar[str] = "grind"
    face: Number = 0.0005
    edge: Number = 0.0002


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Cut the bar in pieces and lay them on one another.

    Attributes
    ----------
    pieces : int
        How many; in a batch of different plans an array (draws,) of them [1].
    turned : bool
        Whether every second piece is turned over.
    """

    kind: ClassVar[str] = "cut"
    pieces: int
    turned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """Cut the bar nearly through in the middle and fold it on itself."""

    kind: ClassVar[str] = "fold"


@dataclass(frozen=True, slots=True, kw_only=True)
class Twist:
    """Twist a square bar about its length.

    Attributes
    ----------
    turns : float or array (draws,)
        Full turns over the whole length [1].
    octagon : bool
        Whether the corners are ground to an octagon first.
    temperature : float
        Of the steel [K].
    seconds : float or array (draws,)
        Time at that heat in each, heating-up counted in [s].
    """

    kind: ClassVar[str] = "twist"
    turns: Number
    octagon: bool = True
    temperature: float = DRAWING_HEAT
    seconds: Number = 110.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """Cut grooves across both faces, staggered by half a pitch, and forge flat.

    Attributes
    ----------
    depth, groove : float or array (draws,)
        Depth of a groove, and its width at the surface [m].
    pitch : float or array (draws,)
        From groove to groove on one face [m].
    groove_shape : str
        "vee", "round" (half ellipse) or "square".
    temperature : float
        Of the steel when forged flat [K].
    seconds : float or array (draws,)
        Time at that heat, heating-up counted in [s].
    """

    kind: ClassVar[str] = "ladder"
    depth: Number
    groove: Number
    pitch: Number
    groove_shape: str = "vee"
    temperature: float = DRAWING_HEAT
    seconds: Number = 110.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimple:
    """Drill dimples into both faces, staggered, and forge flat.

    Attributes
    ----------
    drill : float or array (draws,)
        Diameter of the drill [m].
    depth : float or array (draws,)
        From the surface to the point of the dimple [m].
    pitch : float or array (draws,)
        Side of the square lattice on one face [m].
    point : float
        Angle of the drill's point [rad].
    temperature : float
        Of the steel when forged flat [K].
    seconds : float or array (draws,)
        Time at that heat, heating-up counted in [s].
    """

    kind: ClassVar[str] = "dimple"
    drill: Number
    depth: Number
    pitch: Number
    point: float = math.radians(118.0)
    temperature: float = DRAWING_HEAT
    seconds: Number = 110.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Core:
    """Cut the bar in two and lay a core between the halves: jacket, core, jacket.

    Attributes
    ----------
    steel : Steel
        Of the core.
    thickness : float
        Of the core as it is laid in; it is cut as long and wide as the halves [m].
    width : float
        Of the bar it is cut from, no less than the halves; 0 if not known [m].
    """

    kind: ClassVar[str] = "core"
    steel: Steel
    thickness: float
    width: float = 0.0


Step: TypeAlias = (
    Weld | Draw | Trim | Grind | Cut | Fold | Twist | Ladder | Dimple | Core
)

HotStep: TypeAlias = Weld | Draw | Twist | Ladder | Dimple
"""A step in the fire."""

HOT_KINDS = frozenset({"weld", "draw", "twist", "ladder", "dimple"})
"""Their kinds; what is trimmed or ground after the last of them makes a clean bar."""


def cut_first(step: Step) -> bool:
    """Return whether a step in the fire begins with cold work on the bar."""
    return isinstance(step, Ladder | Dimple) or (
        isinstance(step, Twist) and step.octagon
    )
