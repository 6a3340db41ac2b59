"""The heat treatment as a line of temperature over time; times not to scale."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby, pairwise, zip_longest

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.charts import WIDE, drawing, text_at, ticks
from billets.messages import spoken
from billets.physics.treatment import HeatSegment
from billets.pictures.paper import Picture
from billets.units import System, local_number, show, to_si, unit_of
from billets.wording import bare, said, whole

PARTS = {
    "normalise": gettext_lazy("Normalise"), "soften": gettext_lazy("Soften"),
    "relieve": gettext_lazy("Relieve stress"), "preheat": gettext_lazy("Preheat"),
    "harden": gettext_lazy("Harden"), "quench": gettext_lazy("Quench"),
    "temper": gettext_lazy("Temper"),
}  # fmt: skip
"""The parts of a treatment, in the order of the work."""

TOP, FOOT, LEFT, RIGHT = 44.0, 232.0, 40.0, WIDE - 8.0
"""Where the hottest and the coldest stand, and where the line begins and ends."""

SHORT, LONG = 8.0, 9.0
"""Least width of a segment, and how much wider it is for ten times as long."""

LETTER, HIGH = 8.0, 13.0
"""About how wide a digit is, and how high."""

STEADY = 1.0
"""Ends of a segment closer than this are one temperature, held [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Segments of one kind that follow each other, and where they are drawn."""

    kind: str
    segments: tuple[HeatSegment, ...]
    places: tuple[float, ...]

    @property
    def spans(self) -> Iterator[tuple[HeatSegment, float, float]]:
        """Each segment with the places where it begins and ends."""
        for segment, (start, end) in zip(
            self.segments, pairwise(self.places), strict=True
        ):
            yield segment, start, end


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Temperatures on paper: the lowest and the highest one shown [K]."""

    low: float
    high: float

    def y(self, temperature: float) -> float:
        """Return how far down a temperature stands."""
        return FOOT - (FOOT - TOP) * (temperature - self.low) / (self.high - self.low)


def treatment_picture(
    segments: Sequence[HeatSegment], system: System
) -> Picture | None:
    """Draw a heat treatment; None without one."""
    if not segments:
        return None
    parts = _parts(segments)
    scale = _scale(segments, system)
    rows = tuple(_row(place, part, system) for place, part in enumerate(parts, 1))
    body = [*_axis(scale, system), *_parts_marked(parts)]
    for part in parts:
        body += _line(part, scale)
    body += _temperatures(parts, scale, system)
    title = _("Temperature of the blade, from normalising to tempering")
    svg = drawing(
        FOOT + 24, f"{title}. " + " ".join(f"{a}: {b}." for a, b in rows), body
    )
    notes = (
        _("Times are not to scale. Broken line: as long as furnace, air or oil need."),
    )
    return Picture(title=title, svg=svg, rows=rows, notes=notes)


def _parts(segments: Sequence[HeatSegment]) -> list[Part]:
    """Return the treatment part by part, with the places where segments meet."""
    widths = [_width(one) for one in segments]
    fit = (RIGHT - LEFT) / sum(widths)
    place, parts, at = LEFT, [], 0
    for kind, group in groupby(segments, lambda one: one.kind):
        held = tuple(group)
        places = [place]
        for width in widths[at : at + len(held)]:
            place += fit * width
            places.append(place)
        at += len(held)
        parts.append(Part(kind=kind, segments=held, places=tuple(places)))
    return parts


def _width(segment: HeatSegment) -> float:
    """Return a width that grows with the time, but far less than it."""
    if not segment.known:
        return SHORT
    return SHORT + LONG * math.log10(1.0 + segment.seconds / 60.0)


def _scale(segments: Sequence[HeatSegment], system: System) -> Scale:
    ends = [end for one in segments for end in (one.start, one.end)]
    unit = unit_of("temperature", system)
    return Scale(low=min(*ends, to_si("0", "temperature", unit)), high=max(ends))


def _axis(scale: Scale, system: System) -> Iterator[str]:
    """Yield the lines of the scale, in the shop's unit."""
    unit = unit_of("temperature", system)
    yield text_at(0, 16, _("Temperature, {unit}").format(unit=unit))
    zero = to_si("0", "temperature", unit)
    one = to_si("1", "temperature", unit) - zero
    for count in ticks((scale.high - zero) / one):
        y = scale.y(zero + count * one)
        number = local_number(Decimal(str(round(count, 6))), spoken())
        yield f'<path class="hair" d="M{LEFT:.0f} {y:.1f}H{RIGHT:.0f}"/>'
        yield text_at(LEFT - 6, y + 5, number, "end")


def _parts_marked(parts: Sequence[Part]) -> Iterator[str]:
    """Yield the number of each part below it, and a line between two parts."""
    for place, part in enumerate(parts, start=1):
        start, end = part.places[0], part.places[-1]
        yield text_at((start + end) / 2, FOOT + 18, whole(place), "middle")
        if place > 1:
            yield f'<path class="hair" d="M{start:.1f} {TOP:.0f}V{FOOT + 22:.0f}"/>'


def _line(part: Part, scale: Scale) -> Iterator[str]:
    for segment, start, end in part.spans:
        dashes = "" if segment.known else ' stroke-dasharray="3 2"'
        yield (
            f'<path d="M{start:.1f} {scale.y(segment.start):.1f}'
            f'L{end:.1f} {scale.y(segment.end):.1f}" fill="none" '
            f'stroke="currentColor" stroke-width="2"{dashes}/>'
        )


def _temperatures(parts: Sequence[Part], scale: Scale, system: System) -> Iterator[str]:
    """Yield the temperature of each hold above it, where none stands in the way."""
    taken: list[tuple[float, float, float]] = []
    for part in parts:
        for segment, start, end in part.spans:
            if not _held(segment):
                continue
            words = bare(said(segment.end, "temperature", system))
            half, x = LETTER * len(words) / 2, (start + end) / 2
            x = min(max(x, LEFT + half), RIGHT - half)
            y = scale.y(segment.end) - 6
            box = (x - half, x + half, y)
            if any(_meet(box, other) for other in taken):
                continue
            taken.append(box)
            yield text_at(x, y, words, "middle")


def _meet(one: tuple[float, float, float], other: tuple[float, float, float]) -> bool:
    apart = one[1] < other[0] or other[1] < one[0]
    return not apart and abs(one[2] - other[2]) < HIGH


def _held(segment: HeatSegment) -> bool:
    return abs(segment.end - segment.start) <= STEADY


# --- said ----------------------------------------------------------------------------


def _row(place: int, part: Part, system: System) -> tuple[str, str]:
    """Say one part of the treatment, as the picture numbers it."""
    label = f"{whole(place)}  {PARTS[part.kind]}"
    # a way up to a hold goes without saying
    told = [
        one
        for one, after in zip_longest(part.segments, part.segments[1:])
        if not (after and _held(after) and not one.known)
    ]
    return label, ", ".join(_words(one, system) for one in told)


def _words(segment: HeatSegment, system: System) -> str:
    heat = said(segment.end, "temperature", system)
    if _held(segment):
        if not segment.known:
            return heat
        return _("{temperature} for {time}").format(
            temperature=heat, time=_time(segment.seconds, system)
        )
    if not segment.known:
        return _("to {temperature}").format(temperature=heat)
    return _("to {temperature} in {time}").format(
        temperature=heat, time=_time(segment.seconds, system)
    )


def _time(seconds: float, system: System) -> str:
    """Write a time in seconds, minutes or hours, whichever is read easily."""
    if seconds < 120.0:
        return _("{count} s").format(count=whole(seconds))
    if seconds < 7200.0:
        return said(seconds, "duration", system)
    return show(seconds, "hours", system, 1, spoken())
