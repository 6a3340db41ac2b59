"""The keys a job file may hold, table by table, and how the value of each is read.

A kind is one of ``billets.spellings.KINDS``, for a quantity, or of
``quotes.job_reader.READERS``. The keys are the names the specification, the steps and
the equipment have in the physics.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

Shape = Mapping[str, str]
"""The keys a table may hold, each with how its value is read."""

KNIFE: Shape = MappingProxyType(
    {
        "name": "text",
        "family": "text",
        "length": "length",
        "height": "length",
        "heel_thickness": "thickness",
        "middle_thickness": "thickness",
        "tip_thickness": "thickness",
        "grind": "text",
        "behind_edge": "fine",
        "edge_angle": "angle",
        "forging": "text",
        "tang": "text",
        "neck_length": "length",
        "tang_length": "length",
        "handle": "text",
        "handle_material": "text",
        "handle_length": "length",
        "ferrule": "text",
        "bolster_mass": "mass",
        "allowance": "text",
        "finish": "text",
        "hardness": "hardness",
        "handle_price": "money",
    }
)
NOT_OF_THE_SPEC = frozenset({"name", "family", "finish", "hardness", "handle_price"})

BILLET: Shape = MappingProxyType(
    {
        "length": "length",
        "width": "length",
        "bars": "table",
        "order": "order",
        "pieces": "count",
    }
)
BAR: Shape = MappingProxyType(
    {
        "steel": "text",
        "thickness": "thickness",
        "width": "length",
        "length": "length",
        "price": "money",
    }
)
STEPS: Mapping[str, Shape] = MappingProxyType(
    {
        "weld": {"temperature": "temperature", "heats": "count"},
        "draw": {
            "width": "length",
            "thickness": "thickness",
            "temperature": "temperature",
        },
        "trim": {"per_end": "length"},
        "grind": {"face": "thickness", "edge": "thickness"},
        "cut": {"pieces": "count", "turned": "flag"},
        "fold": {},
        "twist": {"turns": "number", "octagon": "flag", "temperature": "temperature"},
        "ladder": {
            "groove_shape": "text",
            "depth": "thickness",
            "groove": "thickness",
            "pitch": "thickness",
            "temperature": "temperature",
        },
        "dimple": {
            "drill": "thickness",
            "point": "angle",
            "depth": "thickness",
            "pitch": "thickness",
            "temperature": "temperature",
        },
        "core": {"core": "text"},
    }
)
STEP_NEEDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "draw": ("width", "thickness"),
        "cut": ("pieces",),
        "twist": ("turns",),
        "ladder": ("depth", "groove", "pitch"),
        "dimple": ("drill", "depth", "pitch"),
        "core": ("core",),
    }
)
EQUIPMENT: Shape = MappingProxyType(
    {
        "atmosphere": "text",
        "wall_temperature": "temperature",
        "door_width": "length",
        "door_height": "length",
        "gas_rate": "mass_rate",
        "preheat": "duration",
        "jets": "count",
        "jet_bore": "fine",
        "gas_pressure": "pressure",
        "jet_discharge": "ratio",
        "bottle": "gas",
        "bottles": "count",
        "air_temperature": "temperature",
        "altitude": "length",
        "tool": "text",
        "strain": "ratio",
        "force": "force",
        "die": "length",
        "squeeze": "seconds",
        "kerf": "thickness",
    }
)
JOB: Shape = MappingProxyType(
    {
        "knives": "list",
        "billet": "table",
        "steps": "list",
        "equipment": "table",
        "rates": "table",
    }
)
