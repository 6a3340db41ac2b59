"""What each draw of a plan needs to start with, and how sure a stack then is.

One batch of draws is made once. From it comes the length each draw needs, and every
question is a question about those lengths; whatever is answered is then tried out on
the chain with the very same draws.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from billets.physics.demand import Demand, demand_of
from billets.physics.errors import PlanError, _
from billets.physics.factors import PRIORS, FactorBelief
from billets.physics.guards import LONGEST
from billets.physics.lengths import needed_lengths, suffices_in, with_length
from billets.physics.plan import PlanInput, PlanResult, run_plan
from billets.physics.uncertainty import DRAWS, sampled_input
from billets.physics.verdict import Target, length_needed, mass_needed


@dataclass(frozen=True, slots=True, kw_only=True)
class SureStack:
    """A stack and how sure it is.

    Attributes
    ----------
    length, start_mass : float
        Of the stack [m, kg].
    chance : float
        Share of draws in which it suffices [1].
    spare : float
        Steel left over beyond what is needed, the mean of all draws [kg].
    """

    length: float
    start_mass: float
    chance: float
    spare: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Needs:
    """What each draw of a plan needs, so that it ends with enough.

    Attributes
    ----------
    plan : PlanInput
        The plan with its factors drawn [SI units].
    targets : tuple of Target
        What it is needed for [kg, m].
    lengths : array (draws,)
        Length of stack; infinite where no length suffices [m].
    seed, draws : int
        With them the same draws come again [1].
    tried : dict of float to SureStack or PlanError
        What lengths have come to [m].
    """

    plan: PlanInput
    targets: tuple[Target, ...]
    lengths: NDArray[np.float64]
    seed: int
    draws: int
    tried: dict[float, SureStack | PlanError] = field(default_factory=dict)

    @property
    def per_length(self) -> float:
        """Mass of the stack over its length [kg/m]."""
        stack = self.plan.stack
        return float(stack.density * stack.width * stack.thickness)

    @property
    def demand(self) -> Demand:
        """The lognormal closest to the lengths; masses in it are metres [m]."""
        return demand_of(self.lengths)


def needs_of(
    plan: PlanInput,
    targets: Sequence[Target],
    beliefs: Mapping[str, FactorBelief] = PRIORS,
    *,
    seed: int,
    draws: int = DRAWS,
) -> Needs:
    """Return what each of many shops that might be this one needs.

    Parameters
    ----------
    plan : PlanInput
        The plan; the length of its stack is not looked at [SI units].
    targets : sequence of Target
        At least one, one for each knife; masses and lengths add up [kg, m].
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    seed, draws : int
        Stream and number of draws [1].

    Returns
    -------
    Needs
        Length of stack for each draw [m].
    """
    if not targets:
        raise PlanError(
            _(
                "No knife is to come out of this billet yet: choose it on the page "
                "of a knife."
            ),
            field="targets",
        )
    sampled = sampled_input(plan, beliefs, seed, draws)
    lengths = np.asarray(
        needed_lengths(sampled, mass_needed(targets), length_needed(targets))
    )
    return Needs(
        plan=sampled,
        targets=tuple(targets),
        lengths=np.where(lengths > LONGEST, math.inf, lengths),
        seed=seed,
        draws=draws,
    )


def stack_with(needs: Needs, length: float) -> SureStack:
    """Return how sure a stack of a length is; PlanError if it cannot be made.

    Parameters
    ----------
    needs : Needs
        Plan, targets and draws.
    length : float
        Of the stack [m].

    Returns
    -------
    SureStack
        As the chain with these draws gives it.
    """
    found = tried_length(needs, length)
    if isinstance(found, PlanError):
        raise found
    return found


def tried_length(needs: Needs, length: float) -> SureStack | PlanError:
    """Return what a length [m] comes to; each is run through the chain once."""
    key = round(length, 9)
    if key not in needs.tried:
        try:
            needs.tried[key] = _run(needs, length)
        except PlanError as error:
            needs.tried[key] = error
    return needs.tried[key]


def _run(needs: Needs, length: float) -> SureStack:
    return weighed(needs, length, run_plan(with_length(needs.plan, length)))


def weighed(needs: Needs, length: float, result: PlanResult) -> SureStack:
    """Return how sure a stack is that has been run through the chain already.

    Parameters
    ----------
    needs : Needs
        Plan, targets and draws.
    length : float
        Of the stack [m].
    result : PlanResult
        Of the plan with these draws and this length (draws,) [SI units].

    Returns
    -------
    SureStack
        Its chance [1] and what it leaves over [kg].
    """
    over = np.maximum(result.clean_mass - mass_needed(needs.targets), 0.0)
    return SureStack(
        length=length,
        start_mass=length * needs.per_length,
        chance=suffices_in(result, needs.targets),
        spare=float(np.mean(over)),
    )
