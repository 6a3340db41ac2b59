"""Is there enough steel, and if not, in what is it short."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from billets.physics.errors import Flag, _
from billets.physics.knife_spec import KnifeSpec
from billets.physics.plan import PlanResult
from billets.physics.state import Mask, typical

CHANCE = 0.80
"""Chance of sufficing a stack is fitted to, unless told otherwise [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What one knife needs of the bar.

    Attributes
    ----------
    label : str
        Which knife.
    needed : float
        Steel, allowances counted in [kg].
    thickness : float
        Least thickness of the bar [m].
    width_low, width_high : float
        Width of the bar from which its height can be forged [m].
    length : float
        Least length of bar [m].
    blade_height, spine, behind_edge : float
        Of the finished blade, height and spine at the heel and thickness behind the
        edge; 0 where nothing is known of it [m].
    hardness : float
        Aimed at [HRC].
    knife : KnifeSpec or None
        The knife itself, where it is known: pictures show it.
    """

    label: str
    needed: float
    thickness: float = 0.0
    width_low: float = 0.0
    width_high: float = math.inf
    length: float = 0.0
    blade_height: float = 0.0
    spine: float = 0.0
    behind_edge: float = 0.0
    hardness: float = 60.0
    knife: KnifeSpec | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Whether a bar is enough for its knives.

    Attributes
    ----------
    enough : bool
        Whether it suffices with the chance asked for, in mass and in size.
    chance, asked : float
        Chance that it suffices, and the chance asked for [1].
    needed, expected : float
        Steel all knives need, and steel expected at the median [kg].
    spare : float
        Steel to spare at the chance asked for; below zero it is short of so much [kg].
    failing : tuple of str
        What it is short in: "mass", "length", "thickness".
    flags : tuple of Flag
        What to look at twice.
    """

    enough: bool
    chance: float
    asked: float
    needed: float
    expected: float
    spare: float
    failing: tuple[str, ...]
    flags: tuple[Flag, ...]


def verdict(
    result: PlanResult, targets: Sequence[Target], chance: float = CHANCE
) -> Verdict:
    """Return whether the end of a plan is enough for its knives.

    Parameters
    ----------
    result : PlanResult
        Plain (chances are then 0 or 1) or sampled (draws,) [SI units]. What is left
        at the end of the plan counts: the forged bar, or the clean one.
    targets : sequence of Target
        One for each knife; their masses and lengths add up [kg, m].
    chance : float
        Chance asked for [1].

    Returns
    -------
    Verdict
        What there is, what is missing and in what [kg].
    """
    holds = {
        "mass": result.clean_mass >= mass_needed(targets),
        "length": result.clean_length >= length_needed(targets),
        "thickness": result.clean_thickness >= max(one.thickness for one in targets),
    }
    lasting = share(np.logical_and.reduce(np.broadcast_arrays(*holds.values())))
    # The higher of two draws, or a bar could be enough and short at the same time.
    at_chance = float(np.quantile(result.clean_mass, 1.0 - chance, method="higher"))
    return Verdict(
        enough=lasting >= chance,
        chance=lasting,
        asked=chance,
        needed=mass_needed(targets),
        expected=typical(result.clean_mass),
        spare=at_chance - mass_needed(targets),
        failing=_failing(holds, lasting, chance),
        flags=_width_flags(typical(result.clean_width), targets),
    )


def _failing(
    holds: Mapping[str, Mask], lasting: float, chance: float
) -> tuple[str, ...]:
    """Return what a bar is short in; the tightest where only all together fail."""
    if lasting >= chance:
        return ()
    shares = {name: share(held) for name, held in holds.items()}
    below = tuple(name for name, one in shares.items() if one < chance)
    return below or (min(shares, key=shares.__getitem__),)


def mass_needed(targets: Sequence[Target]) -> float:
    """Return the steel all knives need together [kg]."""
    return math.fsum(one.needed for one in targets)


def length_needed(targets: Sequence[Target]) -> float:
    """Return the length of bar all knives need together [m]."""
    return math.fsum(one.length for one in targets)


def share(holds: Mask) -> float:
    """Return the share of draws [1] in which something holds."""
    return float(np.mean(holds))


def _width_flags(width: float, targets: Sequence[Target]) -> tuple[Flag, ...]:
    message = _(
        "A bar {width} wide is outside the {low} to {high} from which {label} is "
        "forged; plan another width."
    )
    return tuple(
        Flag(
            message=message,
            field="width",
            values={
                "width": width,
                "low": one.width_low,
                "high": one.width_high,
                "label": one.label,
            },
        )
        for one in targets
        if not one.width_low <= width <= one.width_high
    )
