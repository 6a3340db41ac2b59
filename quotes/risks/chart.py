"""What an order may cost, drawn: how often it comes to what, with price and floor.

What lies beyond the price is filled, so that a loss is seen without colour. The two
marks have labels of two short lines at two heights, laid so that no label stands on
another or on the line of the other mark.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.safestring import SafeString

from billets.charts import WIDE, drawing, text_at, ticks
from billets.messages import spoken
from billets.units import local_number

LINE = 16.0
"""From one line of text to the next."""

RISE = 11.0
"""Of capitals above the base line."""

LETTER = 7.8
"""Width allowed for a letter of a label."""

GAP = 4.0
"""Between a mark and its label."""

TOP, FOOT = 80.0, 190.0
"""Where the highest bar ends, and where all stand."""

TIERS = (14.0, 14.0 + 2 * LINE + 4)
"""Base lines of the first line of the upper and of the lower label."""

FAR = 1.5
"""How far beyond the bars a mark is still shown in its place, in widths of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """An amount to be marked.

    Attributes
    ----------
    name, amount : str
        Both lines of its label.
    value : float
        Where it stands.
    dashes : str
        How its line is drawn.
    """

    name: str
    amount: str
    value: float
    dashes: str = "none"


@dataclass(frozen=True, slots=True)
class _Scale:
    """From amounts to places in the drawing."""

    low: float
    high: float

    def x(self, value: float) -> float:
        part = (value - self.low) / (self.high - self.low)
        return 1 + (WIDE - 2) * min(max(part, 0.0), 1.0)

    def beyond(self, value: float) -> str:
        """Return an arrow for a value that lies outside."""
        if value > self.high:
            return " \u2192"
        return " \u2190" if value < self.low else ""


@dataclass(frozen=True, slots=True)
class _Label:
    """A mark, where its line begins, and the tier and side of its label."""

    mark: Mark
    x: float
    tier: int
    anchor: str
    top: float


def cost_chart(
    edges: Sequence[float], counts: Sequence[int], marks: tuple[Mark, Mark],
    label: str, loss_from: float,
) -> SafeString:  # fmt: skip
    """Draw a distribution of cost with two marks; ``label`` says the same in words.

    Parameters
    ----------
    edges : sequence of float
        Of the bars, one more than there are bars [currency].
    counts : sequence of int
        How high each bar is [1].
    marks : (Mark, Mark)
        What is marked [currency].
    label : str
        What the picture says.
    loss_from : float
        Bars beyond it are filled [currency].
    """
    scale = _scale(edges, [one.value for one in marks])
    parts = [
        *_axis(scale),
        *_losses(edges, counts, scale, loss_from),
        _outline(edges, counts, scale),
    ]
    for one in _labels(marks, scale):
        parts += _marked(one, scale)
    return drawing(FOOT + LINE + 8, label, parts)


def _scale(edges: Sequence[float], values: Sequence[float]) -> _Scale:
    """Return a scale that holds all bars, and marks that are not too far off."""
    wide = (edges[-1] - edges[0]) or abs(edges[0]) * 0.2 or 1.0
    low = max(min(edges[0], *values), edges[0] - FAR * wide)
    high = min(max(edges[-1], *values), edges[-1] + FAR * wide)
    air = 0.02 * (high - low) or 0.1 * wide
    return _Scale(low - air, high + air)


def _height(count: int, counts: Sequence[int]) -> float:
    return FOOT - (FOOT - TOP) * count / max(counts)


def _outline(edges: Sequence[float], counts: Sequence[int], scale: _Scale) -> str:
    path = [f"M{scale.x(edges[0]):.1f} {FOOT:.1f}"]
    for count, right in zip(counts, edges[1:], strict=True):
        path.append(f"V{_height(count, counts):.1f}H{scale.x(right):.1f}")
    return f'<path class="edge" d="{"".join(path)}V{FOOT:.1f}"/>'


def _losses(
    edges: Sequence[float], counts: Sequence[int], scale: _Scale, loss_from: float
) -> Iterator[str]:
    for place, count in enumerate(counts):
        left = scale.x(max(edges[place], loss_from))
        right = scale.x(edges[place + 1])
        if count and edges[place + 1] > loss_from:
            top = _height(count, counts)
            yield (
                f'<rect class="dark" x="{left:.1f}" y="{top:.1f}" '
                f'width="{max(right - left, 0.5):.1f}" height="{FOOT - top:.1f}"/>'
            )


def _axis(scale: _Scale) -> Iterator[str]:
    """Yield the foot line with round amounts, no two of them touching."""
    yield f'<path class="hair" d="M0 {FOOT:.1f}H{WIDE}"/>'
    step = ticks(scale.high - scale.low)[1]
    last = -math.inf
    for count in range(math.ceil(scale.low / step), int(scale.high // step) + 1):
        words = local_number(_short(count * step, step), spoken())
        x, half = scale.x(count * step), LETTER * len(words) / 2
        if x - half >= last and half <= x <= WIDE - half:
            yield f'<path class="hair" d="M{x:.1f} {FOOT:.1f}v4"/>'
            yield text_at(x, FOOT + LINE + 2, words, "middle")
            last = x + half


def _short(value: float, step: float) -> Decimal:
    places = max(0, -math.floor(math.log10(step)))
    return Decimal(f"{value:.{places}f}")


# --- labels ----------------------------------------------------------------------


def _labels(marks: tuple[Mark, Mark], scale: _Scale) -> tuple[_Label, _Label]:
    """Lay out both labels: the lower one beside the line that comes down past it."""
    left, right = sorted(marks, key=lambda one: one.value)
    for lower, upper, anchor in (
        (right, left, "start"), (left, right, "end"),
        (right, left, "end"), (left, right, "start"),
    ):  # fmt: skip
        start, end = _span(lower, scale, anchor)
        inside = start >= 0 and end <= WIDE
        if inside and not start - GAP < scale.x(upper.value) < end + GAP:
            return (
                _label(upper, scale, 0, TIERS[0] - RISE),
                _Label(lower, scale.x(lower.value), 1, anchor, TIERS[1] - RISE),
            )
    # No room beside that line: it begins below both labels.
    return (
        _label(left, scale, 0, TIERS[1] + LINE + GAP),
        _label(right, scale, 1, TIERS[1] - RISE),
    )


def _label(mark: Mark, scale: _Scale, tier: int, top: float) -> _Label:
    _start, end = _span(mark, scale, "start")
    anchor = "start" if end <= WIDE else "end"
    return _Label(mark, scale.x(mark.value), tier, anchor, top)


def _span(mark: Mark, scale: _Scale, anchor: str) -> tuple[float, float]:
    x, letters = scale.x(mark.value), max(map(len, _lines(mark, scale)))
    if anchor == "start":
        return x + GAP, x + GAP + LETTER * letters
    return x - GAP - LETTER * letters, x - GAP


def _lines(mark: Mark, scale: _Scale) -> tuple[str, str]:
    return mark.name, f"{mark.amount}{scale.beyond(mark.value)}"


def _marked(one: _Label, scale: _Scale) -> Iterator[str]:
    """Yield a mark's line and the two lines of its label, beside the line."""
    yield (
        f'<path d="M{one.x:.1f} {one.top:.1f}V{FOOT:.1f}" stroke="currentColor" '
        f'stroke-width="2" stroke-dasharray="{one.mark.dashes}" fill="none"/>'
    )
    x = one.x + (GAP if one.anchor == "start" else -GAP)
    for place, words in enumerate(_lines(one.mark, scale)):
        yield text_at(x, TIERS[one.tier] + place * LINE, words, one.anchor)
