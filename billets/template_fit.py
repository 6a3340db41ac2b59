"""A template plan made to suit one knife: section, twist, and length of the stack.

A template shows how the shop makes a class of pattern. What the knife decides is put
in here, and everything else stays: the last draw ends at the thickness the knife's
bar needs and within its widths, a twist stays as tight as it is in the template, and
the stack is the shortest that suffices with the chance asked for.
"""

from __future__ import annotations

import math
from dataclasses import replace

from billets.models import Plan
from billets.physics.chances import stack_for
from billets.physics.fit import start_length
from billets.physics.lengths import with_length
from billets.physics.plan import HOT_KINDS, PlanInput, run_plan
from billets.physics.steps import Draw, Grind, Step, Twist
from billets.physics.sure import needs_of
from billets.physics.verdict import Target, mass_needed
from billets.services import Beliefs, PlanSpec, plan_input

MILLIMETRE, TENTH = 1e-3, 1e-4
"""Draws are told to whole millimetres of width and tenths of thickness [m]."""

QUARTER_TURN = 0.25
"""Turns of a twist are told in quarters [1]."""

HAIR = 1e-9
"""Sizes closer than this are the same, rounding apart [m]."""


def template_for(pattern: str) -> Plan | None:
    """Return the shop's template for a class of pattern, whole; the newest of them."""
    return Plan.objects.whole().filter(template=pattern).first()


def fitted_to(
    spec: PlanSpec, target: Target, beliefs: Beliefs, *, seed: int, chance: float
) -> PlanSpec:
    """Return a template as it is forged for one knife; PlanError if it cannot be."""
    suited = as_tight(spec, sized_for(spec, target), target, beliefs)
    plan = plan_input(suited, beliefs.factors)
    needs = needs_of(plan, [target], beliefs.factors, seed=seed)
    return replace(suited, length=stack_for(needs, chance).length)


def sized_for(spec: PlanSpec, target: Target) -> PlanSpec:
    """Return a plan whose last draw ends at the section a knife needs.

    A plan whose last heat is no draw stays as it is.
    """
    hot = [place for place, step in enumerate(spec.steps) if step.kind in HOT_KINDS]
    last = spec.steps[hot[-1]] if hot else None
    if not isinstance(last, Draw):
        return spec
    ground = [step for step in spec.steps[hot[-1] :] if isinstance(step, Grind)]
    faces = 2.0 * math.fsum(float(step.face) for step in ground)
    edges = 2.0 * math.fsum(float(step.edge) for step in ground)
    drawn = replace(
        last,
        width=_within(float(last.width), target, edges),
        thickness=_just_above(target.thickness + faces, TENTH),
    )
    return _with_step(spec, hot[-1], drawn)


def as_tight(
    template: PlanSpec, spec: PlanSpec, target: Target, beliefs: Beliefs
) -> PlanSpec:
    """Return a plan whose twists are as tight as in the template.

    A shorter bar takes fewer turns for the same slope of the fibres.
    """
    places = [at for at, step in enumerate(spec.steps) if isinstance(step, Twist)]
    if not places:
        return spec
    as_written = plan_input(template, beliefs.factors)
    plan = plan_input(spec, beliefs.factors)
    least = with_length(plan, start_length(plan, mass_needed([target])))
    before, after = _lengths(as_written), _lengths(least)
    for place in places:
        step = spec.steps[place]
        if isinstance(step, Twist):
            turns = float(step.turns) * after[place] / before[place]
            spec = _with_step(spec, place, replace(step, turns=_quarters(turns)))
    return spec


def _lengths(plan: PlanInput) -> list[float]:
    """Return how long the bar is before each step, if all goes as planned [m]."""
    return [float(step.length) for step in run_plan(plan).steps]


def _quarters(turns: float) -> float:
    return max(QUARTER_TURN, round(turns / QUARTER_TURN) * QUARTER_TURN)


def _within(width: float, target: Target, edges: float) -> float:
    """Return the width nearest to the template's that a knife can be forged from."""
    low = math.ceil((target.width_low + edges) / MILLIMETRE - HAIR) * MILLIMETRE
    high = (target.width_high + edges) / MILLIMETRE
    if math.isfinite(high):
        width = min(width, math.floor(high + HAIR) * MILLIMETRE)
    return max(width, low)


def _just_above(size: float, step: float) -> float:
    """Return the next size that can be told, so that the bar is never a hair thin."""
    return (math.floor(size / step + HAIR) + 1) * step


def _with_step(spec: PlanSpec, place: int, step: Step) -> PlanSpec:
    steps = (*spec.steps[:place], step, *spec.steps[place + 1 :])
    return replace(spec, steps=steps)


def step_changes(before: PlanSpec, after: PlanSpec) -> list[dict[str, float]]:
    """Return what fitting changed, step by step, under the names of a step's row."""
    return [
        {
            name: float(getattr(new, name))
            for name in ("width", "thickness", "turns")
            if getattr(old, name, None) != getattr(new, name, None)
        }
        for old, new in zip(before.steps, after.steps, strict=True)
    ]
