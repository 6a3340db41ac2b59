"""The plan of a billet and what it gives: the only way to a mass after a step.

One code path: floats in, floats out; any array in, every measured field comes out
with the shape (draws,). Layers are counted once, beside the sums.
"""

from __future__ import annotations

import operator
from collections.abc import Iterator
from dataclasses import dataclass, field, fields, replace
from itertools import accumulate, chain

import numpy as np

from billets.physics import Number
from billets.physics.bar import Stack
from billets.physics.core_rule import with_core
from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.errors import Flag, PlanError, _
from billets.physics.factors import Factors
from billets.physics.flags import stack_flags
from billets.physics.guards import check_order, check_shop, check_stack
from billets.physics.layers import LayerBook, open_book, shares, without_skin
from billets.physics.masks import Masked, check_masks, times_taken
from billets.physics.results import (
    LossByCause,
    PatternStep,
    PlanResult,
    StepResult,
)
from billets.physics.rules import RULES
from billets.physics.state import Change, Context, Mask, State, some, stacked, typical
from billets.physics.steps import HOT_KINDS, Step
from billets.physics.thermal import expansion

__all__ = [
    "HOT_KINDS",
    "LossByCause",
    "PatternStep",
    "PlanInput",
    "PlanResult",
    "StepResult",
    "run_plan",
]

CYCLE_SECONDS = 35 * 60.0
"""Cutting, cleaning and stacking at each weld, common practice, no source [s]."""

SETTING_UP_SECONDS = 30 * 60.0
"""Getting ready and clearing up, common practice, no source [s]."""

UNCOUNTED = LayerBook(nominal=0, counted=(), left=())
"""Layers of a batch, whose plans each have their own."""


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


def run_plan(plan: PlanInput) -> PlanResult:
    """Work a plan through, step by step.

    Parameters
    ----------
    plan : PlanInput
        The plan; any measured field may be an array (draws,) [SI units].

    Returns
    -------
    PlanResult
        Floats if all of the plan is plain, else arrays (draws,) [SI units].

    Notes
    -----
    A draw in which the billet is used up ends with no mass. That is an error only
    if it happens in all draws. The chain is not validated: before a shop has
    weighed its own billets, expect the retained share within 0.12 or so.
    """
    with np.errstate(divide="raise", over="raise", invalid="raise"):
        context = Context(
            forge=plan.forge,
            tool=plan.tool,
            saw=plan.saw,
            factors=plan.factors,
            hardest=_checked(plan.stack).hardest,
            carbon=plan.stack.carbon,
        )
        _check_steps(plan)
        check_shop(context, plan.lightings)
        start = stacked(plan.stack)
        changes = tuple(_changes(plan, context, start))
        books = _books(plan, changes)
        return _result(plan, (Change(state=start), *changes), books)


def _checked(stack: Stack) -> Stack:
    check_stack(stack)
    return stack


def _check_steps(plan: PlanInput) -> None:
    if plan.on is None:
        check_order(plan.steps)
    else:
        check_masks(plan.steps, plan.on)


def _changes(plan: PlanInput, context: Context, state: State) -> Iterator[Change]:
    """Yield what each step does; an error or flag is given the step's number."""
    masked = None if plan.on is None else Masked(shape=_shape(plan))
    for number, step in enumerate(plan.steps, start=1):
        rule = RULES[step.kind].change
        try:
            if masked is None or plan.on is None:
                change = rule(state, step, context)
            else:
                on = plan.on[number - 1]
                change = masked.change(rule, step, on, (state, context))
            _refuse_nothing_left(change)
        except PlanError as error:
            said = {"step": number, **error.values}
            raise PlanError(error.message, field=error.field, **said) from error
        state, context = change.state, with_core(context, step)
        if change.flags:
            change = replace(change, flags=_numbered(change.flags, number))
        yield change


def _refuse_nothing_left(change: Change) -> None:
    if not some(change.state.alive > 0):
        raise PlanError(
            _(
                "Nothing is left of the billet after step {step}; start with a bigger "
                "stack, or plan fewer heats and less grinding."
            ),
            field="layers",
        )


def _numbered(flags: tuple[Flag, ...], number: int) -> tuple[Flag, ...]:
    return tuple(
        replace(flag, values={**flag.values, "step": number}) for flag in flags
    )


def _books(plan: PlanInput, changes: tuple[Change, ...]) -> tuple[LayerBook, ...]:
    """Return the layers at the start and after every step, at the median losses."""
    if plan.on is not None:
        return (UNCOUNTED,) * (len(plan.steps) + 1)
    books, before = [open_book(plan.stack)], stacked(plan.stack)
    for number, (step, change) in enumerate(
        zip(plan.steps, changes, strict=True), start=1
    ):
        book = books[-1]
        core = typical(change.core)
        if core < 1.0:
            book = replace(book, left=without_skin(book.left, core))
        try:
            books.append(RULES[step.kind].book(book, step, before))
        except PlanError as error:
            said = {"step": number, **error.values}
            raise PlanError(error.message, field=error.field, **said) from error
        before = change.state
    return tuple(books)


def _result(
    plan: PlanInput, changes: tuple[Change, ...], books: tuple[LayerBook, ...]
) -> PlanResult:
    """Add the changes up; the first of them is the stack as it was laid."""
    shape = _shape(plan)
    steps = _step_results(plan, changes, books, shape)
    last_hot = max(step.number for step in steps if step.kind in HOT_KINDS)
    bar, end, book = steps[last_hot], steps[-1], books[-1]
    times = _times(plan, changes)
    return PlanResult(
        steps=steps,
        start_mass=steps[0].mass,
        added=_settled(_added(changes)[-1], shape),
        bar_mass=bar.mass,
        bar_length=bar.length,
        bar_width=bar.width,
        bar_thickness=bar.thickness,
        clean=bar is not end,
        clean_mass=end.mass,
        clean_length=end.length,
        clean_width=end.width,
        clean_thickness=end.thickness,
        retained=end.retained,
        loss=_losses(changes, shape),
        layers=book.nominal,
        distinct=book.distinct,
        left=len(book.left),
        sequence=shares(book.left),
        pattern=_pattern(plan, changes, books, shape),
        welds=sum(step.kind == "weld" for step in plan.steps),
        **{name: _settled(time, shape) for name, time in times.items()},
        used_up=_settled_mask(changes[-1].state.alive, shape),
        flags=(
            *stack_flags(plan.stack, plan.forge),
            *(flag for change in changes for flag in change.flags),
        ),
    )


def _step_results(
    plan: PlanInput,
    changes: tuple[Change, ...],
    books: tuple[LayerBook, ...],
    shape: tuple[int, ...],
) -> tuple[StepResult, ...]:
    kinds = ("start", *(step.kind for step in plan.steps))
    start, added = changes[0].state.mass, _added(changes)
    return tuple(
        StepResult(
            kind=kind,
            number=number,
            lost_by=tuple(
                (cause, _settled(lost, shape)) for cause, lost in change.lost_by
            ),
            expansion=float(expansion(change.hot)) if change.hot else 0.0,
            pieces=change.pieces,
            core=typical(change.core),
            layers=book.nominal,
            distinct=book.distinct,
            left=len(book.left),
            **_measured(change, start + laid, shape),
        )
        for number, (kind, change, book, laid) in enumerate(
            zip(kinds, changes, books, added, strict=True)
        )
    )


def _added(changes: tuple[Change, ...]) -> list[Number]:
    """Return the steel laid in up to each step, float or array (draws,) [kg]."""
    return list(accumulate((change.added for change in changes), operator.add))


def _measured(
    change: Change, put_in: Number, shape: tuple[int, ...]
) -> dict[str, Number]:
    """Return what a step's result measures, settled."""
    state, mass = change.state, change.state.mass
    measured = {
        "mass": mass,
        "lost": change.lost,
        "added": change.added,
        "retained": mass / put_in,
        "length": state.length,
        "width": state.width,
        "thickness": state.thickness,
        "heats": change.heats,
        "heating_seconds": change.heating,
        "working_seconds": change.working,
        "at_heat": change.at_heat,
    }
    return {name: _settled(one, shape) for name, one in measured.items()}


def _losses(changes: tuple[Change, ...], shape: tuple[int, ...]) -> LossByCause:
    """Return what each cause took, added up step by step."""
    totals: dict[str, Number] = {one.name: 0.0 for one in fields(LossByCause)}
    for cause, lost in chain.from_iterable(change.lost_by for change in changes):
        totals[cause] = totals[cause] + lost
    return LossByCause(**{name: _settled(one, shape) for name, one in totals.items()})


def _pattern(
    plan: PlanInput,
    changes: tuple[Change, ...],
    books: tuple[LayerBook, ...],
    shape: tuple[int, ...],
) -> tuple[PatternStep, ...]:
    """Return what made the figure; the first change is the stack as it was laid."""
    found = []
    for number, step in enumerate(plan.steps, start=1):
        figure = changes[number].figure
        if figure is None:
            continue
        later = zip(plan.steps[number:], changes[number + 1 :], strict=True)
        kept: Number = 1.0
        for one, change in later:
            kept = kept * (change.core if one.kind == "grind" else 1.0)
        measured = {
            "depth_share": figure.depth,
            "removed_share": figure.removed,
            "shear": figure.shear,
            "face_shear": figure.face_shear,
            "core_share": figure.core,
            "ground_share": 1.0 - kept,
        }
        found.append(
            PatternStep(
                kind=step.kind,
                number=number,
                layers_before=books[number - 1].distinct,
                **{name: _settled(one, shape) for name, one in measured.items()},
            )
        )
    return tuple(found)


def _times(plan: PlanInput, changes: tuple[Change, ...]) -> dict[str, Number]:
    """Return heats [1], times [s] and gas [kg], summed over the plan."""
    factors = plan.factors
    heats: Number = 0.0
    heating: Number = 0.0
    working: Number = 0.0
    for change in changes:
        heats, heating = heats + change.heats, heating + change.heating
        working = working + change.working
    preheat = factors.heating_time * plan.lightings * plan.forge.preheat
    burning = preheat + heating + working
    welds = times_taken(
        [
            True if plan.on is None else plan.on[place]
            for place, step in enumerate(plan.steps)
            if step.kind == "weld"
        ]
    )
    bench = CYCLE_SECONDS * welds + SETTING_UP_SECONDS
    return {
        "heats": heats,
        "heating_seconds": heating,
        "working_seconds": working,
        "forge_seconds": burning,
        "attended_seconds": factors.hours * (burning + bench),
        "gas": burning * plan.forge.gas_rate * factors.gas,
    }


def _shape(plan: PlanInput) -> tuple[int, ...]:
    """Return () for a plain plan, else (draws,)."""
    parts = (plan.stack, plan.forge, plan.tool, plan.saw, plan.factors, *plan.steps)
    values = (getattr(part, one.name) for part in parts for one in fields(part))
    each = chain(values, plan.on or ())
    sizes = [one.shape for one in each if isinstance(one, np.ndarray)]
    return np.broadcast_shapes(*sizes)


def _settled(value: Number, shape: tuple[int, ...]) -> Number:
    """Return a plain float if shape is (), else a read-only array (draws,)."""
    if not shape:
        return float(value)
    if np.shape(value) != shape:
        return np.broadcast_to(value, shape)
    # A view, so that an array of the caller's own stays writeable for the caller.
    view = np.asarray(value).view()
    view.flags.writeable = False
    return view


def _settled_mask(alive: Number, shape: tuple[int, ...]) -> Mask:
    """Return where the billet is used up."""
    mask = np.broadcast_to(np.asarray(alive) <= 0.0, shape)
    return mask if shape else bool(mask)
