"""What is known of chains before they are run: their steel, and a first guess."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from billets.physics.bar import Steel
from billets.physics.batch import Forging
from billets.physics.chains import Chains, Measures
from billets.physics.errors import PlanError, _
from billets.physics.losses import FALLBACK_PER_WELD
from billets.physics.unit_costs import UnitCosts
from billets.physics.verdict import Target, length_needed, mass_needed

ENDS = 0.030
"""What a stack is longer by for trimming, to begin with a guess [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """What must come out, and what everything costs.

    Attributes
    ----------
    mass, length : float
        Of the bar, at least [kg, m].
    costs : UnitCosts
        By the kilogram and hour.
    """

    mass: float
    length: float
    costs: UnitCosts

    @classmethod
    def of(cls, targets: Sequence[Target], costs: UnitCosts) -> Goal:
        """Return what several knives need together."""
        return cls(
            mass=mass_needed(targets), length=length_needed(targets), costs=costs
        )


def first_guess(chains: Chains, forging: Forging, goal: Goal) -> Measures:
    """Return about how long each stack will be, from what a weld usually leaves.

    Parameters
    ----------
    chains : Chains
        The chains.
    forging : Forging
        The bar at the end [m].
    goal : Goal
        What must come out [kg, m].

    Returns
    -------
    array (candidates,)
        Length [m].
    """
    height = chains.stacks.height[chains.row]
    section = chains.width * height
    per_length = section * _density(chains)
    bar = chains.bar_width * forging.thickness * _density(chains)
    wanted = np.maximum(goal.mass, goal.length * bar)
    guess: Measures = wanted / (per_length * np.exp(FALLBACK_PER_WELD * chains.welds))
    return guess + ENDS


def steel_cost(chains: Chains, costs: UnitCosts) -> Measures:
    """Return what the steel of a metre of stack costs, whole bar widths counted.

    Parameters
    ----------
    chains : Chains
        The chains.
    costs : UnitCosts
        Of a kilogram of each steel [currency/kg].

    Returns
    -------
    array (candidates,)
        Cost of a metre; what is ripped off a wider bar has been bought [currency/m].
    """
    stacks = chains.stacks
    bars = np.array(
        [
            [
                bar.thickness * bar.width * bar.steel.density * _price(bar.steel, costs)
                for bar in kit.bars
            ]
            for kit in stacks.kits
        ]
    )
    each = stacks.counts[chains.row] * bars[stacks.kit[chains.row]]
    total: Measures = each.sum(axis=1)
    return total


def _price(steel: Steel, costs: UnitCosts) -> float:
    if steel.key not in costs.steel:
        raise PlanError(
            _("{steel} has no price a kilogram; enter one with the steel."),
            field="steel",
            steel=steel.name,
        )
    return costs.steel[steel.key]


def _density(chains: Chains) -> Measures:
    """Return the density of each stack, each steel by its volume [kg/m^3]."""
    stacks = chains.stacks
    size = np.array([[bar.thickness for bar in kit.bars] for kit in stacks.kits])
    heavy = np.array([bar.steel.density for bar in stacks.kits[0].bars])
    volume = stacks.counts[chains.row] * size[stacks.kit[chains.row]]
    density: Measures = volume @ heavy / volume.sum(axis=1)
    return density
