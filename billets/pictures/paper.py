"""What pictures in millimetres share: rows beside them, thin paths, bars of scale."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from django.utils.safestring import SafeString, mark_safe
from numpy.typing import NDArray

from billets.messages import spoken
from billets.physics.drawing_parts import (
    LETTERS,
    THIN,
    Point,
    document,
    number,
    stroke,
    written,
)
from billets.units import System, exact, show, to_si

FINEST = 0.01
"""Points of a path may lie so far off it when it is thinned out [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing with what it says in words.

    Attributes
    ----------
    title : str
        What it shows.
    svg : SafeString
        The drawing.
    rows : tuple of (label, text)
        The numbers it stands for.
    notes : tuple of str
        What to know when reading it.
    """

    title: str
    svg: SafeString
    rows: tuple[tuple[str, str], ...]
    notes: tuple[str, ...] = ()


def on_paper(
    body: str, size: Point, title: str, *, name: str, rows: Iterable[tuple[str, str]]
) -> SafeString:
    """Return a drawing of its size in millimetres; its rows are read out as well."""
    text = [f"{label}: {value}." for label, value in rows]
    svg = document(body, size, title, name=name, text=text)
    # Safe: ``document`` escapes title and text, the body holds numbers and words that
    # the core has escaped where it put them in.
    return mark_safe(svg)  # noqa: S308


def filled(points: Sequence[Point], fill: str, *, line: float, name: str = "") -> str:
    """Return a closed shape; ``line`` is the width of its outline, 0 for none [mm]."""
    way = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    ink = f'stroke="#000" stroke-width="{number(line)}"' if line else 'stroke="none"'
    called = f' class="{name}"' if name else ""
    return f'<path{called} d="M {way} Z" fill="{fill}" {ink}/>'


def thinned(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the corners of a path (points, 2) without those that lie on its way.

    Halving at the farthest point, after Douglas and Peucker (1973).
    """
    keep = np.zeros(len(points), dtype=bool)
    keep[[0, -1]] = True
    spans = [(0, len(points) - 1)]
    while spans:
        first, last = spans.pop()
        if last - first < 2:
            continue
        off = _distances(points[first + 1 : last], points[first], points[last])
        worst = int(np.argmax(off))
        if off[worst] > FINEST:
            middle = first + 1 + worst
            keep[middle] = True
            spans += [(first, middle), (middle, last)]
    return points[keep]


def _distances(
    points: NDArray[np.float64], start: NDArray[np.float64], end: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return how far points lie from the line between two ends."""
    way = end - start
    long = float(np.hypot(*way))
    away = points - start
    if long < 1e-12:
        return np.asarray(np.hypot(away[:, 0], away[:, 1]))
    return np.asarray(np.abs(way[0] * away[:, 1] - way[1] * away[:, 0]) / long)


ROUND = (1.0, 2.0, 5.0)
"""Lengths of a bar of scale, times a power of ten."""


def scale_bar(place: Point, scale: float, room: float, system: System) -> str:
    """Return a bar of a round length with its length; trusted on any screen.

    Parameters
    ----------
    place : (x, y)
        Its left end on paper [mm].
    scale : float
        Size on paper over true size [1].
    room : float
        What it may take with its words [mm].
    system : System
        The shop's units.

    Returns
    -------
    str
        SVG paths and a text.
    """
    x, y = place
    one = to_si("1", "fine", {"metric": "mm", "inch": "in"}[system])
    lengths = [step * 10.0**power for power in range(-5, 3) for step in ROUND]
    fitting = [length for length in lengths if 1e3 * scale * one * length <= room / 2.0]
    length = max(fitting)
    wide = 1e3 * scale * one * length
    ends = "".join(stroke([(at, y - 1.0), (at, y + 1.0)]) for at in (x, x + wide))
    words = exact(one * length, "length", system, spoken())
    return (
        '<g stroke-linecap="butt">'
        + stroke([(x, y), (x + wide, y)], name="scale-bar")
        + ends
        + "</g>"
        + written((x + wide + 1.5, y + LETTERS / 3.0), words)
    )


def layer_words(thickness: float, system: System) -> str:
    """Write the thickness of a layer, to a thousandth of a millimetre or finer."""
    places = {"metric": 3, "inch": 5}[system]
    return show(thickness, "fine", system, places, spoken())


def hair(points: Iterable[Point], dashes: str = "") -> str:
    """Return a thin line."""
    return stroke(points, width=THIN, dashes=dashes)
