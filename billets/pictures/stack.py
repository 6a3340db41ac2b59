"""The stack before the first weld, from its end: what lies on what, and how thick."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.charts import (
    INK,
    LAYER_PATTERNS,
    drawing,
    layer_fills,
    text_at,
)
from billets.services import PlanSpec
from billets.stock import Bar
from billets.units import System
from billets.wording import neat, said, whole

STACK_HIGH, STACK_WIDE = 200.0, 170.0
"""Room for the end view of the stack; margins hold its height and its layers."""

LEFT = 64.0
SWATCH, LINE = 28.0, 24.0

LETTERS = 15.0
"""A layer drawn lower than this has no room for its own thickness."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Pieces of one steel that touch, and become one layer in the weld.

    Attributes
    ----------
    letters : str
        From the bottom up.
    foot, thickness : float
        Height of its lower face above the anvil, and its own [m].
    """

    letters: str
    foot: float
    thickness: float


def stack_runs(spec: PlanSpec) -> tuple[Run, ...]:
    """Return the layers a stack makes, from the bottom up."""
    runs, foot = [], 0.0
    for _key, group in groupby(spec.order, lambda one: spec.bars[one].steel.key):
        letters = "".join(group)
        thick = sum(spec.bars[letter].thickness for letter in letters)
        runs.append(Run(letters=letters, foot=foot, thickness=thick))
        foot += thick
    return tuple(runs)


def stack_drawing(spec: PlanSpec, system: System) -> SafeString:
    """Draw the stack before the first weld from its end, with what each layer is."""
    fills, runs = layer_fills(spec), stack_runs(spec)
    high = sum(run.thickness for run in runs)
    scale = min(STACK_HIGH / high, STACK_WIDE / spec.width)
    parts = [
        LAYER_PATTERNS,
        *_pieces(spec, fills, scale, high),
        *_meetings(spec, runs, scale, high),
        *_stack_sizes(spec, high, scale, system),
    ]
    for run in runs:
        parts += _run_words(run, spec, scale, high, system)
    top = high * scale + 32
    for number, letter in enumerate(sorted(fills)):
        parts += _legend(
            spec.bars[letter], fills[letter], top + number * LINE, system, letter
        )
    label = _("The stack from its end, {width} wide and {height} high").format(
        width=said(spec.width, "length", system), height=said(high, "length", system)
    )
    return drawing(top + len(fills) * LINE, f"{label}. {merge_words(spec)}", parts)


def merge_words(spec: PlanSpec) -> str:
    """Say how many layers the pieces make, and why those are fewer."""
    runs = stack_runs(spec)
    pieces, layers = len(spec.order), len(runs)
    if pieces == layers:
        return ngettext(
            "{count} piece makes {count} layer.",
            "{count} pieces make {count} layers: no two of one steel touch.",
            pieces,
        ).format(count=whole(pieces))
    return _(
        "{pieces} pieces make {layers} layers: where two of one steel touch, the weld "
        "makes them one (broken line, bracket at the side)."
    ).format(pieces=whole(pieces), layers=whole(layers))


def stack_rows(spec: PlanSpec, system: System) -> tuple[tuple[str, str], ...]:
    """Return what the drawing shows as rows: each steel, its pieces, its thickness."""
    rows = []
    for letter in sorted(set(spec.order)):
        bar, pieces = spec.bars[letter], spec.order.count(letter)
        text = ngettext(
            "{count} piece of {thickness}, {total} in all",
            "{count} pieces of {thickness}, {total} in all",
            pieces,
        ).format(
            count=whole(pieces),
            thickness=neat(bar.thickness, "thickness", system),
            total=neat(pieces * bar.thickness, "thickness", system),
        )
        rows.append((f"{letter}  {bar.steel.name}", text))
    return tuple(rows)


def _pieces(
    spec: PlanSpec, fills: dict[str, str], scale: float, high: float
) -> Iterator[str]:
    """Yield the pieces from the bottom up, the first letter lowest; an outline last."""
    wide = f'x="{LEFT:.0f}" width="{spec.width * scale:.1f}"'
    foot = high * scale + 1
    for letter in spec.order:
        tall = spec.bars[letter].thickness * scale
        foot -= tall
        yield (
            f'<rect {wide} y="{foot:.2f}" height="{tall:.2f}" fill="{fills[letter]}" '
            f'stroke="{INK}" stroke-width="{min(0.8, tall / 6):.2f}"/>'
        )
    yield (
        f'<rect {wide} y="1" height="{high * scale:.2f}" fill="none" '
        'stroke="currentColor"/>'
    )


def _meetings(
    spec: PlanSpec, runs: tuple[Run, ...], scale: float, high: float
) -> Iterator[str]:
    """Yield a broken line where pieces of one steel touch, and a bracket beside."""
    right = LEFT + spec.width * scale
    for run in runs:
        if len(run.letters) < 2:
            continue
        place = run.foot
        for letter in run.letters[:-1]:
            place += spec.bars[letter].thickness
            y = 1 + (high - place) * scale
            # two strokes, so that it shows on dark steel and on bright
            for ink, shift in (("#fff", 0), ("#000", 4)):
                yield (
                    f'<path d="M{LEFT:.0f} {y:.2f}H{right:.1f}" stroke="{ink}" '
                    f'stroke-width="1.2" stroke-dasharray="4 4" '
                    f'stroke-dashoffset="{shift}"/>'
                )
        top = 1 + (high - run.foot - run.thickness) * scale
        low = 1 + (high - run.foot) * scale
        way = f"M{right + 3:.1f} {top + 1:.1f}h5V{low - 1:.1f}h-5"
        yield f'<path class="edge" d="{way}"/>'


def _run_words(
    run: Run, spec: PlanSpec, scale: float, high: float, system: System
) -> Iterator[str]:
    """Yield a layer's thickness beside it, where it is drawn high enough."""
    if run.thickness * scale < LETTERS:
        return
    words = neat(run.thickness, "thickness", system)
    if len(run.letters) > 1:
        words = _("{thickness}, {count} as one").format(
            thickness=words, count=whole(len(run.letters))
        )
    middle = 1 + (high - run.foot - run.thickness / 2) * scale
    yield text_at(LEFT + spec.width * scale + 13, middle + 5, words)


def _stack_sizes(
    spec: PlanSpec, high: float, scale: float, system: System
) -> Iterator[str]:
    tall, wide = high * scale, spec.width * scale
    yield f'<path class="hair" d="M54 1H60M54 {tall + 1:.1f}H60M57 1V{tall + 1:.1f}"/>'
    yield text_at(50, tall / 2 + 6, said(high, "length", system), "end")
    yield text_at(
        LEFT + wide / 2, tall + 20, said(spec.width, "length", system), "middle"
    )


def _legend(bar: Bar, fill: str, y: float, system: System, letter: str) -> list[str]:
    thick = neat(bar.thickness, "thickness", system)
    return [
        f'<rect x="1" y="{y:.1f}" width="{SWATCH}" height="14" fill="{fill}" '
        'stroke="currentColor"/>',
        text_at(SWATCH + 10, y + 12, f"{letter}  {bar.steel.name}, {thick}"),
    ]
