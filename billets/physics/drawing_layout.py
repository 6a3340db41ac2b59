"""Both views of a knife laid out on paper with their sizes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics.drawing_marks import balance_mark
from billets.physics.drawing_parts import (
    LETTERS,
    LINE,
    THIN,
    Frame,
    paragraph,
    stroke,
    words_width,
    written,
)
from billets.physics.drawing_shape import Knife
from billets.physics.drawing_sizes import level_dimension, upright_dimension
from billets.physics.drawing_views import side_view, spine_view
from billets.physics.drawing_words import DrawingWords, balance_words, scale_name
from billets.physics.errors import PlanError, _
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import KnifeSpec, spec_blade, spec_fittings
from billets.physics.taper import TIP_STATION

MARGIN = 4.0
"""Free paper on every side [mm]."""

ROW = 8.0
"""Distance of one dimension line from the next [mm]."""

LEAST_WIDTH = 110.0
"""The check bar and its margins [mm]."""

FOOT = 16.0
"""Paper taken by the check bar and its words [mm]."""

SCALES = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
"""Scales of drawings; ISO 5455, quoted from memory, verify [1]."""

BESIDE = 4.0
"""How far from the heel its height is drawn [mm]."""

LOW_BEVEL = 0.6
"""Below this the bevel line would cross the figure of the height [1]."""

_HEAD = MARGIN + LETTERS + 4.0
"""Paper above the side view, for the balance's words [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A drawing laid out, before its check bar.

    Attributes
    ----------
    body : str
        What is drawn.
    width, height : float
        Paper it takes, the foot included [mm].
    """

    body: str
    width: float
    height: float


def drawn(spec: KnifeSpec, *, steel_only: bool) -> Knife:
    """Return what is drawn of a knife.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    steel_only : bool
        Whether the handle is left out and the tang seen.

    Returns
    -------
    Knife
        Its shapes.
    """
    return Knife(
        family=spec.family,
        height=spec.height,
        heel_thickness=spec.heel_thickness,
        blade=spec_blade(spec),
        fittings=spec_fittings(spec),
        steel_only=steel_only,
    )


def paper_width(knife: Knife, scale: float) -> float:
    """Return the paper a knife takes.

    Parameters
    ----------
    knife : Knife
        What is drawn.
    scale : float
        Size on paper over true size [1].

    Returns
    -------
    float
        Width with its margins [mm].
    """
    length = knife.behind + knife.blade.length
    return max(1e3 * scale * length + 2.0 * MARGIN, LEAST_WIDTH)


def laid_out(
    spec: KnifeSpec, scale: float, said: DrawingWords, *, steel_only: bool
) -> Sheet:
    """Lay out both views, their sizes and the balance.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    scale : float
        Size on paper over true size, one of ``SCALES`` [1].
    said : DrawingWords
        What it says.
    steel_only : bool
        Whether the handle is left out and the tang seen.

    Returns
    -------
    Sheet
        The drawing with room for its check bar.
    """
    check_scale(scale)
    knife = drawn(spec, steel_only=steel_only)
    paper, width = 1e3 * scale, paper_width(knife, scale)
    frame = Frame(MARGIN + paper * knife.behind, _HEAD + paper * knife.top, scale)
    low = frame.at(0.0, knife.bottom)[1]
    side = side_view(knife, frame)
    place = weigh_knife(spec).balance
    sizes = _height(knife, frame, place, said)
    sizes += _lengths(knife, frame, low + ROW, said) + _heel(knife, frame, low, said)
    here = "" if steel_only else _balance(place, knife, frame, width, said)
    spine, end = _spine(knife, frame, low + 2.0 * ROW, said)
    body = side + sizes + here + spine
    return Sheet(body=body, width=width, height=end + FOOT)


def check_scale(scale: float) -> None:
    """Refuse a scale that drawings do not have.

    Parameters
    ----------
    scale : float
        Size on paper over true size [1].
    """
    if scale not in SCALES:
        raise PlanError(
            _("Drawings have a scale of 1:1, 1:2 or the like; choose one of them."),
            field="scale",
            scale=scale,
        )


def _height(knife: Knife, frame: Frame, balance: float, said: DrawingWords) -> str:
    """Return the height at the heel, inside the blade beside its heel."""
    # keep clear of the balance mark, and the figure clear of a low bevel line
    near = 1e3 * frame.scale * balance
    place = near + BESIDE + 2.0 if abs(near - BESIDE) < BESIDE else BESIDE
    x = np.array(place / (1e3 * frame.scale))
    low = frame.at(float(x), float(knife.blade.edge(x)))
    high = frame.at(float(x), float(knife.blade.spine(x)))
    part = 0.4 if knife.blade.grind.bevel > LOW_BEVEL else 0.22
    text = said.size(knife.height)
    return upright_dimension(low[0], (low[1], high[1]), text, part=part)


def _lengths(knife: Knife, frame: Frame, level: float, said: DrawingWords) -> str:
    """Return handle, neck and blade in one row and the whole length under it."""
    neck, length = knife.fittings.neck.length, knife.blade.length
    end = -knife.behind
    tip = float(knife.blade.edge(np.array(length)))
    front, butt = (knife.axis - high / 2.0 for high in knife.heights)
    places = [(end, butt), (-neck, front), (0.0, 0.0), (length, tip)]
    on_paper = [frame.at(x, y) for x, y in places]
    row = ""
    for first, last, size in zip(
        on_paper, on_paper[1:], (-end - neck, neck, length), strict=False
    ):
        ends, starts = (first[0], last[0]), (first[1], last[1])
        row += level_dimension(ends, level, said.size(size), starts)
    whole = level_dimension(
        (on_paper[0][0], on_paper[-1][0]),
        level + ROW,
        said.size(length - end),
        (level, level),
    )
    return row + whole


def _heel(knife: Knife, frame: Frame, low: float, said: DrawingWords) -> str:
    """Return the word at the heel, below the edge, if the blade is long enough."""
    start = frame.at(0.0, 0.0)[0] + 1.5
    middle = frame.at(knife.blade.length / 2.0, 0.0)[0]
    length = said.size(knife.blade.length)
    if start + words_width(said.heel_mark) > middle - words_width(length) / 2.0:
        return ""
    return written((start, low + LETTERS + 0.8), said.heel_mark)


def _balance(
    place: float, knife: Knife, frame: Frame, width: float, said: DrawingWords
) -> str:
    """Return the balance point with its words above."""
    x, y = frame.at(place, knife.axis)
    text = balance_words(place, said)
    start = max(min(x + 1.0, width - MARGIN - words_width(text)), MARGIN)
    line = MARGIN + LETTERS
    return (
        balance_mark((x, y))
        + stroke([(x, y - 1.8), (x, line + 1.0)], width=THIN)
        + written((start, line), text)
    )


def _spine(
    knife: Knife, above: Frame, level: float, said: DrawingWords
) -> tuple[str, float]:
    """Return the spine view below a level, its sizes, and where it ends."""
    paper, handle = 1e3 * above.scale, knife.fittings.handle
    wide = 0.0 if knife.steel_only else max(handle.front[0], handle.butt[0])
    half = paper * max(wide, knife.heel_thickness) / 2.0
    frame = Frame(above.left, level + ROW / 2.0 + half, above.scale)
    line = frame.base + paper * knife.heel_thickness / 2.0 + 2.0
    length = knife.blade.length
    body = spine_view(knife, frame)
    for x in (0.0, length / 2.0, length - TIP_STATION):
        thickness = float(knife.blade.thickness(np.array(x)))
        at = frame.at(x, -thickness / 2.0)
        body += stroke([(at[0], at[1] + 0.5), (at[0], line)], width=THIN)
        text = said.thickness(thickness)
        body += written((at[0], line + LETTERS), text, anchor="middle")
    low = max(frame.base + half, line + LETTERS) + ROW
    name = scale_name(above.scale)
    room = paper_width(knife, above.scale) - 2.0 * MARGIN
    notes, low = paragraph((MARGIN, low), said.stations, room)
    units = said.units.format(unit=said.unit, scale=name)
    more, low = paragraph((MARGIN, low + LINE), units, room)
    return body + notes + more, low
