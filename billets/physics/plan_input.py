"""A billet as planned: what the chain of losses takes in."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from itertools import chain

import numpy as np

from billets.physics.bar import Stack
from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.factors import Factors
from billets.physics.state import Mask
from billets.physics.steps import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanInput:
    """A billet as planned.

    Attributes
    ----------
    stack : Stack
        What is welded; its length and width float or array (draws,) [m].
    steps : tuple of Step
        What is done, in order; the first is a weld.
    forge, tool, saw : Forge, Tool, Saw
        What it is done with.
    factors : Factors
        The shop's own factors, each float or array (draws,) [1].
    lightings : int
        How often the forge is lit [1].
    on : tuple of bool or array of bool (draws,), or None
        In a batch of different plans, which of them take each step; their layers are
        not counted then. None where every step is taken, as in one plan.
    """

    stack: Stack
    steps: tuple[Step, ...]
    forge: Forge = field(default_factory=Forge)
    tool: Tool = field(default_factory=Tool)
    saw: Saw = field(default_factory=Saw)
    factors: Factors = field(default_factory=Factors)
    lightings: int = 1
    on: tuple[Mask, ...] | None = None


def shape_of(plan: PlanInput) -> tuple[int, ...]:
    """Return () for a plain plan, else (draws,)."""
    parts = (plan.stack, plan.forge, plan.tool, plan.saw, plan.factors, *plan.steps)
    values = (getattr(part, one.name) for part in parts for one in fields(part))
    each = chain(values, plan.on or ())
    sizes = [one.shape for one in each if isinstance(one, np.ndarray)]
    return np.broadcast_shapes(*sizes)
