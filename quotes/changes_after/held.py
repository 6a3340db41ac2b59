"""Whether a blade can still come out of the steel that lies at the bench.

After the forge there is a blank, forged for the knife as it was; after the rough grind
there is a blade. A new blade has to lie inside it, whole: its length, its outline once
it is shifted up or down as suits best, its spine, and its section.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from billets.physics.blade import stations
from billets.physics.blank import ALLOWANCES, CROWN, Allowance
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import KnifeSpec, spec_blade
from billets.physics.outline import Along
from billets.physics.section import section_width

ROOM = 0.0002
"""Hand work is not finer than this; common practice, no source [m]."""

FINE_ROOM = 0.00002
"""Nor a thickness measured finer than this; common practice, no source [m]."""

_LEVELS = np.linspace(0.05, 1.0, 24)
"""Heights at which sections are compared; below, the edge bevel is ground last [1]."""

_NONE = Allowance(side=0.0, profile=0.0, edge=0.0, tang=1.0, crop=0.0, scale=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """The steel there is: a forged blank, or a blade that is ground.

    Attributes
    ----------
    spec : KnifeSpec
        The knife it was made for.
    ground : bool
        Whether it is ground to its outline and section, with nothing to spare.
    length, height : float
        Longest and highest finished blade it can still give [m].
    heel, middle, tip : float
        Thickest finished spine at the places of the knife it was made for [m].
    """

    spec: KnifeSpec
    ground: bool
    length: float
    height: float
    heel: float
    middle: float
    tip: float


def steel_left(spec: KnifeSpec, *, ground: bool) -> Left:
    """Return the steel that is left of a knife that was forged.

    Parameters
    ----------
    spec : KnifeSpec
        The knife as it is written.
    ground : bool
        Whether its blade is ground; else the blank is as it was forged.

    Returns
    -------
    Left
        What a finished blade may still measure [m]: of a blank its own sizes less the
        tight allowance, which every blade needs to be ground out of it.
    """
    if ground:
        sizes = (spec.length, spec.height)
        spine = (spec.heel_thickness, spec.middle_thickness, spec.tip_thickness)
    else:
        blank, tight = weigh_knife(spec).blank, ALLOWANCES["tight"]
        sizes = (blank.length - 2.0 * tight.profile, blank.height - 2.0 * tight.profile)
        spine = tuple(one - 2.0 * tight.side for one in blank.thicknesses)  # type: ignore[assignment]
    length, height = sizes
    heel, middle, tip = spine
    return Left(
        spec=spec, ground=ground, length=length, height=height,
        heel=heel, middle=middle, tip=tip,
    )  # fmt: skip


def beyond(left: Left, spec: KnifeSpec) -> Iterator[str]:
    """Yield the fields of a knife in which its blade does not fit into the steel left.

    Where every size fits, the family or the height is named if the outline does not,
    and the grind if the section does not.
    """
    found = [*_sizes_beyond(left, spec)]
    if not found and not outline_fits(left, spec):
        found = ["height" if spec.family == left.spec.family else "family"]
    yield from found
    if not found and not section_fits(left, spec):
        same = replace(spec, behind_edge=left.spec.behind_edge)
        yield "behind_edge" if section_fits(left, same) else "grind"


def _sizes_beyond(left: Left, spec: KnifeSpec) -> Iterator[str]:
    if spec.length > left.length + ROOM:
        yield "length"
    if spec.height > left.height + ROOM:
        yield "height"
    if spec.heel_thickness > left.heel + FINE_ROOM:
        yield "heel_thickness"
    middle, tip = _spine_at(left, spec)
    if spec.middle_thickness > middle + FINE_ROOM:
        yield "middle_thickness"
    if spec.tip_thickness > tip + FINE_ROOM:
        yield "tip_thickness"


def _spine_at(left: Left, spec: KnifeSpec) -> tuple[float, float]:
    """Return the thickest spine at the middle and the tip of a blade [m].

    Of a shorter blade these lie nearer to the heel, where the steel is thicker.
    """
    if left.spec.forging == "bar" and not left.ground:
        return left.heel, left.heel
    old = spec_blade(left.spec)
    more = left.heel - left.spec.heel_thickness
    at = np.minimum(np.array([spec.length / 2.0, spec.length - 0.010]), old.length)
    middle, tip = old.thickness(np.maximum(at, 0.0)) + more
    if spec.length >= old.length:
        return left.middle, left.tip
    return float(middle), float(tip)


def outline_fits(left: Left, spec: KnifeSpec) -> bool:
    """Say whether the outline of a blade lies inside the steel, shifted as suits best.

    Both heels stay where they are; the blade may move up or down.
    """
    grown = max(left.spec.length, min(spec.length, left.length))
    old, new = spec_blade(replace(left.spec, length=grown)), spec_blade(spec)
    room = ROOM + _spare(left).profile
    x = np.minimum(stations(new.length, 100)[0], grown)
    over = float(np.min(old.spine(x) - new.spine(x))) + room
    under = float(np.max(old.edge(x) - new.edge(x))) - room
    return under <= over


def _spare(left: Left) -> Allowance:
    """Return what the steel has more than a blade that is ground out of it needs."""
    if left.ground:
        return _NONE
    own, tight = ALLOWANCES[left.spec.allowance], ALLOWANCES["tight"]
    return replace(own, profile=own.profile - tight.profile, side=own.side - tight.side)


def section_fits(left: Left, spec: KnifeSpec) -> bool:
    """Say whether the section of a blade lies inside the steel at heel and middle.

    Compared at equal parts of the height; a forged wedge bulges a little, and holds
    at least the section it was forged for.
    """
    for part in (0.0, 0.25, 0.5):
        x = np.array([part * min(spec.length, left.spec.length)])
        if np.any(_width(spec, x) > _room_for(left, x) + FINE_ROOM):
            return False
    return True


def _width(spec: KnifeSpec, x: Along) -> Along:
    """Return the section of a blade at a station, from the edge up [m]."""
    blade = spec_blade(spec)
    height = np.maximum(blade.spine(x) - blade.edge(x), 0.0)
    grind = replace(blade.grind, hollow=0.0)
    return section_width(_LEVELS * height, height, blade.thickness(x), grind)


def _room_for(left: Left, x: Along) -> Along:
    """Return the thickest section that comes out of the steel at a station [m]."""
    own = _width(left.spec, x) + 2.0 * _spare(left).side
    if left.ground:
        return own
    allowance, tight = ALLOWANCES[left.spec.allowance], ALLOWANCES["tight"]
    spine = spec_blade(left.spec).thickness(x) + 2.0 * allowance.side
    if left.spec.forging != "bevel":
        flat = left.heel if left.spec.forging == "bar" else spine - 2.0 * tight.side
        return np.asarray(np.maximum(own, flat))
    edge = np.minimum(allowance.edge, spine)
    bulge = _LEVELS + 4.0 * CROWN * _LEVELS * (1.0 - _LEVELS)
    return np.asarray(np.maximum(own, edge + (spine - edge) * bulge - 2.0 * tight.side))
