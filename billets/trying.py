"""A billet computed for its page: what it comes to, or why it cannot be made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from billets.figures import PlanFigures, ends_clean, figures, fit_stack
from billets.messages import sentence
from billets.models import PlanTarget
from billets.physics.errors import PlanError, _
from billets.physics.fit import Fit
from billets.physics.verdict import Target
from billets.services import Beliefs, PlanSpec, core_targets, shop_beliefs
from billets.summary import Summary, summary
from billets.units import System
from billets.wording import mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A knife that is to come out of the bar, and what it needs."""

    row: PlanTarget
    needed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What a billet must give, how surely, and with which draws that is judged."""

    rows: Sequence[PlanTarget]
    chance: float
    seed: int

    def targets(self, spec: PlanSpec) -> tuple[Target, ...]:
        """Return what each knife needs of the bar as it ends, forged or clean."""
        return core_targets(self.rows, clean=ends_clean(spec))


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What a page shows of a billet; a refusal, or nothing, if it was not computed."""

    figures: PlanFigures | None = None
    summary: Summary | None = None
    wanted: tuple[Wanted, ...] = ()
    refusal: str = ""


def trial(spec: PlanSpec, aim: Aim, system: System) -> Trial:
    """Compute a billet once and say what it comes to; PlanError if it cannot be made.

    If it is short, the stack that would do is fitted as well, to name the way out.
    """
    beliefs, targets = shop_beliefs(), aim.targets(spec)
    found = figures(spec, targets, beliefs, seed=aim.seed, chance=aim.chance)
    return Trial(
        figures=found,
        summary=summary(found, system, _way_out(found, aim)),
        wanted=tuple(
            Wanted(row=row, needed=mass(target.needed, system))
            for row, target in zip(aim.rows, targets, strict=True)
        ),
    )


def refused(error: PlanError, system: System) -> Trial:
    """Return what a page shows of a billet that cannot be made."""
    return Trial(refusal=sentence(error, system))


def fitted(spec: PlanSpec, aim: Aim, *, by_pieces: bool) -> tuple[PlanSpec, Fit]:
    """Return the billet with the smallest stack that suffices; PlanError if none."""
    if not aim.rows:
        raise PlanError(
            _(
                "There is nothing to fit to: no knife is to come out of this billet. "
                "Save the plan, choose it on the page of a knife, and fit it then."
            ),
            field=None,
        )
    return _fit(spec, aim, shop_beliefs(), by_pieces=by_pieces)


def _fit(
    spec: PlanSpec, aim: Aim, beliefs: Beliefs, *, by_pieces: bool
) -> tuple[PlanSpec, Fit]:
    return fit_stack(
        spec,
        aim.targets(spec),
        beliefs,
        seed=aim.seed,
        chance=aim.chance,
        by_pieces=by_pieces,
    )


def _way_out(found: PlanFigures, aim: Aim) -> Fit | PlanError | None:
    if found.verdict is None or found.verdict.enough:
        return None
    try:
        return _fit(found.spec, aim, found.beliefs, by_pieces=False)[1]
    except PlanError as error:
        return error
