"""Heats: the billet goes into the fire, scales, and is worked, again and again.

The number of heats may differ from draw to draw. A draw that has finished stays in
the loop and is left alone: it loses nothing, changes nothing and takes no time.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from billets.physics import Number
from billets.physics.heating import floor_depth, soak_time
from billets.physics.state import State, above_zero, shrunk, some

SIZES = ("length", "width", "thickness", "alive")
"""What a heat changes of a billet."""

MANY, TOGETHER = 256, 0.6
"""So many draws are worked together only until this share of them is done [1]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Worked:
    """What a number of heats did to a billet.

    Attributes
    ----------
    length, width, thickness : float or array (draws,)
        Size afterwards, cold [m].
    alive : float or array (draws,)
        1 while there is steel, 0 once it is used up [1].
    lost : float or array (draws,)
        Volume lost, added up heat by heat [m^3].
    first_depth, depths : float or array (draws,)
        Volume over heated area in the first heat, and the sum over all heats [m].
    soak : float or array (draws,)
        Time for the middle to catch up, all heats [s].
    core : float or array (draws,)
        Share of the thickness that was not outer skin [1].
    """

    length: Number
    width: Number
    thickness: Number
    alive: Number
    lost: Number
    first_depth: Number
    depths: Number
    soak: Number
    core: Number


def draw_heats(ratio: Number, strain: Number) -> Number:
    """Return the heats it takes to draw a section down.

    Parameters
    ----------
    ratio : float or array (draws,)
        Section before over section after [1].
    strain : float or array (draws,)
        True strain one heat gives, above zero [1].

    Returns
    -------
    float or array (draws,)
        Whole heats, at least one [1].
    """
    needed = draw_strain(ratio) / strain
    heats: Number = np.maximum(np.ceil(needed), 1.0)
    return heats


def draw_strain(ratio: Number) -> Number:
    """Return the true strain of drawing a section down.

    Parameters
    ----------
    ratio : float or array (draws,)
        Section before over section after [1].

    Returns
    -------
    float or array (draws,)
        Its logarithm; the least draw takes a hundredth [1].
    """
    strain: Number = np.log(np.maximum(ratio, 1.01))
    return strain


def work(
    state: State,
    recession: Number,
    heats: Number,
    target: tuple[Number, Number] | None = None,
) -> Worked:
    """Return what a number of like heats does to a billet.

    Parameters
    ----------
    state : State
        The billet before [m].
    recession : float or array (draws,)
        What scale takes off every face in one heat [m].
    heats : float or array (draws,)
        Whole heats, at least one; may differ from draw to draw [1].
    target : (float or array (draws,), float or array (draws,)) or None
        Width and thickness to reach in equal shares of strain [m]; None leaves the
        section to scale alone.

    Returns
    -------
    Worked
        The billet after, and what the heats took.
    """
    turns = _turns(heats)
    worked = _worked(state, recession, heats, target, turns)
    left = heats > turns
    if not some(left):
        return worked
    # The few draws that take longest are worked on alone, not among all the others.
    place = np.flatnonzero(left)
    rest = replace(
        state,
        length=_part(worked.length, place),
        width=_part(worked.width, place),
        thickness=_part(worked.thickness, place),
        alive=_part(worked.alive, place),
    )
    later = work(
        rest,
        _part(recession, place),
        _part(heats, place) - turns,
        target and (_part(target[0], place), _part(target[1], place)),
    )
    return _joined(worked, later, place, np.shape(heats))


def _turns(heats: Number) -> int:
    """Return the heats all draws are worked for together: most of them are done."""
    if np.size(heats) < MANY:
        return int(np.max(heats))
    return int(np.sort(heats)[int(TOGETHER * np.size(heats))])


def _worked(
    state: State,
    recession: Number,
    heats: Number,
    target: tuple[Number, Number] | None,
    turns: int,
) -> Worked:
    """Work all draws for so many heats, those that are done left alone."""
    length, width, thickness = state.length, state.width, state.thickness
    alive = state.alive
    volume = length * width * thickness * alive
    lost: Number = 0.0
    first: Number = 0.0
    depths: Number = 0.0
    soak: Number = 0.0
    core: Number = 1.0
    for heat, on in enumerate(_running(heats, turns)):
        depth = on * floor_depth(width, thickness)
        first = first if heat else depth
        depths = depths + depth
        soak = soak + on * soak_time(width, thickness)
        skin = 2.0 * on * recession
        alive = alive * _outlives(length, width, thickness, skin)
        thinner = shrunk(thickness, skin)
        core = core * (thinner / thickness)
        length, width, thickness = shrunk(length, skin), shrunk(width, skin), thinner
        left = length * width * thickness * alive
        lost, volume = lost + (volume - left), left
        if target is not None:
            share = on / np.maximum(heats - heat, 1.0)
            length, width, thickness = _reshaped(
                (length, width, thickness), target, share
            )
    return Worked(
        length=length,
        width=width,
        thickness=thickness,
        alive=alive,
        lost=lost,
        first_depth=first,
        depths=depths,
        soak=soak,
        core=core,
    )


def _running(heats: Number, turns: int) -> list[Number]:
    """Return for each heat which draws still take it: 1 or 0."""
    least = min(int(np.min(heats)), turns)
    tail: list[Number] = [above_zero(heats - heat) for heat in range(least, turns)]
    return [1.0] * least + tail


def _part(value: Number, place: NDArray[np.intp]) -> Number:
    return value[place] if isinstance(value, np.ndarray) else value


def _joined(
    worked: Worked, later: Worked, place: NDArray[np.intp], shape: tuple[int, ...]
) -> Worked:
    """Return what all draws come to, some of which were worked on further."""
    whole = {
        name: np.array(np.broadcast_to(getattr(worked, name), shape))
        for name in (*SIZES, "lost", "depths", "soak", "core")
    }
    for name in SIZES:
        whole[name][place] = getattr(later, name)
    for name in ("lost", "depths", "soak"):
        whole[name][place] += getattr(later, name)
    whole["core"][place] *= later.core
    return Worked(first_depth=worked.first_depth, **whole)


def _outlives(length: Number, width: Number, thickness: Number, skin: Number) -> Number:
    """Return 1 where every side is more than what is taken off it, else 0."""
    smallest = np.minimum(np.minimum(length, width), thickness)
    return above_zero(smallest - skin)


def _reshaped(
    size: tuple[Number, Number, Number],
    target: tuple[Number, Number],
    share: Number,
) -> tuple[Number, Number, Number]:
    """Return the size after one heat's share of the way to a section.

    Width and thickness go the same share of the way in their logarithms, so area
    and proportion do too; the length follows from the volume.
    """
    length, width, thickness = size
    wider = width * (target[0] / width) ** share
    flatter = thickness * (target[1] / thickness) ** share
    return length * (width * thickness) / (wider * flatter), wider, flatter
