"""What failures cost: a chain of stages in which some attempts start again.

A knife passes its stages in order. At the end of each it is good with some chance;
if not, it starts again at that stage or at an earlier one, and what lies between is
paid a second time. The expected cost of one good knife is more than its nominal
cost, and the difference is the share of failures that every price has to carry.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate
from math import prod

import numpy as np
from numpy.typing import NDArray

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.money import ZERO

ONE = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One stage of the chain.

    Attributes
    ----------
    success : Decimal
        Chance that an attempt leaves the stage good, above 0, at most 1 [1].
    restart : int
        Place of the stage where a failure starts again, from 0 on; at most its own.
    """

    success: Decimal
    restart: int


def chain(successes: Sequence[Decimal], restarts: Sequence[int]) -> tuple[Link, ...]:
    """Return a chain of stages, refused where it could not be walked.

    >>> chain([Decimal("0.9"), Decimal("0.8")], [0, 1])[1].restart
    1
    """
    links = tuple(
        Link(success=success, restart=restart)
        for success, restart in zip(successes, restarts, strict=True)
    )
    for place, link in enumerate(links):
        _check(place, link)
    return links


def _check(place: int, link: Link) -> None:
    if not 0 < link.success <= 1:
        raise QuoteError(
            _(
                "The chance that stage {place} succeeds must be above 0 and at "
                "most 100 %."
            ),
            field="success",
            place=place + 1,
        )
    if not 0 <= link.restart <= place:
        raise QuoteError(
            _(
                "A failure at stage {place} starts again there or at an earlier "
                "stage, not at stage {restart}."
            ),
            field="restart",
            place=place + 1,
            restart=link.restart + 1,
        )


def line_yield(links: Sequence[Link]) -> Decimal:
    """Return the chance that a knife passes every stage at the first attempt [1].

    >>> line_yield(chain([Decimal("0.95"), Decimal("0.84"), Decimal("0.88")], [0] * 3))
    Decimal('0.702240')
    """
    return prod((link.success for link in links), start=ONE)


def expected_by_stage(
    costs: Sequence[Decimal], links: Sequence[Link]
) -> tuple[Decimal, ...]:
    """Return what passing each stage costs in expectation, failures included.

    Notes
    -----
    From stage i on, V_i = c_i + q_i V_(i+1) + (1 - q_i) V_r(i). With W_i = V_i -
    V_(i+1), the cost of getting past stage i, this is W_i = (c_i + (1 - q_i)
    (W_r(i) + ... + W_(i-1)))/q_i, which is solved stage by stage. With all restarts
    at the first stage the sum is sum_i c_i / prod_(j >= i) q_j.

    References
    ----------
    J. G. Kemeny, J. L. Snell, Finite Markov Chains, 1960 (quoted from memory,
    verify).

    Examples
    --------
    >>> links = chain([Decimal("0.5"), Decimal("0.8")], [0, 0])
    >>> [str(cost) for cost in expected_by_stage([Decimal(10), Decimal(4)], links)]
    ['20', '10']
    """
    passed: list[Decimal] = []
    for cost, link in zip(costs, links, strict=True):
        again = sum(passed[link.restart :], ZERO)
        passed.append((cost + (ONE - link.success) * again) / link.success)
    return tuple(passed)


def expected(costs: Sequence[Decimal], links: Sequence[Link]) -> Decimal:
    """Return the expected cost of one good knife.

    >>> str(expected([Decimal(10), Decimal(4)], chain([ONE, Decimal("0.8")], [0, 1])))
    '15'
    """
    return sum(expected_by_stage(costs, links), ZERO)


def first_order(costs: Sequence[Decimal], links: Sequence[Link]) -> Decimal:
    """Return the usual short cut for the extra cost: one failure, all sunk is lost.

    sum_i (1 - q_i) (c_1 + ... + c_i); below the chain, since a second attempt may
    fail too.

    >>> str(first_order([Decimal(10), Decimal(4)], chain([Decimal("0.9")] * 2, [0, 0])))
    '2.4'
    """
    sunk = accumulate(costs)
    return sum(
        ((ONE - link.success) * cost for cost, link in zip(sunk, links, strict=True)),
        ZERO,
    )


def share(costs: Sequence[Decimal], links: Sequence[Link]) -> Decimal:
    """Return how much dearer failures make a good knife, as a share of nominal cost.

    >>> share([Decimal(1), Decimal(1)], chain([ONE, ONE], [0, 0]))
    Decimal('0')
    """
    nominal = sum(costs, ZERO)
    return expected(costs, links) / nominal - ONE if nominal else ZERO


def expected_passes(links: Sequence[Link]) -> tuple[Decimal, ...]:
    """Return how often each stage is expected to be walked for one good knife [1].

    Their sum of costs is ``expected``: it counts the same walk by stage.

    >>> links = chain([Decimal("0.5"), Decimal("0.8")], [0, 0])
    >>> [str(count) for count in expected_passes(links)]
    ['2.5', '1.25']
    """
    failed: list[Decimal] = [ZERO] * len(links)
    passes: list[Decimal] = [ONE] * len(links)
    for place in reversed(range(len(links))):
        again = sum((failed[one] for one in _back_over(links, place)), ZERO)
        passes[place] = (ONE + again) / links[place].success
        failed[place] = passes[place] * (ONE - links[place].success)
    return tuple(passes)


def passes(
    links: Sequence[Link], draws: int, generator: np.random.Generator
) -> NDArray[np.float64]:
    """Return how often each stage is walked, for many knives made by chance.

    Parameters
    ----------
    links : sequence of Link
        The chain.
    draws : int
        How many knives [1].
    generator : numpy Generator
        Where chance comes from.

    Returns
    -------
    array (stages, draws)
        Passes of each stage until the knife is good, at least 1 [1].

    Notes
    -----
    No walk is simulated, so none can run on for ever. A stage must be left good once,
    and once more for every failure at a later stage that starts again at it or before
    it; counted from the last stage back, the failures before so many good attempts are
    negative binomial, and the count is exact.

    References
    ----------
    J. G. Kemeny, J. L. Snell, Finite Markov Chains, 1960 (quoted from memory,
    verify).
    """
    failed = np.zeros((len(links), draws), dtype=np.int64)
    walked = np.ones((len(links), draws))
    for place in reversed(range(len(links))):
        good = 1 + failed[_back_over(links, place)].sum(axis=0)
        chance = float(links[place].success)
        failed[place] = generator.negative_binomial(good, chance)
        walked[place] = good + failed[place]
    return walked


def _back_over(links: Sequence[Link], place: int) -> list[int]:
    """Return the later stages whose failures lead back to a stage or before it."""
    later = range(place + 1, len(links))
    return [one for one in later if links[one].restart <= place]
