"""Plans the tests share: the pages' worked case and a shop's smaller billets."""

from billets.physics.bar import Layer, Stack, Steel
from billets.physics.equipment import Forge, Tool
from billets.physics.factors import Factors
from billets.physics.plan import PlanInput
from billets.physics.steps import Cut, Draw, Grind, Trim, Weld

MM = 1e-3
HOUR = 3600.0

DARK = Steel("dark", "dark steel", 0.80)
BRIGHT = Steel("bright", "bright steel", 0.75, etch="bright")


def alternating(layers, length, width, thickness):
    """A stack of two steels in turn; sizes in mm."""
    steels = (DARK, BRIGHT)
    one = thickness / layers * MM
    return Stack(
        tuple(Layer(steels[number % 2], one) for number in range(layers)),
        length * MM,
        width * MM,
    )


def cycle(width, thickness, pieces=None, *, trim=5.0, face=0.5, edge=0.2, heats=3):
    """One weld cycle: weld, draw, trim, grind, and cut unless it is the last."""
    steps = (
        Weld(heats=heats),
        Draw(width=width * MM, thickness=thickness * MM),
        Trim(per_end=trim * MM),
        Grind(face=face * MM, edge=edge * MM),
    )
    return (*steps, Cut(pieces=pieces)) if pieces else steps


def three_welds(sections=((40, 9.5), (40, 14), (45, 6)), trims=(10, 5, 5), **given):
    """Fifteen layers cut in five, then in three, then drawn to the bar."""
    return tuple(
        step
        for section, trim, pieces in zip(sections, trims, (5, 3, None), strict=True)
        for step in cycle(*section, pieces, trim=trim, **given)
    )


def worked_case(
    stack=(150, 40, 38), *, sections=((40, 9.5), (40, 14), (45, 6)), **given
):
    """The worked case of three welds; keywords go to steps, forge, tool, factors."""
    shop = {key: given.pop(key) for key in ("forge", "tool", "factors") if key in given}
    return PlanInput(
        stack=alternating(15, *stack), steps=three_welds(sections, **given), **shop
    )


__all__ = [
    "BRIGHT",
    "DARK",
    "HOUR",
    "MM",
    "Factors",
    "Forge",
    "Tool",
    "alternating",
    "cycle",
    "three_welds",
    "worked_case",
]
