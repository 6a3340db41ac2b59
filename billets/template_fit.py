"""A template plan made to suit one knife: section, twist, and length of the stack.

A template shows how the shop makes a class of pattern. What the knife decides is put
in here, and everything else stays: the last draw ends at the thickness the knife's
bar needs and within its widths, a twist stays as tight as it is in the template, and
the stack is the shortest that suffices with the chance asked for.

Odd knives ask for a little more. Where the bar before the last draw is hardly bigger
than the knife's own, the draw before it stays as much thicker as in the template. And
where a small knife's stack would be too short for a step, the shortest that every
step can be made of is taken: what is left over stays a spare end of bar.
"""

from __future__ import annotations

import math
from dataclasses import replace

from billets.models import Plan
from billets.physics.chances import stack_for
from billets.physics.lengths import needed_lengths, with_length
from billets.physics.plan import HOT_KINDS, PlanInput, run_plan
from billets.physics.results import StepResult
from billets.physics.steps import Core, Cut, Draw, Fold, Grind, Step, Twist
from billets.physics.sure import needs_of
from billets.physics.verdict import Target, mass_needed
from billets.services import Beliefs, PlanSpec, plan_input

MILLIMETRE, TENTH = 1e-3, 1e-4
"""Draws are told to whole millimetres of width and tenths of thickness [m]."""

QUARTER_TURN = 0.25
"""Turns of a twist are told in quarters [1]."""

ROOM = 1.2
"""Section before a last draw, over the one it ends at: with less, the draw has nothing
to press out, and a bar that came out a little thin is too small for it [1]."""

HAIR = 1e-9
"""Sizes closer than this are the same, rounding apart [m]."""


def template_for(pattern: str) -> Plan | None:
    """Return the shop's template for a class of pattern, whole; the newest of them."""
    return Plan.objects.whole().filter(template=pattern).first()


def fitted_to(
    spec: PlanSpec, target: Target, beliefs: Beliefs, *, seed: int, chance: float
) -> PlanSpec:
    """Return a template as it is forged for one knife; PlanError if it cannot be."""
    sized = with_room(spec, sized_for(spec, target), beliefs)
    suited = as_tight(spec, sized, target, beliefs)
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


def with_room(template: PlanSpec, spec: PlanSpec, beliefs: Beliefs) -> PlanSpec:
    """Return a plan whose last draw finds a bar that is bigger than what it makes.

    The draw before it is told thicker, by what the last one is thicker than in the
    template: so grooves and dimples are still pressed out. What is laid on itself in
    between needs only its part of that. A twisted bar keeps its square.
    """
    draws = [
        (place, step) for place, step in enumerate(spec.steps) if isinstance(step, Draw)
    ]
    if len(draws) < 2:
        return spec
    (before, first), (last, drawn) = draws[-2:]
    between, shown = spec.steps[before:last], template.steps[last]
    twisted = any(isinstance(step, Twist) for step in between)
    if twisted or not isinstance(shown, Draw):
        return spec
    bar = run_plan(plan_input(template, beliefs.factors)).steps[last]
    if _section(bar) >= ROOM * _section(drawn):
        return spec
    more = float(drawn.thickness) - float(shown.thickness)
    thick = float(first.thickness) + more / math.prod(map(_laid, between))
    thicker = replace(first, thickness=_just_above(thick, TENTH))
    return _with_step(spec, before, thicker)


def _section(bar: Draw | StepResult) -> float:
    return float(bar.width) * float(bar.thickness)


def _laid(step: Step) -> int:
    """Return how many layers of bar a step makes of one."""
    if isinstance(step, Cut):
        return int(step.pieces)
    return 2 if isinstance(step, Fold | Core) else 1


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
    least = with_length(plan, float(needed_lengths(plan, mass_needed([target]))))
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
