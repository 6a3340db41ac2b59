"""What the heats of a plan do to its layers: carbon levels, the alloying stays.

The plan is gone through once more with a profile across the thickness. Time at heat
counts as scale reckons it: every heat of every weld, draw and pattern step, and the
heats in which the blade is forged. Cooling, normalising and hardening add little and do
not count, which errs on the side of less level.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from billets.physics.bar import Steel
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.diffusivity import diffusivity
from billets.physics.plan import PlanInput, PlanResult, StepResult
from billets.physics.profile import (
    MOST_CELLS,
    Profile,
    Rows,
    evened,
    joined,
    laid,
    plain,
    regridded,
    stacked_up,
    upside_down,
    without_cells,
)
from billets.physics.state import typical
from billets.physics.steps import Core, Cut, Fold, HotStep, Step

ALLOYING = ("nickel", "chromium", "manganese")
"""Elements that make the pattern."""

BLADE_HEATS = 12
"""Heats from bar to blade, common practice, no source [1]."""

BLADE_HEAT, BLADE_SECONDS = 1100.0 + ZERO_CELSIUS, 110.0
"""How hot and how long each of them is, common practice, no source [K, s]."""

LOST_CARBON = (0.02, 0.05)
"""Carbon a thin, long-worked billet loses to scale besides, common practice, no source;
it is not taken off [%]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerCarbon:
    """Carbon in the layers of one steel.

    Attributes
    ----------
    key : str
        The steel.
    own : float
        As it was bought [%].
    low, high : float
        Between which it lies in the finished layers [%].
    """

    key: str
    own: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Levelling:
    """Carbon and alloying across a billet once its blade is forged.

    Attributes
    ----------
    mean_carbon : float
        By mass [%].
    carbon_left : float
        Largest difference of carbon that is left, over that at the start [1].
    layers : tuple of LayerCarbon
        For each steel that is left, in the order of the stack.
    contrast : mapping of str to (float or None)
        For nickel, chromium and manganese what is left of the difference between
        neighbours, middle to middle and typical of the billet [1]; None where there is
        none or a steel's contents are not known.
    seconds : float
        Time at heat that was counted [s].
    blade_heats : int
        Of which so many heats to forge the blade [1].
    thickness : float
        What the layers make up at the end: spine of the blade, or the bar [m].
    """

    mean_carbon: float
    carbon_left: float
    layers: tuple[LayerCarbon, ...]
    contrast: Mapping[str, float | None]
    seconds: float
    blade_heats: int
    thickness: float

    @property
    def carbon(self) -> Mapping[str, LayerCarbon]:
        """Carbon by steel."""
        return {one.key: one for one in self.layers}


def level_plan(
    plan: PlanInput,
    result: PlanResult,
    *,
    spine: float | None = None,
    blade_heats: int = BLADE_HEATS,
) -> Levelling:
    """Return how far the layers of a billet have levelled when its blade is forged.

    Parameters
    ----------
    plan : PlanInput
        The plan.
    result : PlanResult
        What it gives, plain or sampled; of draws the median counts.
    spine : float, optional
        Of the blade forged from the bar; without it the bar is left as it is [m].
    blade_heats : int
        Heats that takes [1].

    Returns
    -------
    Levelling
        Carbon and contrast. Good to the diffusivities: carbon levels at least so far,
        nickel and manganese are sure to a factor of 2 in time, chromium less.

    Notes
    -----
    Cutting, folding and a core rearrange the profile as they rearrange the layers;
    twists, ladder cuts and dimples count as heats only. Contents level by
    concentration: that carbon likes manganese and chromium a little better than nickel
    and silicon leaves 0.05 % of carbon or so between layers.
    """
    billet = _Billet(plan)
    for step, before, after in zip(
        plan.steps, result.steps, result.steps[1:], strict=False
    ):
        billet.work(step, before, after)
    thickness = typical(result.steps[-1].thickness)
    forged = 0 if spine is None else blade_heats
    if spine is not None and forged:
        billet.forge_blade(thickness, spine, forged)
        thickness = min(spine, thickness)
    return billet.summed_up(thickness, forged)


class _Billet:
    """A profile on its way through a plan; its heats wait until it is rearranged."""

    def __init__(self, plan: PlanInput) -> None:
        self.steels = _steels(plan)
        self.known = all(one.grade is not None for one in self.steels)
        self.elements = ("carbon", *ALLOYING) if self.known else ("carbon",)
        self.contents = np.array(
            [[_held(steel, one) for steel in self.steels] for one in self.elements]
        )
        places = {steel.key: place for place, steel in enumerate(self.steels)}
        self.places = places
        self.profile = laid(
            [one.thickness * one.steel.density for one in plan.stack.layers],
            [places[one.steel.key] for one in plan.stack.layers],
            self.contents,
        )
        self.spread = np.zeros(len(self.elements))
        self.skin = 1.0
        self.seconds = 0.0

    # --- the steps -------------------------------------------------------------------

    def work(self, step: Step, before: StepResult, after: StepResult) -> None:
        """Take a step: heat and skin first, then how the layers lie."""
        if isinstance(step, HotStep):
            thinness = _mean_thinness(before, after, typical(after.heats))
            self._heat(step.temperature, typical(after.at_heat), thinness)
        self.skin *= after.core
        if isinstance(step, Cut):
            self._settle()
            self.profile = stacked_up(self.profile, step.pieces, turned=step.turned)
        elif isinstance(step, Fold):
            self._settle()
            piece = regridded(self.profile, MOST_CELLS // 2)
            self.profile = joined([piece, upside_down(piece)])
        elif isinstance(step, Core):
            self._settle()
            self._lay_core(step, typical(before.thickness))

    def forge_blade(self, thickness: float, spine: float, heats: int) -> None:
        """Forge the bar down to the spine in some heats; its skin stays on."""
        thinness = _thinness(thickness, min(spine, thickness), heats)
        self._heat(BLADE_HEAT, heats * BLADE_SECONDS, thinness)

    def _heat(self, temperature: float, seconds: float, thinness: float) -> None:
        speeds = [diffusivity(one, temperature) for one in self.elements]
        self.spread = self.spread + np.array(speeds) * seconds * thinness
        self.seconds += seconds

    def _settle(self) -> None:
        """Even the profile out by the heats so far, then take its skin off."""
        self.profile = evened(regridded(self.profile, MOST_CELLS), self.spread)
        self.spread = np.zeros(len(self.elements))
        depth = (1.0 - self.skin) / 2.0 * self.profile.cells
        self.profile = without_cells(self.profile, round(depth))
        self.skin = 1.0

    def _lay_core(self, step: Core, thickness: float) -> None:
        """Lay a core between two halves, its cells of the same mass as theirs."""
        half = regridded(self.profile, MOST_CELLS // 4)
        densities = np.array([one.density for one in self.steels])
        density = 1.0 / float(np.mean(1.0 / densities[half.steels]))
        share = step.thickness * step.steel.density / (thickness * density)
        cells = min(max(round(share * half.cells), 1), MOST_CELLS // 2)
        kind = self.places[step.steel.key]
        core = plain(kind, self.contents[:, kind], cells)
        self.profile = joined([half, core, half])

    # --- what came of it -------------------------------------------------------------

    def summed_up(self, thickness: float, blade_heats: int) -> Levelling:
        """Return what the layers hold at the end."""
        self._settle()
        carbon = self.profile.contents[0]
        at_start = float(np.ptp(self.contents[0]))
        return Levelling(
            mean_carbon=float(carbon.mean()),
            carbon_left=float(np.ptp(carbon)) / at_start if at_start else 0.0,
            layers=tuple(self._layers(carbon)),
            contrast=self._contrast(),
            seconds=self.seconds,
            blade_heats=blade_heats,
            thickness=thickness,
        )

    def _layers(self, carbon: NDArray[np.float64]) -> Iterator[LayerCarbon]:
        for place, steel in enumerate(self.steels):
            held = carbon[self.profile.steels == place]
            if held.size:
                yield LayerCarbon(
                    key=steel.key,
                    own=steel.carbon,
                    low=float(held.min()),
                    high=float(held.max()),
                )

    def _contrast(self) -> Mapping[str, float | None]:
        if not self.known:
            return MappingProxyType(dict.fromkeys(ALLOYING))
        middles = _middles(self.profile)
        steels = self.profile.steels[middles]
        left = {
            element: _typical_left(
                self.profile.contents[row, middles], self.contents[row, steels]
            )
            for row, element in enumerate(self.elements)
            if element in ALLOYING
        }
        return MappingProxyType(left)


def _steels(plan: PlanInput) -> tuple[Steel, ...]:
    """Return every steel of a plan once, cores after the stack."""
    laid_in = (step.steel for step in plan.steps if isinstance(step, Core))
    every = [*(layer.steel for layer in plan.stack.layers), *laid_in]
    return tuple({steel.key: steel for steel in every}.values())


def _held(steel: Steel, element: str) -> float:
    if element == "carbon" or steel.grade is None:
        return steel.carbon
    return float(getattr(steel.grade, element))


def _middles(profile: Profile) -> NDArray[np.intp]:
    """Return the cell in the middle of each layer."""
    starts = np.flatnonzero(np.diff(profile.steels, prepend=-1))
    ends = np.append(starts[1:], profile.cells)
    middles: NDArray[np.intp] = (starts + ends - 1) // 2
    return middles


def _typical_left(now: Rows, at_start: Rows) -> float | None:
    """Return the median of what is left of the difference between neighbours."""
    before = np.abs(np.diff(at_start))
    differing = before > 1e-9
    if not differing.any():
        return None
    left = np.abs(np.diff(now))[differing] / before[differing]
    return min(float(np.median(left)), 1.0)


def _mean_thinness(before: StepResult, after: StepResult, heats: float) -> float:
    first, last = typical(before.thickness), typical(after.thickness)
    return _thinness(first, last, max(math.ceil(heats), 1))


def _thinness(first: float, last: float, heats: int) -> float:
    """Return the mean of one over the thickness squared [1/m^2].

    The billet goes into each heat as the one before left it, all of them shares of the
    way alike in its logarithm.
    """
    step = (first / last) ** (2.0 / heats)
    return float(np.mean(step ** np.arange(heats))) / first**2
