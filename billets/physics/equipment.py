"""What the billet is made with: forge, tool that draws it out, saw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS

WALL = 1300.0 + ZERO_CELSIUS
"""Wall of a forge run for welding, common practice, no source [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forge:
    """The forge: how hot, how tight, how thirsty.

    Attributes
    ----------
    atmosphere : str
        What the gas does to steel, a key of `atmosphere.ATMOSPHERES`.
    wall_temperature : float
        Temperature of the wall; the steel is kept colder [K].
    door_width, door_height : float
        Opening the billet must pass [m].
    gas_rate : float or array (draws,)
        Gas burnt while the forge is on [kg/s].
    preheat : float or array (draws,)
        Time from lighting to welding heat [s].
    weighed : bool
        Whether the gas rate was weighed; `jets.metered` fills in both.
    jets : int
        Burners [1].
    jet_bore : float or None
        Diameter of a burner's jet; None if not known [m].
    gas_pressure : float or None
        Gauge pressure behind the regulator while lit; None if not known [Pa].
    jet_discharge : float
        Share of the jet's area that the gas fills [1].
    bottle : float or None
        Gas in one full bottle; None if not known [kg].
    bottles : int
        Bottles coupled [1].
    air_temperature : float
        Where the bottles stand [K].
    altitude : float
        Of the shop above the sea [m].
    """

    atmosphere: str = "rich"
    wall_temperature: float = WALL
    door_width: float = 0.150
    door_height: float = 0.120
    gas_rate: Number = 1.5 / 3600.0
    preheat: Number = 1200.0
    weighed: bool = False
    jets: int = 1
    jet_bore: float | None = None
    gas_pressure: float | None = None
    jet_discharge: float = 0.85
    bottle: float | None = None
    bottles: int = 1
    air_temperature: float = 15.0 + ZERO_CELSIUS
    altitude: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """What draws the billet out.

    Attributes
    ----------
    kind : str
        "press", "hammer" (power hammer) or "hand".
    strain : float or array (draws,)
        True strain in one heat: log of section before over section after [1]; of a
        press it counts only where its force is not known.
    force : float or None
        Of a press; None if not known, and of a hammer or hand [N].
    die : float
        Length of the die along the bar [m].
    squeeze : float
        Time for one bite, moving the bar on counted in [s].
    """

    kind: str = "press"
    strain: Number = 0.35
    force: float | None = None
    die: float = 0.040
    squeeze: float = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Saw:
    """What cuts the bar in pieces.

    Attributes
    ----------
    kerf : float or array (draws,)
        Width of the cut that turns to dust [m].
    """

    kerf: Number = 0.0016


FORGES: Mapping[str, Forge] = MappingProxyType(
    {
        "one burner": Forge(door_width=0.110, door_height=0.090, gas_rate=0.7 / 3600.0),
        "two burners": Forge(),
    }
)
"""Forges to start from, common practice, no source: measure door and gas."""

TOOLS: Mapping[str, Tool] = MappingProxyType(
    {
        "press": Tool(kind="press", strain=0.35),
        "hammer": Tool(kind="hammer", strain=0.30),
        "hand": Tool(kind="hand", strain=0.12),
    }
)
"""Tools with the strain they give in one heat, common practice, no source."""

SAWS: Mapping[str, Saw] = MappingProxyType(
    {
        "thin disc": Saw(kerf=0.0016),
        "bandsaw": Saw(kerf=0.0013),
        "chop saw": Saw(kerf=0.003),
        "hot cut": Saw(kerf=0.0),
    }
)
"""Ways to cut a bar, common practice, no source."""
