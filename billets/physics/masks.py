"""Steps that only some draws of a batch take.

Plans of different length go through the chain side by side: each step says which
draws take it. The others are left as they are: nothing lost, no heat, no time. Draws
that take a step which cannot be done are used up by it, and leave the rest alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass, replace
from types import MappingProxyType
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from billets.physics import Number
from billets.physics.errors import PlanError, _
from billets.physics.guards import check_order
from billets.physics.state import Change, Context, Mask, State
from billets.physics.steps import Step

Place: TypeAlias = slice | NDArray[np.intp]
"""Which draws, as an array is asked for them."""

MOST_MASKED = 60
"""Steps of a batch: which a draw takes is kept in the bits of one whole number [1]."""

CAUSES: Mapping[str, str] = MappingProxyType(
    {
        "weld": "weld_scale",
        "trim": "trim",
        "grind": "grind",
        "cut": "kerf",
        "fold": "kerf",
        "core": "kerf",
        "twist": "pattern",
        "ladder": "pattern",
        "dimple": "pattern",
    }
)
"""What a billet is lost to if a step cannot be done; to drawing if not named."""


@dataclass(slots=True, kw_only=True)
class Masked:
    """Does steps for the draws that take them.

    Attributes
    ----------
    shape : tuple of int
        (draws,) of the whole batch.
    kept : dict
        Equipment and factors of some of the draws: one mask serves several steps.
    """

    shape: tuple[int, ...]
    kept: dict[tuple[int, int], tuple[Context, Mask, Context]] = field(
        default_factory=dict
    )

    def change(
        self,
        rule: Callable[[State, Any, Context], Change],
        step: Step,
        on: Mask,
        before: tuple[State, Context],
    ) -> Change:
        """Return what a step does to the draws it is on for.

        Parameters
        ----------
        rule : callable
            What such a step does.
        step : Step
            The step.
        on : bool or array of bool (draws,)
            Which draws take it.
        before : (State, Context)
            The billets, and what all steps share.

        Returns
        -------
        Change
            Without flags: they would speak of other plans than the one at hand.
        """
        state, context = before
        taken = int(np.count_nonzero(on))
        if taken == 0:
            return Change(state=state)
        if taken == np.size(on):
            return replace(rule(state, step, context), flags=())
        place = _place(np.asarray(on), taken)
        part = _picked(state, place, self.shape)
        at = self._context(context, on, place)
        change = _done(rule, part, _picked(step, place, self.shape), at)
        return self._laid_back(state, change, place)

    def _context(self, context: Context, on: Mask, place: Place) -> Context:
        key = id(context), id(on)
        if key not in self.kept:
            # What the key was made of is kept too, so that no other takes its number.
            self.kept[key] = context, on, _picked(context, place, self.shape)
        return self.kept[key][2]

    def _laid_back(self, before: State, change: Change, place: Place) -> Change:
        """Return the change of the whole batch, from that of some of its draws."""

        def laid(rest: Any, part: Any) -> Any:
            return _laid(rest, part, place, self.shape)

        state = {
            one.name: laid(getattr(before, one.name), getattr(change.state, one.name))
            for one in fields(State)
        }
        return Change(
            state=State(**state),
            lost_by=tuple((cause, laid(0.0, lost)) for cause, lost in change.lost_by),
            added=laid(0.0, change.added),
            heats=laid(0.0, change.heats),
            heating=laid(0.0, change.heating),
            working=laid(0.0, change.working),
            core=laid(1.0, change.core),
            hot=change.hot,
        )


def check_masks(steps: Sequence[Step], on: Sequence[Mask]) -> None:
    """Raise PlanError unless the steps each draw takes can follow one another.

    Parameters
    ----------
    steps : sequence of Step
        All steps of a batch.
    on : sequence of bool or array of bool (draws,)
        Which draws take each of them.
    """
    if len(on) != len(steps) or len(steps) > MOST_MASKED:
        raise PlanError(
            _("A batch says for each of its steps, {most} at most, who takes it."),
            field="steps",
            most=MOST_MASKED,
        )
    for step, one in zip(steps, on, strict=True):
        if step.kind == "core" and not np.all(one):
            raise PlanError(
                _("A core is laid into every billet of a batch, or into none."),
                field="core",
            )
    taken = sum(
        (np.multiply(one, 1 << place) for place, one in enumerate(on)),
        start=np.int64(0),
    )
    for pattern in set(np.unique(taken).tolist()):
        check_order([one for place, one in enumerate(steps) if pattern >> place & 1])


def times_taken(on: Sequence[Mask]) -> Number:
    """Return how many of some steps are taken, float or array (draws,) [1].

    Parameters
    ----------
    on : sequence of bool or array of bool (draws,)
        Which draws take each of them.

    Returns
    -------
    float or array (draws,)
        Their number [1].
    """
    count: Number = 0.0
    for one in on:
        count = count + np.multiply(one, 1.0)
    return count


def _place(on: NDArray[np.bool_], taken: int) -> Place:
    # Draws that come first are looked at where they are: nothing has to be copied.
    return slice(0, taken) if on[:taken].all() else np.flatnonzero(on)


def _picked(whole: Any, place: Place, shape: tuple[int, ...]) -> Any:
    """Return a part of all arrays in a thing; the thing itself if it holds none."""
    changed: dict[str, Any] = {}
    for one in fields(whole):
        value = getattr(whole, one.name)
        if isinstance(value, np.ndarray):
            changed[one.name] = np.broadcast_to(value, shape)[place]
        elif is_dataclass(value):
            part = _picked(value, place, shape)
            changed |= {one.name: part} if part is not value else {}
    return replace(whole, **changed) if changed else whole


def _laid(rest: Any, part: Any, place: Place, shape: tuple[int, ...]) -> Any:
    """Return a value for the whole batch from that of some draws and of the rest."""
    plain = not isinstance(rest, np.ndarray) and not isinstance(part, np.ndarray)
    if plain and part == rest:
        return rest
    laid = np.empty(shape, dtype=np.result_type(rest, part))
    laid[...] = rest
    laid[place] = part
    return laid


def _done(
    rule: Callable[[State, Any, Context], Change],
    state: State,
    step: Step,
    at: Context,
) -> Change:
    """Return what a step does; it uses up all of the draws if it cannot be done."""
    try:
        return rule(state, step, at)
    except PlanError:
        cause = CAUSES.get(step.kind, "draw_scale")
        gone = replace(state, alive=state.alive * 0.0)
        return Change(state=gone, lost_by=((cause, state.mass),))
