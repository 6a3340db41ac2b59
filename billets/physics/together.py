"""The steels of one billet, as the checks and the heat treatment look at them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from billets.physics.bar import Steel
from billets.physics.checks import THRESHOLDS, Thresholds
from billets.physics.common_heat import (
    Window,
    common_window,
    is_steel,
    shared_quench,
)
from billets.physics.grades import Grade
from billets.physics.layers import Sequence as Layers
from billets.physics.layers import shares
from billets.physics.levelling import Levelling
from billets.physics.neighbours import edge_steels, touching
from billets.physics.plan import PlanInput, PlanResult
from billets.physics.steps import Core, HotStep

USUAL_SPINE, USUAL_EDGE = 0.0025, 0.00025
"""A kitchen knife at the spine and behind the edge where neither is known, common
practice, no source [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """A heat of the plan and the steel in it that melts first.

    Attributes
    ----------
    temperature : float
        Of the steel [K].
    steel : Steel
        The one with the most carbon, as it was bought.
    """

    temperature: float
    steel: Steel


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Steels welded to one another.

    Attributes
    ----------
    steels : tuple of Steel
        Each once, in the order they are met.
    layers : tuple of (str, float)
        What lies across the thickness at the end: key and share [1].
    levelling : Levelling
        What the heats did to carbon and alloying.
    heats : tuple of Heat
        Every heat above forging, hottest for its steel.
    stack : float or None
        Height of the first stack [m].
    spine : float or None
        Thickness of the blade at the spine; None where no knife is known [m].
    edge, behind_edge : float
        Thickness of the edge before hardening, and of the finished blade behind its
        edge, 0 where that is not known [m].
    severity : float or None
        Of the shop's own bath; None where it is not known [1/m].
    bath : str
        What the shop calls that bath.
    limits : Thresholds
        Limits in force.
    """

    steels: tuple[Steel, ...]
    layers: Layers
    levelling: Levelling
    heats: tuple[Heat, ...] = ()
    stack: float | None = None
    spine: float | None = None
    edge: float = THRESHOLDS.edge
    behind_edge: float = 0.0
    severity: float | None = None
    bath: str = ""
    limits: Thresholds = THRESHOLDS

    # --- what is known ---------------------------------------------------------------

    @property
    def unknown(self) -> tuple[Steel, ...]:
        """Steels of which nothing but the carbon is known."""
        return tuple(one for one in self.steels if one.grade is None)

    @property
    def grades(self) -> tuple[Grade, ...]:
        """What is known of the others."""
        return tuple(one.grade for one in self.steels if one.grade is not None)

    @property
    def hardening(self) -> tuple[Steel, ...]:
        """Steels that harden by their sheets."""
        return tuple(one for one in self.steels if one.grade and one.grade.hardens)

    @property
    def turning(self) -> tuple[Steel, ...]:
        """Steels that turn to martensite, iron that has taken up carbon among them."""
        return tuple(one for one in self.steels if self._turns(one))

    @property
    def soft(self) -> tuple[Steel, ...]:
        """Steels that stay soft: nickel, and iron that has taken up too little."""
        known = (one for one in self.steels if one.grade is not None)
        return tuple(one for one in known if not self._turns(one))

    def _turns(self, steel: Steel) -> bool:
        grade = steel.grade
        if grade is None or not is_steel(grade):
            return False
        return grade.hardens or self.carbon(steel)[0] >= self.limits.carbon[0]

    # --- carbon ----------------------------------------------------------------------

    @property
    def level(self) -> bool:
        """Whether the billet has one carbon."""
        return self.levelling.carbon_left <= self.limits.level

    def carbon(self, steel: Steel) -> tuple[float, float]:
        """Return the least and the most carbon in a steel's layers [%].

        The mean where carbon is level, the steel's own where it has hardly moved.
        """
        left, held = self.levelling.carbon_left, self.levelling.carbon.get(steel.key)
        if left <= self.limits.level:
            return (self.levelling.mean_carbon,) * 2
        if left > self.limits.half_level or held is None:
            return (steel.carbon,) * 2
        return held.low, held.high

    @property
    def edge_layers(self) -> tuple[Steel, ...]:
        """Steels that come out at the edge."""
        spine, edge = self.spine or USUAL_SPINE, self.behind_edge or USUAL_EDGE
        keys = edge_steels(self.layers, spine, edge)
        return tuple(one for one in self.steels if one.key in keys)

    @property
    def edge_carbon(self) -> tuple[float, float]:
        """Least and most carbon at the edge, of the layers that harden there [%]."""
        found = [self.carbon(one) for one in self.edge_layers if one in self.turning]
        every = found or [self.carbon(one) for one in self.edge_layers]
        return min(low for low, _high in every), max(high for _low, high in every)

    # --- how they lie ----------------------------------------------------------------

    @property
    def touching(self) -> tuple[tuple[Steel, Steel], ...]:
        """Pairs that touch."""
        by_key = {one.key: one for one in self.steels}
        return tuple(
            (by_key[one], by_key[other]) for one, other in touching(self.layers)
        )

    def share(self, steel: Steel) -> float:
        """Return a steel's share of the thickness [1]."""
        return math.fsum(part for key, part in self.layers if key == steel.key)

    def off_middle(self, steel: Steel) -> float:
        """Return how far the middle of a steel's layers is off the billet's [1]."""
        moment, place = 0.0, 0.0
        for key, part in self.layers:
            if key == steel.key:
                moment += part * (place + part / 2.0 - 0.5)
            place += part
        return abs(moment) / (self.share(steel) or 1.0)

    @property
    def bows(self) -> bool:
        """Whether the layers lie unlike on either side of the middle."""
        moments = (self.share(one) * self.off_middle(one) for one in self.steels)
        return any(moment > self.limits.bow for moment in moments)

    # --- one heat, one bath ----------------------------------------------------------

    @property
    def window(self) -> Window | None:
        """Where the hardening heats of all sheets meet; None where one is missing."""
        return common_window(self.hardening)

    @property
    def quench(self) -> str:
        """The class of bath the billet is quenched in; empty if nothing hardens."""
        return shared_quench([one.grade.quench for one in self.hardening if one.grade])


def heats_of(plan: PlanInput) -> tuple[Heat, ...]:
    """Return every heat of a plan with what melts first in it, a core from then on."""
    return tuple(_heats(plan))


def _heats(plan: PlanInput) -> Iterator[Heat]:
    hardest = plan.stack.hardest
    for step in plan.steps:
        if isinstance(step, Core) and step.steel.carbon > hardest.carbon:
            hardest = step.steel
        if isinstance(step, HotStep):
            yield Heat(temperature=step.temperature, steel=hardest)


def together(plan: PlanInput, result: PlanResult, levelling: Levelling) -> Together:
    """Return the steels of a plan as the checks look at them.

    Parameters
    ----------
    plan : PlanInput
        The plan.
    result : PlanResult
        What it gives.
    levelling : Levelling
        What its heats did.

    Returns
    -------
    Together
        Steels that are left in the billet, and its heats; no knife yet.
    """
    laid_in = (step.steel for step in plan.steps if isinstance(step, Core))
    every = [*(layer.steel for layer in plan.stack.layers), *laid_in]
    left = {key for key, _share in result.sequence}
    steels = {one.key: one for one in every if one.key in left}
    return Together(
        steels=tuple(steels.values()),
        layers=shares(result.sequence),
        levelling=levelling,
        heats=heats_of(plan),
        stack=plan.stack.thickness,
    )
