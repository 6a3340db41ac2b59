"""Mass from the stack to the finished steel: a step line, losses by cause, a band."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from billets.charts import (
    BAND_PATTERN,
    DASHES,
    SHORT_CAUSES,
    SHORT_STEPS,
    drawing,
    text_at,
    ticks,
)
from billets.figures import PlanFigures
from billets.messages import spoken
from billets.physics.finishing import Finishing, finishing
from billets.units import System, local_number, to_si, unit_of
from billets.wording import bare, mass, whole

ROW = 22.0
TOP = 30.0
LEFT, RIGHT = 72.0, 238.0
"""Where no mass and the greatest mass stand."""

DUST = 1e-9
"""Less than this is rounding, not steel [kg]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """Steel taken by one cause: its short word, how much [kg], how it is drawn."""

    cause: str
    lost: float
    dashes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """The steel after one step from stack to blade, as a row of the chart.

    Attributes
    ----------
    name : str
        Short name of the step.
    mass, low, high : float
        Steel after it, and its band [kg].
    taken : tuple of Taken
        What it loses, cause by cause.
    added : float
        Steel laid in by it [kg].
    """

    name: str
    mass: float
    low: float
    high: float
    taken: tuple[Taken, ...] = ()
    added: float = 0.0


def mass_stages(figures: PlanFigures) -> tuple[Stage, ...]:
    """Return the steel from the stack to the bar, and on to its knives if known."""
    bands = [band.mass for band in figures.sampled.steps]
    planned = [
        Stage(
            name=_numbered(step.number, str(SHORT_STEPS[step.kind])),
            mass=float(step.mass),
            low=band.low if step.number else float(step.mass),
            high=band.high if step.number else float(step.mass),
            taken=tuple(_taken(cause, float(lost)) for cause, lost in step.lost_by),
            added=float(step.added),
        )
        for step, band in zip(figures.plain.steps, bands, strict=True)
    ]
    return (*planned, *_finished(figures, planned[-1].mass))


def _taken(cause: str, lost: float) -> Taken:
    return Taken(cause=str(SHORT_CAUSES[cause]), lost=lost, dashes=DASHES[cause])


def _numbered(number: int, name: str) -> str:
    return f"{number} {name}" if number else name


def to_the_blade(figures: PlanFigures) -> Finishing | None:
    """Return what becomes of the bar; None if it is short, or a knife is not known."""
    found = finishing(figures.targets, clean=figures.plain.clean)
    if found is None or found.needed > float(figures.plain.clean_mass):
        return None
    return found


def _finished(figures: PlanFigures, bar: float) -> Iterator[Stage]:
    found = to_the_blade(figures)
    if found is None:
        return
    over = Taken(cause=_("left over"), lost=bar - found.needed, dashes="8 3")
    yield Stage(
        name=_("Cut off"), mass=found.needed, low=found.needed, high=found.needed,
        taken=(over,),
    )  # fmt: skip
    crop = Taken(
        cause=_("forging"), lost=found.needed - found.blank, dashes="2 2"
    )  # fmt: skip
    # a blank weighs no more than the piece it is forged from
    yield Stage(
        name=_("Forge"), mass=found.blank, low=found.blank_low,
        high=min(found.blank_high, found.needed), taken=(crop,),
    )  # fmt: skip
    ground = Taken(
        cause=str(SHORT_CAUSES["grind"]), lost=found.blank - found.steel,
        dashes=DASHES["grind"],
    )  # fmt: skip
    yield Stage(
        name=_("Blade"), mass=found.steel, low=found.steel_low, high=found.steel_high,
        taken=(ground,),
    )  # fmt: skip


def mass_chart(figures: PlanFigures, system: System) -> SafeString:
    """Draw the mass after every step, what each takes, and the band it will lie in."""
    stages = mass_stages(figures)
    most = max(one.mass for one in stages)
    parts = [
        BAND_PATTERN,
        *_axis(most, len(stages), system),
        _ribbon(stages, most),
        _line(stages, most),
    ]
    before = stages[0]
    for place, stage in enumerate(stages):
        parts += _row(place, before, stage, most, system)
        before = stage
    label = _("Mass from stack to bar, {start} to {end}; the table says it in numbers")
    if len(stages) > len(figures.plain.steps):
        label = _("Mass from stack to blade, {start} to {end}; rows say it in numbers")
    label = label.format(
        start=mass(stages[0].mass, system), end=mass(stages[-1].mass, system)
    )
    return drawing(TOP + len(stages) * ROW + 6, label, parts)


def blade_rows(figures: PlanFigures, system: System) -> tuple[tuple[str, str], ...]:
    """Say in rows how the bar goes on to its knives."""
    found = to_the_blade(figures)
    if found is None:
        return ()
    over = float(figures.plain.clean_mass) - found.needed
    return (
        (_("Left over of the bar"), mass(over, system)),
        (_("Ends cropped and scale while forging"), mass(found.needed - found.blank,
                                                         system)),
        (_("Forged blanks"), _banded(found.blank, found.blank_low, found.blank_high,
                                     system)),
        (_("Ground off"), mass(found.blank - found.steel, system)),
        (_("Finished steel, {count} in all").format(count=whole(len(figures.targets))),
         _banded(found.steel, found.steel_low, found.steel_high, system)),
    )  # fmt: skip


def _banded(value: float, low: float, high: float, system: System) -> str:
    return _("{value}, {low} to {high}").format(
        value=mass(value, system), low=bare(mass(low, system)), high=mass(high, system)
    )


def _x(value: float, most: float) -> float:
    return LEFT + (RIGHT - LEFT) * value / most


def _y(number: int) -> float:
    """Return the upper edge of a row."""
    return TOP + number * ROW


def _axis(most: float, rows: int, system: System) -> Iterator[str]:
    """Yield the lines of the scale, in the shop's unit."""
    unit = unit_of("mass", system)
    one = to_si("1", "mass", unit)
    yield text_at(0, 16, _("Mass, {unit}").format(unit=unit))
    foot = _y(rows)
    for count in ticks(most / one):
        x = _x(count * one, most)
        yield f'<path class="hair" d="M{x:.1f} {TOP - 8}V{foot:.1f}"/>'
        # The zero stands under the name of the axis and goes without saying.
        if count:
            round_number = local_number(Decimal(str(round(count, 6))), spoken())
            yield text_at(x, 16, round_number, "middle")


def _ribbon(stages: Sequence[Stage], most: float) -> str:
    """Return the band as a hatched ribbon; the stack itself is weighed and has none."""
    right, left = [], []
    for number, one in enumerate(stages[1:], start=1):
        for y in (_y(number), _y(number + 1)):
            right.append(f"{_x(min(one.high, most), most):.1f} {y:.1f}")
            left.append(f"{_x(one.low, most):.1f} {y:.1f}")
    return (
        f'<path d="M{"L".join([*right, *reversed(left)])}Z" fill="url(#band)" '
        'fill-opacity="0.5" stroke="none"/>'
    )


def _line(stages: Sequence[Stage], most: float) -> str:
    """Return the descending step line."""
    path = [f"M{_x(stages[0].mass, most):.1f} {TOP:.1f}"]
    for number, one in enumerate(stages, start=1):
        path.append(f"H{_x(one.mass, most):.1f}V{_y(number):.1f}")
    return f'<path class="edge" d="{"".join(path)}"/>'


def _row(
    place: int, before: Stage, stage: Stage, most: float, system: System
) -> Iterator[str]:
    """Yield a step's name, and what it takes or adds as labelled segments."""
    base = _y(place) + 16
    yield text_at(0, base, stage.name)
    if not place:
        yield text_at(RIGHT + 8, base, mass(stage.mass, system))
        return
    at, words = before.mass, []
    if stage.added > DUST:
        yield _segment(place, at, at + stage.added, most, "none")
        at += stage.added
        words.append(f"+{mass(stage.added, system)}")
    taken = [one for one in stage.taken if one.lost > DUST]
    for one in taken:
        yield _segment(place, at, at - one.lost, most, one.dashes)
        at -= one.lost
    if taken:
        causes = ", ".join(dict.fromkeys(one.cause for one in taken))
        words.append(f"−{mass(sum(one.lost for one in taken), system)} {causes}")
    yield text_at(RIGHT + 8, base, ", ".join(words))


def _segment(place: int, start: float, end: float, most: float, dashes: str) -> str:
    return (
        f'<path d="M{_x(start, most):.1f} {_y(place):.1f}H{_x(end, most):.1f}" '
        f'stroke="currentColor" stroke-width="6" stroke-dasharray="{dashes}"/>'
    )
