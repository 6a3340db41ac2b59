"""What the pictures of a billet share: short words, fills, dashes, a round scale.

SVG of attributes only, 360 units wide; ``currentColor`` is the ink of the page. Each
stands beside a table or list that says the same in words.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext_lazy

from billets.physics.steps import Core
from billets.services import PlanSpec

WIDE = 360

SHORT_STEPS = {
    "start": gettext_lazy("Stack"), "weld": gettext_lazy("Weld"),
    "draw": gettext_lazy("Draw"), "trim": gettext_lazy("Trim"),
    "grind": gettext_lazy("Grind"), "cut": gettext_lazy("Cut"),
    "fold": gettext_lazy("Fold"), "twist": gettext_lazy("Twist"),
    "ladder": gettext_lazy("Ladder"), "dimple": gettext_lazy("Dimples"),
    "core": gettext_lazy("Core"),
}  # fmt: skip
SHORT_CAUSES = {
    "weld_scale": gettext_lazy("scale"), "draw_scale": gettext_lazy("scale"),
    "trim": gettext_lazy("ends"), "grind": gettext_lazy("ground"),
    "kerf": gettext_lazy("saw"), "pattern": gettext_lazy("figure"),
}  # fmt: skip

DASHES = {
    "weld_scale": "none", "draw_scale": "6 2", "trim": "2 2", "grind": "4 1 1 1",
    "kerf": "1 1", "pattern": "8 2 2 2",
}  # fmt: skip
"""How a loss is drawn, so that causes differ in black and white."""

INK, BARE = "#1c2126", "#fbfaf7"
"""Dark and bright steel: the same by day, by night and on paper."""

FILLS = {"dark": (INK,), "bright": (BARE,), "grey": ("url(#hatch)",)}
MORE_FILLS = ("url(#dots)", "url(#cross)", "url(#hatch)", "url(#bars)")
"""How layers are filled by their etch; a second steel of one etch takes another."""

MARKS = {
    "hatch": '<path d="M0 0V4" stroke="{ink}"/>',
    "dots": '<circle cx="1" cy="1" r="0.8" fill="{ink}" stroke="none"/>',
    "cross": '<path d="M0 0H4M0 0V4" stroke="{ink}"/>',
    "bars": '<path d="M0 0H4" stroke="{ink}"/>',
}
"""What repeats in a filled layer, every 4 units; hatching lies at 45 degrees."""


def _pattern(name: str, marks: str, ink: str, ground: str, scale: float = 1.0) -> str:
    turned = "" if marks in ("dots", "bars") else "rotate(45)"
    sized = "" if scale == 1.0 else f"scale({scale:g})"
    how = (
        f' patternTransform="{f"{turned} {sized}".strip()}"' if turned or sized else ""
    )
    return (
        f'<pattern id="{name}" width="4" height="4" patternUnits="userSpaceOnUse"'
        f'{how}><rect width="4" height="4" fill="{ground}" stroke="none"/>'
        f"{MARKS[marks].format(ink=ink)}</pattern>"
    )


LAYER_PATTERNS = "".join(_pattern(name, name, INK, BARE) for name in MARKS)
BAND_PATTERN = _pattern("band", "hatch", "currentColor", "none")


def paper_patterns(name: str, scale: float) -> str:
    """Return the fills of layers for a drawing in millimetres, with ids of its own."""
    return "".join(
        _pattern(f"{name}-{marks}", marks, INK, BARE, scale) for marks in MARKS
    )


def drawing(height: float, label: str, parts: Iterable[str]) -> SafeString:
    """Return a drawing of the usual width; what it says stands in ``label``."""
    inside = "".join(parts)
    # Safe: the parts hold numbers, and words that ``text_at`` escapes; the label is
    # escaped right here.
    return mark_safe(  # noqa: S308
        f'<svg viewBox="0 0 {WIDE} {height:.0f}" role="img" '
        f'aria-label="{escape(label)}">{inside}</svg>'
    )


def text_at(x: float, y: float, words: object, anchor: str = "start") -> str:
    """Return a line of text, which starts, ends or has its middle there."""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
    )


def steel_fills(spec: PlanSpec) -> dict[str, str]:
    """Return how each steel is filled, by its key: by etch, all told apart.

    Steels of the stack come first, then those of cores laid in later.
    """
    laid = [spec.bars[letter].steel for letter in sorted(set(spec.order))]
    cores = [step.steel for step in spec.steps if isinstance(step, Core)]
    fills: dict[str, str] = {}
    for steel in (*laid, *cores):
        free = (
            fill
            for fill in (*FILLS.get(steel.etch, ()), *MORE_FILLS)
            if fill not in fills.values()
        )
        fills.setdefault(steel.key, next(free, MORE_FILLS[-1]))
    return fills


def layer_fills(spec: PlanSpec) -> dict[str, str]:
    """Return how each letter of the order is filled."""
    fills = steel_fills(spec)
    return {letter: fills[spec.bars[letter].steel.key] for letter in set(spec.order)}


def ticks(most: float) -> list[float]:
    """Return round numbers from 0 to a largest value, five or fewer above zero.

    >>> ticks(1790), ticks(48.2)
    ([0.0, 500.0, 1000.0, 1500.0], [0.0, 10.0, 20.0, 30.0, 40.0])
    """
    rough = most / 5
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * one for one in (1, 2, 5, 10) if power * one >= rough)
    return [step * count for count in range(int(most / step + 1e-9) + 1)]
