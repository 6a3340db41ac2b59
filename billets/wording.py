"""Words and numbers of a billet as pages say them, in the shop's units."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Self

from babel.lists import format_list
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from billets import choices
from billets.messages import sentence, spoken
from billets.models import BarSize
from billets.physics import Number
from billets.physics import steps as words
from billets.physics.errors import Flag
from billets.physics.results import StepResult
from billets.physics.uncertainty import Band
from billets.services import Beliefs, CutItem
from billets.stock import Bar
from billets.units import System, edit, local_number, locale_of, show, with_unit

CAUSES = {
    "weld_scale": gettext_lazy("scale at the welds"),
    "draw_scale": gettext_lazy("scale when drawing"),
    "trim": gettext_lazy("ends cut off"),
    "grind": gettext_lazy("ground off"),
    "kerf": gettext_lazy("saw cuts"),
    "pattern": gettext_lazy("cut away for the figure"),
}
"""What steel is lost to, in the order of the work."""

MORE_SIGNS = 3
"""So much longer than its rounding a size may be: 49.5 mm, but not 8.267716 in."""

NARROWER = 0.0005
"""A bar so much wider than the stack has to be ripped [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One result: the number, its unit and band, and where it comes from."""

    label: str
    value: str
    unit: str = ""
    band: str = ""
    source: str = ""

    @classmethod
    def of(cls, label: str, text: str, *, band: str = "", source: str = "") -> Self:
        """Return the figure of a quantity that is written already.

        A page sets its number and its unit in different sizes.
        """
        value, _space, unit = text.partition("\u00a0")
        return cls(label=label, value=value, unit=unit, band=band, source=source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """A sentence, or what stands before and after its colon.

    The level is ok, warn, stop or note.
    """

    level: str
    first: str
    rest: str = ""


# --- numbers -----------------------------------------------------------------------


def whole(count: Number) -> str:
    """Write a count; parts of a heat are a heat."""
    return local_number(Decimal(math.ceil(float(count) - 1e-6)), spoken())


def said(value: Number, kind: str, system: System) -> str:
    """Write a measured value with its unit, rounded as for paper."""
    return show(float(value), kind, system, language=spoken())


def mass(value: Number, system: System) -> str:
    """Write a mass."""
    return said(value, "mass", system)


def gas(value: Number, system: System) -> str:
    """Write a mass of gas, to a tenth."""
    return show(float(value), "mass_kg", system, 1, spoken())


def share(value: float) -> str:
    """Write a share in per cent; what is nearly sure is not said to be."""
    if value >= 0.995:
        return _("more than {share}").format(share=said(0.99, "percent", "metric"))
    if value < 0.005:
        return _("less than {share}").format(share=said(0.01, "percent", "metric"))
    return said(value, "percent", "metric")


def bare(text: str) -> str:
    """Return a number without its unit."""
    return text.partition("\u00a0")[0]


def size(sides: Iterable[Number], system: System) -> str:
    """Write length × width × thickness with the unit once; the last side is thin."""
    *long, thin = sides
    texts = [said(side, "length", system) for side in long]
    return " × ".join([*map(bare, texts), said(thin, "thickness", system)])


def sides(result: StepResult, expansion: float = 0.0) -> tuple[Number, Number, Number]:
    """Return the size of a billet after a step, grown by heat."""
    longer = 1.0 + expansion
    return longer * result.length, longer * result.width, longer * result.thickness


def neat(value: float, kind: str, system: System) -> str:
    """Write a size as it was given, unless that is an endless number."""
    rounded = said(value, kind, system)
    given = local_number(Decimal(edit(value, kind, system)), spoken())
    full = with_unit(given, kind, system)
    return full if len(full) <= len(rounded) + MORE_SIGNS else rounded


def ends(band: Band, kind: str, system: System, places: int | None = None) -> str:
    """Write the two ends of a band, without unit."""
    low, high = (
        bare(show(end, kind, system, places, spoken())) for end in (band.low, band.high)
    )
    return _("{low} to {high}").format(low=low, high=high)


def whole_ends(band: Band) -> str:
    """Write the two ends of a band of counts."""
    return _("{low} to {high}").format(low=whole(band.low), high=whole(band.high))


# --- bars and steps ------------------------------------------------------------------


def bar_text(bar: BarSize | Bar, system: System) -> str:
    """Write a bar's steel and section: 1084, 40 × 3 mm."""
    section = " × ".join(
        (
            bare(neat(bar.width, "length", system)),
            neat(bar.thickness, "thickness", system),
        )
    )
    return f"{bar.steel.name}, {section}"


def step_name(kind: str) -> str:
    """Return a step's name; the stack before the first step is one too."""
    return _("Stack") if kind == "start" else capfirst(str(dict(choices.step())[kind]))


def step_detail(step: words.Step, system: System) -> str:
    """Say what a step does beyond its size, short enough for a column of paper."""
    match step:
        case words.Weld() | words.Draw():
            return _("steel at {heat}").format(
                heat=said(step.temperature, "temperature", system)
            )
        case words.Trim():
            return _("{size} off each end").format(
                size=neat(float(step.per_end), "length", system)
            )
        case words.Grind():
            return _("{face} a face, {edge} an edge").format(
                face=neat(float(step.face), "thickness", system),
                edge=neat(float(step.edge), "thickness", system),
            )
        case words.Cut():
            pattern = _("{count} pieces")
            if step.turned:
                pattern = _("{count} pieces, every second turned")
            return pattern.format(count=whole(step.pieces))
        case words.Fold():
            return ""
        case _:
            return _figure_detail(step, system)


def _figure_detail(
    step: words.Twist | words.Ladder | words.Dimple | words.Core, system: System
) -> str:
    """Say what a step cuts, drills, twists or lays in."""

    def fine(value: Number) -> str:
        return neat(float(value), "thickness", system)

    match step:
        case words.Twist():
            text = _("{turns} full turns")
            if step.octagon:
                text = _("{turns} full turns, corners ground off first")
            return text.format(
                turns=local_number(Decimal(f"{float(step.turns):g}"), spoken())
            )
        case words.Ladder():
            return _(
                "{shape} grooves {depth} deep, {groove} wide, every {pitch}, both "
                "faces staggered"
            ).format(
                shape=dict(choices.groove())[step.groove_shape],
                depth=fine(step.depth),
                groove=fine(step.groove),
                pitch=fine(step.pitch),
            )
        case words.Dimple():
            return _(
                "drill {drill}, {depth} deep to the point, every {pitch}, both faces "
                "staggered"
            ).format(
                drill=fine(step.drill), depth=fine(step.depth), pitch=fine(step.pitch)
            )
        case words.Core():
            return _("{steel}, {thickness}, between the two halves").format(
                steel=step.steel.name, thickness=fine(step.thickness)
            )


def step_text(step: words.Step, system: System) -> str:
    """Say a step in one line, to compare two plans by."""
    to = ""
    if isinstance(step, words.Draw):
        to = _("to {width} × {thickness}").format(
            width=bare(neat(float(step.width), "length", system)),
            thickness=neat(float(step.thickness), "thickness", system),
        )
    if isinstance(step, words.Weld):
        to = ngettext("{count} heat", "{count} heats", step.heats).format(
            count=whole(step.heats)
        )
    parts = (step_name(step.kind), to, step_detail(step, system))
    return ", ".join(part for part in parts if part)


def cut_sentence(item: CutItem, system: System) -> str:
    """Say how the pieces of a letter are cut, and what is left over."""
    line, bar = item.line, item.bar
    text = _(
        "{letter}: {pieces} of {length} from {bars} of {bar}, {bar_length} long: "
        "{left} left."
    ).format(
        letter=item.letter or _("Core"),
        pieces=ngettext("{count} piece", "{count} pieces", line.pieces).format(
            count=whole(line.pieces)
        ),
        length=neat(line.length, "length", system),
        bars=ngettext("{count} bar", "{count} bars", line.bars).format(
            count=whole(line.bars)
        ),
        bar=bar_text(bar, system),
        bar_length=neat(bar.length, "length", system),
        left=said(line.left, "length", system),
    )
    return " ".join((text, *rip_sentences(item, system)))


def rip_sentences(item: CutItem, system: System) -> list[str]:
    """Say that a bar wider than its pieces has to be ripped; nothing of any other."""
    if item.bar.width - item.width < NARROWER:
        return []
    return [_("Rip to {width}.").format(width=neat(item.width, "length", system))]


# --- sentences -----------------------------------------------------------------------


def origin(beliefs: Beliefs) -> str:
    """Say what the figures are known from."""
    if beliefs.calibrated:
        return ngettext(
            "From {count} weighed billet of this shop.",
            "From {count} weighed billets of this shop.",
            beliefs.billets,
        ).format(count=whole(beliefs.billets))
    return _(
        "Uncalibrated: physics and trade priors, about ±0.12 in what is kept, and from "
        "stack to knife probably pessimistic."
    )


def flag_sayings(flags: Iterable[Flag], system: System) -> list[Saying]:
    """Return what should be looked at twice, the worst first, each only once."""
    alike: dict[tuple[str, str, str], list[int]] = {}
    first: dict[tuple[str, str, str], Flag] = {}
    for flag in flags:
        rest = sorted((k, str(v)) for k, v in flag.values.items() if k != "step")
        key = (flag.level, flag.message, repr(rest))
        first.setdefault(key, flag)
        step = flag.values.get("step")
        alike.setdefault(key, []).extend([step] if isinstance(step, int) else [])
    ranks = ("red", "amber", "note")
    return [
        Saying(
            level={"red": "stop", "amber": "warn"}.get(key[0], "note"),
            first=sentence(_at_steps(first[key], alike[key]), system),
        )
        for key in sorted(alike, key=lambda one: ranks.index(one[0]))
    ]


def _at_steps(flag: Flag, steps: list[int]) -> Flag:
    """Return a flag that names all the steps it speaks of."""
    if len(set(steps)) < 2:
        return flag
    numbers = [whole(step) for step in dict.fromkeys(steps)]
    named = format_list(numbers, locale=locale_of(spoken()))
    return replace(flag, values={**flag.values, "step": named})
