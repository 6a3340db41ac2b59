"""The plan of a billet and what it gives: the only way to a mass after a step.

One code path: floats in, floats out; any array in, every measured field comes out
with the shape (draws,). Layers are counted once, beside the sums.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from billets.physics.bar import Stack
from billets.physics.core_rule import with_core
from billets.physics.errors import Flag, PlanError, _
from billets.physics.guards import check_order, check_shop, check_stack
from billets.physics.layers import LayerBook, open_book, without_skin
from billets.physics.masks import Masked, check_masks
from billets.physics.plan_input import PlanInput, shape_of
from billets.physics.plan_sums import result_of
from billets.physics.results import (
    LossByCause,
    PatternStep,
    PlanResult,
    StepResult,
)
from billets.physics.rules import RULES
from billets.physics.state import Change, Context, State, some, stacked, typical
from billets.physics.steps import HOT_KINDS

__all__ = [
    "HOT_KINDS",
    "LossByCause",
    "PatternStep",
    "PlanInput",
    "PlanResult",
    "StepResult",
    "run_plan",
]

UNCOUNTED = LayerBook(nominal=0, counted=(), left=())
"""Layers of a batch, whose plans each have their own."""


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
        return result_of(plan, (Change(state=start), *changes), books)


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
    masked = None if plan.on is None else Masked(shape=shape_of(plan))
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
