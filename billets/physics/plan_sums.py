"""What the steps of a plan add up to."""

from __future__ import annotations

import operator
from collections.abc import Mapping
from dataclasses import fields
from itertools import accumulate, chain
from types import MappingProxyType

import numpy as np

from billets.physics import Number
from billets.physics.flags import stack_flags
from billets.physics.layers import LayerBook, shares
from billets.physics.masks import times_taken
from billets.physics.plan_input import PlanInput, shape_of
from billets.physics.results import (
    LossByCause,
    PatternStep,
    PlanResult,
    StepResult,
)
from billets.physics.state import Change, Mask, typical
from billets.physics.steps import HOT_KINDS
from billets.physics.thermal import expansion

CYCLE_SECONDS = 35 * 60.0
"""Cutting, cleaning and stacking at each weld, common practice, no source [s]."""

FIGURE_SECONDS: Mapping[str, float] = MappingProxyType(
    {"twist": 20 * 60.0, "ladder": 45 * 60.0, "dimple": 45 * 60.0, "core": 30 * 60.0}
)
"""Grinding corners and straightening, cutting or drilling, flattening and cleaning for
a figure or a core, common practice, no source [s]."""

SETTING_UP_SECONDS = 30 * 60.0
"""Getting ready and clearing up, common practice, no source [s]."""


def result_of(
    plan: PlanInput, changes: tuple[Change, ...], books: tuple[LayerBook, ...]
) -> PlanResult:
    """Add the changes up; the first of them is the stack as it was laid."""
    shape = shape_of(plan)
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
    bench = CYCLE_SECONDS * _taken(plan, "weld") + SETTING_UP_SECONDS
    for kind, seconds in FIGURE_SECONDS.items():
        bench = bench + seconds * _taken(plan, kind)
    return {
        "heats": heats,
        "heating_seconds": heating,
        "working_seconds": working,
        "forge_seconds": burning,
        "attended_seconds": factors.hours * (burning + bench),
        "gas": burning * plan.forge.gas_rate * factors.gas,
    }


def _taken(plan: PlanInput, kind: str) -> Number:
    """Return how often a plan takes steps of a kind [1]."""
    return times_taken(
        [
            True if plan.on is None else plan.on[place]
            for place, step in enumerate(plan.steps)
            if step.kind == kind
        ]
    )


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
