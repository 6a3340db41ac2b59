"""Drawings of a billet made by the server: the stack, and its mass step by step.

SVG of attributes only, 360 units wide; ``currentColor`` is the ink of the page. Each
stands beside a table or list that says the same in words.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.figures import PlanFigures
from billets.messages import spoken
from billets.physics.results import StepResult
from billets.physics.uncertainty import Band
from billets.services import Bar, PlanSpec
from billets.units import System, local_number, to_si, unit_of
from billets.wording import mass, neat, said

WIDE = 360

SHORT_STEPS = {
    "start": gettext_lazy("Stack"), "weld": gettext_lazy("Weld"),
    "draw": gettext_lazy("Draw"), "trim": gettext_lazy("Trim"),
    "grind": gettext_lazy("Grind"), "cut": gettext_lazy("Cut"),
    "fold": gettext_lazy("Fold"),
}  # fmt: skip
SHORT_CAUSES = {
    "weld_scale": gettext_lazy("scale"), "draw_scale": gettext_lazy("scale"),
    "trim": gettext_lazy("ends"), "grind": gettext_lazy("ground"),
    "kerf": gettext_lazy("saw"),
}  # fmt: skip

DASHES = {
    "weld_scale": "none", "draw_scale": "6 2", "trim": "2 2", "grind": "4 1 1 1",
    "kerf": "1 1",
}  # fmt: skip
"""How a loss is drawn, so that causes differ in black and white."""

INK, BARE = "#1c2126", "#fbfaf7"
"""Dark and bright steel: the same by day, by night and on paper."""

FILLS = {"dark": (INK,), "bright": (BARE,), "grey": ("url(#hatch)",)}
MORE_FILLS = ("url(#dots)", "url(#cross)", "url(#hatch)", "url(#bars)")
"""How layers are filled by their etch; a second steel of one etch takes another."""

MARKS = {
    "hatch": '<path d="M0 0V4" stroke="{ink}"/>',
    "dots": '<circle cx="1" cy="1" r="0.8" fill="{ink}"/>',
    "cross": '<path d="M0 0H4M0 0V4" stroke="{ink}"/>',
    "bars": '<path d="M0 0H4" stroke="{ink}"/>',
}
"""What repeats in a filled layer, every 4 units; hatching lies at 45 degrees."""


def _pattern(name: str, marks: str, ink: str, ground: str) -> str:
    turned = "" if marks in ("dots", "bars") else ' patternTransform="rotate(45)"'
    return (
        f'<pattern id="{name}" width="4" height="4" patternUnits="userSpaceOnUse"'
        f'{turned}><rect width="4" height="4" fill="{ground}"/>'
        f"{MARKS[marks].format(ink=ink)}</pattern>"
    )


LAYER_PATTERNS = "".join(_pattern(name, name, INK, BARE) for name in MARKS)
BAND_PATTERN = _pattern("band", "hatch", "currentColor", "none")


def _svg(height: float, label: str, parts: list[str]) -> SafeString:
    """Return a drawing of the usual width; what it says stands in ``label``."""
    inside = "".join(parts)
    return mark_safe(  # noqa: S308  numbers, and words escaped where they are put in
        f'<svg viewBox="0 0 {WIDE} {height:.0f}" role="img" '
        f'aria-label="{escape(label)}">{inside}</svg>'
    )


def _text(x: float, y: float, words: object, anchor: str = "start") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
    )


# --- the stack -----------------------------------------------------------------------

STACK_HIGH, STACK_WIDE = 200.0, 220.0
"""Room for the end view of the stack; the margin left of it holds its height."""

SWATCH, LINE = 28.0, 24.0


def stack_drawing(spec: PlanSpec, system: System) -> SafeString:
    """Draw the stack before the first weld from its end, with what each layer is."""
    fills = layer_fills(spec)
    high = sum(spec.bars[letter].thickness for letter in spec.order)
    scale = min(STACK_HIGH / high, STACK_WIDE / spec.width)
    parts = [
        LAYER_PATTERNS,
        *_stack(spec, fills, scale),
        *_stack_sizes(spec, high, scale, system),
    ]
    top = high * scale + 32
    for number, letter in enumerate(sorted(fills)):
        parts += _legend(
            spec.bars[letter], fills[letter], top + number * LINE, system, letter
        )
    label = _("The stack from its end, {width} wide and {height} high").format(
        width=said(spec.width, "length", system), height=said(high, "length", system)
    )
    return _svg(top + len(fills) * LINE, label, parts)


def layer_fills(spec: PlanSpec) -> dict[str, str]:
    """Return how each letter of the order is filled: by etch, steels told apart."""
    by_steel: dict[str, str] = {}
    for letter in sorted(set(spec.order)):
        steel = spec.bars[letter].steel
        free = (
            fill
            for fill in (*FILLS.get(steel.etch, ()), *MORE_FILLS)
            if fill not in by_steel.values()
        )
        by_steel.setdefault(steel.key, next(free, MORE_FILLS[-1]))
    return {letter: by_steel[spec.bars[letter].steel.key] for letter in set(spec.order)}


def _stack(spec: PlanSpec, fills: dict[str, str], scale: float) -> Iterator[str]:
    """Yield the layers from the bottom up, the first letter lowest; an outline last."""
    wide = f'x="64" width="{spec.width * scale:.1f}"'
    high = sum(spec.bars[letter].thickness for letter in spec.order) * scale
    foot = high + 1
    for letter in spec.order:
        tall = spec.bars[letter].thickness * scale
        foot -= tall
        yield (
            f'<rect {wide} y="{foot:.2f}" height="{tall:.2f}" fill="{fills[letter]}" '
            f'stroke="{INK}" stroke-width="{min(0.8, tall / 6):.2f}"/>'
        )
    yield f'<rect {wide} y="1" height="{high:.2f}" fill="none" stroke="currentColor"/>'


def _stack_sizes(
    spec: PlanSpec, high: float, scale: float, system: System
) -> Iterator[str]:
    tall, wide = high * scale, spec.width * scale
    yield f'<path class="hair" d="M54 1H60M54 {tall + 1:.1f}H60M57 1V{tall + 1:.1f}"/>'
    yield _text(50, tall / 2 + 6, said(high, "length", system), "end")
    yield _text(64 + wide / 2, tall + 20, said(spec.width, "length", system), "middle")


def _legend(bar: Bar, fill: str, y: float, system: System, letter: str) -> list[str]:
    thick = neat(bar.thickness, "thickness", system)
    return [
        f'<rect x="1" y="{y:.1f}" width="{SWATCH}" height="14" fill="{fill}" '
        'stroke="currentColor"/>',
        _text(SWATCH + 10, y + 12, f"{letter}  {bar.steel.name}, {thick}"),
    ]


# --- mass from stack to bar ----------------------------------------------------------

ROW = 22.0
TOP = 30.0
LEFT, RIGHT = 72.0, 252.0
"""Where no mass and the mass of the stack stand."""


def mass_chart(figures: PlanFigures, system: System) -> SafeString:
    """Draw the mass after every step, what each takes, and the band it will lie in."""
    steps = figures.plain.steps
    most = float(figures.plain.start_mass)
    parts = [
        BAND_PATTERN,
        *_axis(most, len(steps), system),
        _ribbon([band.mass for band in figures.sampled.steps], most),
        _line(steps, most),
    ]
    for step in steps:
        parts += _row(step, steps, most, system)
    label = _(
        "Mass from stack to bar, {start} to {end}; the table says it in numbers"
    ).format(start=mass(most, system), end=mass(figures.plain.clean_mass, system))
    return _svg(TOP + len(steps) * ROW + 6, label, parts)


def _x(value: float, most: float) -> float:
    return LEFT + (RIGHT - LEFT) * value / most


def _y(number: int) -> float:
    """Return the upper edge of a step's row."""
    return TOP + number * ROW


def _axis(most: float, rows: int, system: System) -> Iterator[str]:
    """Yield the lines of the scale, in the shop's unit."""
    unit = unit_of("mass", system)
    one = to_si("1", "mass", unit)
    yield _text(0, 16, _("Mass, {unit}").format(unit=unit))
    foot = _y(rows)
    for count in ticks(most / one):
        x = _x(count * one, most)
        yield f'<path class="hair" d="M{x:.1f} {TOP - 8}V{foot:.1f}"/>'
        # The zero stands under the name of the axis and goes without saying.
        if count:
            round_number = local_number(Decimal(str(round(count, 6))), spoken())
            yield _text(x, 16, round_number, "middle")


def ticks(most: float) -> list[float]:
    """Return round numbers from 0 to a largest value, five or fewer above zero.

    >>> ticks(1790), ticks(48.2)
    ([0.0, 500.0, 1000.0, 1500.0], [0.0, 10.0, 20.0, 30.0, 40.0])
    """
    rough = most / 5
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * one for one in (1, 2, 5, 10) if power * one >= rough)
    return [step * count for count in range(int(most / step + 1e-9) + 1)]


def _ribbon(bands: list[Band], most: float) -> str:
    """Return the band as a hatched ribbon; the stack itself is weighed and has none."""
    right, left = [], []
    for number, band in enumerate(bands[1:], start=1):
        for y in (_y(number), _y(number + 1)):
            right.append(f"{_x(band.high, most):.1f} {y:.1f}")
            left.append(f"{_x(band.low, most):.1f} {y:.1f}")
    return (
        f'<path d="M{"L".join([*right, *reversed(left)])}Z" fill="url(#band)" '
        'fill-opacity="0.5" stroke="none"/>'
    )


def _line(steps: tuple[StepResult, ...], most: float) -> str:
    """Return the descending step line."""
    path = [f"M{_x(most, most):.1f} {TOP:.1f}"]
    for step in steps:
        path.append(f"H{_x(float(step.mass), most):.1f}V{_y(step.number + 1):.1f}")
    return f'<path class="edge" d="{"".join(path)}"/>'


def _row(
    step: StepResult, steps: tuple[StepResult, ...], most: float, system: System
) -> Iterator[str]:
    """Yield a step's name, and what it takes as a labelled segment."""
    number, base = step.number, _y(step.number) + 16
    name = SHORT_STEPS[step.kind]
    yield _text(0, base, f"{number} {name}" if number else name)
    if not number:
        yield _text(RIGHT + 8, base, mass(step.mass, system))
    if not step.cause or float(step.lost) <= 0:
        return
    before, after = (_x(float(one.mass), most) for one in (steps[number - 1], step))
    yield (
        f'<path d="M{before:.1f} {_y(number):.1f}H{after:.1f}" stroke="currentColor" '
        f'stroke-width="6" stroke-dasharray="{DASHES[step.cause]}"/>'
    )
    lost = f"−{mass(step.lost, system)} {SHORT_CAUSES[step.cause]}"
    yield _text(RIGHT + 8, base, lost)
