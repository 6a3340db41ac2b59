"""What the press can move: forces, bites and heats of a plan, step by step."""

from __future__ import annotations

from dataclasses import dataclass, replace

from billets.physics.equipment import Tool
from billets.physics.errors import Flag
from billets.physics.force import FORCE_BAND, cogging_force, largest_bite
from billets.physics.plan import PlanInput, PlanResult
from billets.physics.pressing import (
    CENTRE,
    LOWER_LIMIT,
    Bar,
    known_force,
    squeezing,
    worked_stress,
)
from billets.physics.pulling import pull
from billets.physics.results import StepResult
from billets.physics.state import typical
from billets.physics.steps import Dimple, Draw, HotStep, Ladder, Weld
from billets.physics.weld_setting import setting


@dataclass(frozen=True, slots=True, kw_only=True)
class Grip:
    """A press of known force on one section.

    Attributes
    ----------
    width, height : float
        Section, cold [m].
    length : float
        Of the bar [m].
    force, cold_force : float
        For a bite as long as the die: as it leaves the fire, and at the lower working
        limit; good to `band` [N].
    largest, cold_largest : float
        Largest bite of this press at the same two temperatures, 0 for none [m].
    bite : float
        What it bites while working: no more than the die [m].
    third : float
        A third of the height: below it the middle is hardly worked [m].
    strain : float
        True strain of the section in one heat, by the book [1].
    """

    width: float
    height: float
    length: float
    force: float
    cold_force: float
    largest: float
    cold_largest: float
    bite: float
    third: float
    strain: float

    @property
    def shallow(self) -> bool:
        """Whether the middle of the bar is hardly worked."""
        return self.bite < self.third


@dataclass(frozen=True, slots=True, kw_only=True)
class PressStep:
    """A step in the fire as the tool sees it.

    Attributes
    ----------
    kind : str
        That of the step.
    temperature, cold_temperature : float
        Of the steel as it leaves the fire, and the lower working limit [K].
    number : int
        Place in the plan [1].
    size : tuple of float
        Length, width and height before it, cold [m].
    heats : float
        Heats, at the median [1].
    strain : float
        Mean true strain a heat with the shop's own factor; 0 where no section is
        made smaller, as in a weld or a twist [1].
    start, end : Grip or None
        The press on the section before and after a draw, or cuts forged flat; None
        for other steps, and where no force is known.
    face_force : float
        Over the whole face of a weld; 0 elsewhere [N].
    bites : int
        Bites in which a weld is set, 1 for the whole face at once, 0 where the press
        does not set it; 0 elsewhere [1].
    band : float
        How far a force may be off, either way [1].
    flags : tuple of Flag
        What the plan says of this step and its tool.
    """

    kind: str
    temperature: float
    cold_temperature: float = LOWER_LIMIT
    number: int = 0
    size: Bar = (0.0, 0.0, 0.0)
    heats: float = 0.0
    strain: float = 0.0
    start: Grip | None = None
    end: Grip | None = None
    face_force: float = 0.0
    bites: int = 0
    band: float = FORCE_BAND
    flags: tuple[Flag, ...] = ()


def press_report(plan: PlanInput, result: PlanResult) -> tuple[PressStep, ...]:
    """Return what the tool of a plan does in every step in the fire.

    Parameters
    ----------
    plan : PlanInput
        The plan, plain or sampled [SI units].
    result : PlanResult
        What it gave; of draws the medians are taken [SI units].

    Returns
    -------
    tuple of PressStep
        Forces [N], bites [m], strains and heats [1]; of a tool without a known force
        strains and heats only.
    """
    reports: list[PressStep] = []
    carbon = plan.stack.carbon
    for number, step in enumerate(plan.steps, start=1):
        before, after = result.steps[number - 1], result.steps[number]
        if isinstance(step, Weld):
            found = _weld(plan.tool, step, _size(before), carbon)
        elif isinstance(step, Draw | Ladder | Dimple):
            found = _draw(plan, step, _size(before), _size(after))
        elif isinstance(step, HotStep):
            found = PressStep(kind=step.kind, temperature=step.temperature)
        else:
            continue
        reports.append(
            replace(
                found,
                number=number,
                size=_size(before),
                heats=typical(after.heats),
                flags=_flags(number, result),
            )
        )
    return tuple(reports)


def _size(step: StepResult) -> Bar:
    """Return length, width and height after a step, at the median [m]."""
    return typical(step.length), typical(step.width), typical(step.thickness)


def _flags(number: int, result: PlanResult) -> tuple[Flag, ...]:
    return tuple(
        flag
        for flag in result.flags
        if flag.field == "tool" and flag.values.get("step") == number
    )


def _weld(tool: Tool, step: Weld, size: Bar, carbon: float) -> PressStep:
    found = PressStep(kind=step.kind, temperature=step.temperature)
    if known_force(tool) is None:
        return found
    set_so = setting(tool, size, step.temperature, carbon)
    return replace(
        found,
        face_force=float(set_so.face_force),
        bites=round(float(set_so.bites)) if set_so.able else 0,
    )


def _draw(
    plan: PlanInput, step: Draw | Ladder | Dimple, size: Bar, to: Bar
) -> PressStep:
    tool, carbon = plan.tool, plan.stack.carbon
    drawn = pull(tool, size, (to[1], to[2]), step.temperature, carbon)
    found = PressStep(
        kind=step.kind,
        temperature=step.temperature,
        strain=typical(drawn.strain) * typical(plan.factors.strain),
    )
    if drawn.start is None:
        return found
    return replace(
        found,
        start=grip(tool, size, step.temperature, carbon),
        end=grip(tool, to, step.temperature, carbon),
    )


def grip(tool: Tool, size: Bar, temperature: float, carbon: float) -> Grip:
    """Return what a press of known force does to one section.

    Parameters
    ----------
    tool : Tool
        The press.
    size : tuple of float
        Length, width and height of the bar [m].
    temperature : float
        Of the steel as it leaves the fire [K].
    carbon : float
        Mean mass fraction in percent [%].

    Returns
    -------
    Grip
        Forces [N] and bites [m].
    """
    length, width, height = size
    work = squeezing(tool, size, temperature, carbon)
    hot, cold = (
        worked_stress(carbon, height, one) for one in (temperature, LOWER_LIMIT)
    )
    force = known_force(tool) or 0.0
    return Grip(
        width=width,
        height=height,
        length=length,
        force=float(cogging_force(hot, width, tool.die, height)),
        cold_force=float(cogging_force(cold, width, tool.die, height)),
        largest=float(largest_bite(force, hot, width, height)),
        cold_largest=float(largest_bite(force, cold, width, height)),
        bite=float(work.bite),
        third=CENTRE * height,
        strain=float(work.in_heat),
    )
