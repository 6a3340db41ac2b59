"""Stacks proposed for a wish, ranked by what they cost with the risk counted in.

All chains go through the one chain of losses as a batch at the medians, the cheapest
of them again with a few draws. The best rows are then run one by one like any plan,
so that what a list shows is what the opened plan shows.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from billets.physics.bar import Steel
from billets.physics.batch import Forging, kit_of, one_plan
from billets.physics.burning import red_limit
from billets.physics.candidates import bar_thickness, enumerated
from billets.physics.chains import Chains, Means, ProposalWish
from billets.physics.cheapest import Cheapest, cheapest_lengths, within
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.equipment import Forge
from billets.physics.errors import PlanError, _
from billets.physics.estimates import Goal, first_guess, steel_cost
from billets.physics.even_draws import even_draws
from billets.physics.factors import FactorBelief, medians
from billets.physics.lengths import check_chance
from billets.physics.proposal_rows import Judge, Laid, ProposalRow, proposal_row
from billets.physics.sifting import Sieve, failures, too_small
from billets.physics.steps import DRAWING_HEAT, WELDING_HEAT
from billets.physics.trials import Trial, tried_out
from billets.physics.uncertainty import DRAWS
from billets.physics.unit_costs import UnitCosts
from billets.physics.verdict import Target

ROWS = 10
"""Rows of the list [1]."""

ALIKE = 6
"""Rows of as many welds, where others are left: a list shows alternatives [1]."""

FEW_DRAWS = 16
"""Draws of each chain that is gone through in full [1]."""

MOST_TRIED = 2048
"""Chains gone through in full, the cheapest by their medians [1]."""

USUAL_SPARE, AMPLE = 1.3, 1.6
"""A stack is mostly so much longer than needed at the median, and hardly more [1]."""

LONGER = 3.0
"""By how much a stack is longer that is tried again after it was used up [1]."""

LETTERS = "ABCDE"
"""What the bars of a stack are called."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Proposals:
    """Stacks proposed for a wish.

    Attributes
    ----------
    rows : tuple of ProposalRow
        The cheapest first.
    considered, kept : int
        Chains looked at, and those of them that were not left out [1].
    dropped : mapping of str to int
        How many were left out, by reason, a key of `sifting.REASONS` [1].
    seed, draws : int
        Stream and number of draws of each row [1].
    """

    rows: tuple[ProposalRow, ...]
    considered: int
    kept: int
    dropped: Mapping[str, int]
    seed: int
    draws: int


def propose(
    wish: ProposalWish,
    means: Means,
    targets: Sequence[Target],
    beliefs: Mapping[str, FactorBelief],
    costs: UnitCosts,
    *,
    seed: int,
) -> Proposals:
    """Return the cheapest stacks for a wish, the risk of falling short counted in.

    Parameters
    ----------
    wish : ProposalWish
        Layers, and how sure [1].
    means : Means
        Bars on offer, forge, tool and saw.
    targets : sequence of Target
        What must come out of the bar, one for each knife [kg, m].
    beliefs : mapping of str to FactorBelief
        What is believed about the shop [1].
    costs : UnitCosts
        What steel, gas, time and a short billet cost [currency].
    seed : int
        Start of the stream of chance; keep it beside the result [1].

    Returns
    -------
    Proposals
        Ranked by expected cost. PlanError where the wish, the costs or the equipment
        cannot be meant so; no rows where no chain is left.
    """
    _check(wish, targets, costs)
    found = enumerated(wish, means, targets)
    sieve = Sieve(chains=found.chains)
    sieve.dropped.update(found.dropped)
    welding = welding_heat(_hardest(means))
    if welding is None:
        sieve.drop({"hot": np.ones(len(sieve.chains), dtype=np.bool_)})
    _check_fire(means.forge, welding or WELDING_HEAT)
    forging = Forging(
        means=means,
        welding=welding or WELDING_HEAT,
        thickness=bar_thickness(targets),
    )
    judge = Judge(
        targets=tuple(targets),
        goal=Goal.of(targets, costs),
        beliefs=beliefs,
        chance=wish.chance,
        seed=seed,
        draws=DRAWS,
    )
    rows = _rows(sieve, forging, judge) if len(sieve.chains) else ()
    return Proposals(
        rows=rows,
        considered=found.considered,
        kept=len(sieve.chains),
        dropped=MappingProxyType(sieve.dropped),
        seed=seed,
        draws=DRAWS,
    )


def welding_heat(steel: Steel) -> float | None:
    """Return the heat a stack is welded at, by the steel in it that burns first.

    Parameters
    ----------
    steel : Steel
        The one with the most carbon.

    Returns
    -------
    float or None
        The usual one; for much carbon the next ten degrees below where it may burn,
        but no colder than it is drawn. None if that burns too [K].
    """
    limit = red_limit(steel.carbon)
    if limit > WELDING_HEAT:
        return WELDING_HEAT
    colder = math.ceil((limit - ZERO_CELSIUS) / 10.0 - 1.0) * 10.0 + ZERO_CELSIUS
    return colder if colder >= DRAWING_HEAT else None


def _hardest(means: Means) -> Steel:
    return max((bar.steel for bar in means.bars), key=lambda one: one.carbon)


def _check(wish: ProposalWish, targets: Sequence[Target], costs: UnitCosts) -> None:
    if wish.chance is not None:
        check_chance(wish.chance)
    if not targets:
        raise PlanError(
            _("Choose at least one knife that is to come out of the billet."),
            field="knives",
        )
    named = {"gas": costs.gas, "hour": costs.hour, "short": costs.short or 0.0}
    for field, value in (
        *named.items(),
        *(("steel", one) for one in costs.steel.values()),
    ):
        if not 0.0 <= value < math.inf:
            raise PlanError(
                _("A cost may not be below zero, but {value} is; correct it."),
                field=field,
                value=value,
            )


def _check_fire(forge: Forge, welding: float) -> None:
    if not forge.wall_temperature > welding:
        raise PlanError(
            _(
                "The forge wall at {wall} cannot heat steel to {temperature}; run the "
                "forge hotter or choose a lower heat."
            ),
            field="forge",
            wall=forge.wall_temperature,
            temperature=welding,
        )


# --- from all chains to the rows ------------------------------------------------------


def _rows(sieve: Sieve, forging: Forging, judge: Judge) -> tuple[ProposalRow, ...]:
    """Go through the chains ever closer; what is left out is counted in the sieve."""
    try:
        plain = _at_the_medians(sieve, forging, judge)
    except PlanError as error:
        if error.field != "tool" or "step" not in error.values:
            raise
        # It moves none of them; the step it names is of no plan that is shown.
        sieve.drop({"tool": np.ones(len(sieve.chains), dtype=np.bool_)})
    if not len(sieve.chains):
        return ()
    best = _with_draws(sieve, plain, forging, judge)
    rows = [
        proposal_row(_laid(sieve.chains, place, best, forging, judge), judge)
        for place in _alternatives(sieve.chains, best)
    ]
    return tuple(
        sorted((one for one in rows if one is not None), key=lambda one: one.cost)
    )


def _at_the_medians(sieve: Sieve, forging: Forging, judge: Judge) -> Trial:
    """Leave out what cannot be made, and what is much dearer than the best."""
    trial = _first_trial(sieve.chains, forging, judge)
    trial = trial.of(sieve.drop(failures(trial, forging)))
    needed = trial.needed[:, 0]
    small = dict(too_small(trial, sieve.chains, needed * AMPLE))
    small["long"] = too_small(trial, sieve.chains, needed)["long"]
    left = sieve.drop(small)
    trial, needed = trial.of(left), needed[left]
    cost = trial.making.at(needed * USUAL_SPARE)
    dear = np.zeros(len(sieve.chains), dtype=np.bool_)
    dear[np.argsort(cost, kind="stable")[MOST_TRIED:]] = True
    return trial.of(sieve.drop({"dear": dear}))


def _first_trial(chains: Chains, forging: Forging, judge: Judge) -> Trial:
    """Run all chains at the medians, those used up again with longer stacks."""
    factors, goal = medians(judge.beliefs), judge.goal
    about = first_guess(chains, forging, goal)
    trial = tried_out(chains, about, forging, factors, goal)
    again = ~np.isfinite(trial.needed[:, 0])
    if not again.any():
        return trial
    longer = about[again] * LONGER
    more = tried_out(chains.of(again), longer, forging, factors, goal)
    return trial.but(again, more)


def _with_draws(sieve: Sieve, plain: Trial, forging: Forging, judge: Judge) -> Cheapest:
    """Return the cheapest length of each chain, by a few even draws."""
    factors = even_draws(judge.beliefs, judge.seed, FEW_DRAWS)
    about = plain.needed[:, 0]
    trial = tried_out(sieve.chains, about, forging, factors, judge.goal)
    costs = judge.goal.costs
    needed = within(trial.needed, sieve.chains.longest)
    best = cheapest_lengths(needed, trial.making, costs.short, judge.chance)
    none = ~np.isfinite(best.length)
    cut_off = np.any(needed > trial.needed, axis=1)
    left = sieve.drop({"long": none & cut_off, "short": none})
    best, plain = best.of(left), plain.of(left)
    return best.of(sieve.drop(too_small(plain, sieve.chains, best.length)))


def _alternatives(chains: Chains, best: Cheapest) -> list[int]:
    """Return the places of the cheapest chains, no two of as many layers and welds.

    Those of other numbers of welds come in before too many of one.
    """
    first: list[int] = []
    more: list[int] = []
    families: set[tuple[int, int]] = set()
    of_welds: Counter[int] = Counter()
    for place in np.argsort(best.cost, kind="stable").tolist():
        welds = int(np.count_nonzero(chains.cuts[place])) + 1
        family = int(chains.layers[place]), welds
        if family in families:
            continue
        families.add(family)
        of_welds[welds] += 1
        (first if of_welds[welds] <= ALIKE else more).append(place)
    return (first[:ROWS] + more)[:ROWS]


def _laid(
    chains: Chains, place: int, best: Cheapest, forging: Forging, judge: Judge
) -> Laid:
    kit, pieces = kit_of(chains, place)
    factors = medians(judge.beliefs)
    plan = one_plan(chains, place, float(best.length[place]), forging, factors)
    one = chains.of(np.array([place]))
    return Laid(
        plan=plan,
        bars=kit.bars,
        order="".join(LETTERS[bar] for bar in kit.order(pieces)),
        steel=float(steel_cost(one, judge.goal.costs)[0]),
        longest=float(one.longest[0]),
    )
