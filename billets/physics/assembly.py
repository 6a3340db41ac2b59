"""A knife put together: from the blade to the glue."""

from __future__ import annotations

from dataclasses import dataclass

from billets.physics.blade import BladeSums
from billets.physics.handle import Handle, bored_parts, scale_parts
from billets.physics.materials import Material
from billets.physics.parts import Part
from billets.physics.tang import Neck, Tang, drilled, neck_bar, tang_bar

BLADE_SPREAD = 0.10
"""How far a blade's mass may be off: plausible errors of every size; practice [1]."""

TANG_SPREAD = 0.10
"""How far neck and tang may be off; common practice, no source [1]."""

BOLSTER_PLACE = 0.006
"""A bolster's centroid behind the handle's front; common practice, no source [m]."""

STEEL_PARTS = frozenset({"blade", "neck", "tang"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Fittings:
    """What a blade is fitted with.

    Attributes
    ----------
    neck, tang, handle : Neck, Tang, Handle
        Shapes behind the heel.
    wood : Material
        What the handle is made of.
    ferrule : Material or None
        What the ferrule is made of, if there is one.
    bolster : float
        Mass of a bolster; 0 without one [kg].
    """

    neck: Neck
    tang: Tang
    handle: Handle
    wood: Material
    ferrule: Material | None
    bolster: float = 0.0


def assembled_parts(
    sums: BladeSums, heel: float, fittings: Fittings, density: float
) -> tuple[Part, ...]:
    """Return the parts of a knife from the blade to the glue.

    Parameters
    ----------
    sums : BladeSums
        The blade.
    heel : float
        Spine thickness above the heel [m].
    fittings : Fittings
        What it is fitted with.
    density : float
        Of the steel [kg/m^3].

    Returns
    -------
    tuple of Part
        Blade, neck, tang, then the parts of the handle.
    """
    front = -fittings.neck.length
    parts = [*steel_parts(sums, heel, fittings, density)]
    if fittings.tang.kind == "full":
        handle, tang, wood = fittings.handle, fittings.tang, fittings.wood
        parts += scale_parts(handle, tang, wood, front=front)
    else:
        parts += bored_parts(
            fittings.handle,
            fittings.tang,
            fittings.wood,
            fittings.ferrule,
            front=front,
        )
    if fittings.bolster > 0.0:
        place = front - BOLSTER_PLACE
        parts.append(_part("bolster", fittings.bolster, place, TANG_SPREAD))
    return tuple(parts)


def steel_parts(
    sums: BladeSums, heel: float, fittings: Fittings, density: float
) -> tuple[Part, Part, Part]:
    """Return blade, neck and tang.

    Parameters
    ----------
    sums : BladeSums
        The blade.
    heel : float
        Spine thickness above the heel [m].
    fittings : Fittings
        Neck and tang.
    density : float
        Of the steel [kg/m^3].

    Returns
    -------
    tuple of Part
        The three parts.
    """
    neck, neck_centre = neck_bar(fittings.neck, heel, fittings.tang)
    tang, tang_centre = tang_bar(fittings.tang)
    steel = tang - drilled(fittings.tang)
    front = -fittings.neck.length
    return (
        _part("blade", density * sums.volume, sums.centre, BLADE_SPREAD),
        _part("neck", density * neck, -neck_centre, TANG_SPREAD),
        _part("tang", density * steel, front - tang_centre, TANG_SPREAD),
    )


def _part(name: str, mass: float, centre: float, spread: float) -> Part:
    """Return a part."""
    return Part(name=name, mass=mass, centre=centre, spread=spread)
