"""What a shop of the tests has in its rack, and what is wanted of it."""

from billets.physics.bar import Steel
from billets.physics.chains import Means, ProposalWish
from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.first_stacks import BarOffer
from billets.physics.unit_costs import UnitCosts
from billets.physics.verdict import Target

MM = 1e-3
DARK = Steel("dark", "dark steel", 0.82)
BRIGHT = Steel("bright", "bright steel", 0.74, etch="bright")
GREY = Steel("grey", "grey steel", 0.55, density=7810.0)

RACK = {
    DARK: ((2.5, 40), (3.2, 40), (4.5, 40), (6, 50)),
    BRIGHT: ((1.6, 40), (2.2, 40), (2.2, 50)),
    GREY: ((3, 40), (5, 40)),
}
"""Thickness and width of bars on offer, in mm."""

COSTS = UnitCosts(steel={"dark": 7.0, "bright": 13.0, "grey": 6.0}, gas=3.1, hour=48.0)


def bars(*steels, length=1.0):
    return tuple(
        BarOffer(
            key=f"{steel.key} {place}",
            steel=steel,
            thickness=thickness * MM,
            width=width * MM,
            length=length,
        )
        for steel in steels
        for place, (thickness, width) in enumerate(RACK[steel])
    )


def means(*steels, tool=None, forge=None, saw=None, length=1.0):
    return Means(
        bars=bars(*(steels or (DARK, BRIGHT)), length=length),
        forge=forge or Forge(),
        tool=tool or Tool(),
        saw=saw or Saw(),
    )


def knife(label="gyuto", **changes):
    return Target(
        **{
            "label": label,
            "needed": 0.29,
            "thickness": 4.4 * MM,
            "width_low": 30 * MM,
            "width_high": 52 * MM,
            "spine": 3.1 * MM,
            **changes,
        }
    )


def wish(low=120, high=220, **changes):
    return ProposalWish(layers_low=low, layers_high=high, **changes)
