"""How the knives lie along the finished bar: saw cuts, tangs, tips, what is left."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext as _

from billets.charts import paper_patterns
from billets.figures import PlanFigures
from billets.physics.bar_layout import Bar, BarLayout, Piece, bar_layout
from billets.physics.blade import stations
from billets.physics.drawing_parts import (
    DASHES,
    LETTERS,
    THIN,
    Frame,
    Point,
    stroke,
    words_width,
    written,
)
from billets.physics.drawing_sizes import level_dimension
from billets.physics.drawing_words import scale_name
from billets.physics.knife_spec import KnifeSpec, spec_blade, spec_fittings
from billets.pictures.bar_words import alone_rows, bar_notes, bar_rows
from billets.pictures.paper import Picture, filled, hair, on_paper, scale_bar
from billets.units import System
from billets.wording import bare, said, whole

ROOM = 92.0
"""Paper of the picture on a page: about as wide as a phone [mm]."""

SCALES = (1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
"""ISO 5455, quoted from memory, verify [1]."""

MARGIN, OVER = 3.0, 2.0
"""Free paper, and how far a saw cut is drawn beyond the bar [mm]."""

ROW = 7.0

OUTLINED = 0.2
"""Below this scale no outline is drawn into its piece: it would be a blot [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A bar on paper.

    Attributes
    ----------
    layout : BarLayout
        What lies where.
    width : float
        Of the bar [m].
    frame : Frame
        Where it lies; x along the bar, y up its width.
    specs : tuple of KnifeSpec or None
        The knife of each piece, where its outline can be drawn.
    """

    layout: BarLayout
    width: float
    frame: Frame
    specs: tuple[KnifeSpec | None, ...]

    @property
    def paper(self) -> float:
        """Millimetres on paper for a metre of bar."""
        return 1e3 * self.frame.scale


def bar_picture(
    figures: PlanFigures, system: System, *, room: float = ROOM, alone: bool = True
) -> Picture | None:
    """Draw where along the bar each knife is cut out.

    Parameters
    ----------
    figures : PlanFigures
        The plan.
    system : System
        The shop's units.
    room : float
        Paper across [mm].
    alone : bool
        Whether to say how many blanks of each knife the bar would give by itself.

    Returns
    -------
    Picture or None
        Nothing where no knife is planned, or nothing is left of the billet.
    """
    if figures.plain.used_up or not figures.targets:
        return None
    drawn = _drawn(figures, room)
    rows = tuple(bar_rows(drawn.layout, drawn.width, system))
    if alone:
        rows += tuple(alone_rows(drawn.layout))
    foot = drawn.frame.base + OVER + ROW
    body = "".join(
        (
            paper_patterns("bar", 0.35), *_pieces(drawn), *_cuts(drawn),
            *_ends(drawn), *_sizes(drawn, foot, system),
        )
    )  # fmt: skip
    low = foot + ROW + 1.0
    place = (MARGIN, low)
    scale = drawn.frame.scale
    body += scale_bar(place, scale, room / 2.0, system)
    title = _("Blanks along the bar, scale {scale}").format(scale=scale_name(scale))
    svg = on_paper(body, (room, low + 3.0), title, name="bar", rows=rows)
    notes = tuple(bar_notes(drawn.layout))
    return Picture(title=title, svg=svg, rows=rows, notes=notes)


def planned_bar(figures: PlanFigures) -> Bar:
    """Return the bar a plan ends with, if all goes as planned."""
    plain = figures.plain
    return Bar(
        length=float(plain.clean_length),
        mass=float(plain.clean_mass),
        kerf=float(figures.spec.saw.kerf),
        clean=plain.clean,
    )


def _drawn(figures: PlanFigures, room: float) -> Drawn:
    layout = bar_layout(planned_bar(figures), figures.targets)
    width = float(figures.plain.clean_width)
    wide = room - 2.0 * MARGIN
    fits = (one for one in SCALES if 1e3 * one * layout.length <= wide)
    scale = next(fits, SCALES[-1])
    top = MARGIN + 2.0 * LETTERS + OVER
    return Drawn(
        layout=layout,
        width=width,
        frame=Frame(MARGIN, top + 1e3 * scale * width, scale),
        specs=tuple(
            figures.targets[piece.target].knife
            if piece.flat and scale >= OUTLINED
            else None
            for piece in layout.pieces
        ),
    )


# --- drawn ---------------------------------------------------------------------------


def _box(drawn: Drawn, start: float, end: float) -> list[Point]:
    at, top = drawn.frame.at, drawn.width
    return [at(start, 0.0), at(end, 0.0), at(end, top), at(start, top)]


def _pieces(drawn: Drawn) -> Iterator[str]:
    """Yield each piece with its number, stub and heel, and what is left over."""
    layout, at = drawn.layout, drawn.frame.at
    for place, (piece, spec) in enumerate(
        zip(layout.pieces, drawn.specs, strict=True), start=1
    ):
        yield stroke(
            _box(drawn, piece.start, piece.end), name=f"piece-{place}", closed=True
        )
        if piece.stub > 0.0:
            start = piece.tang_end
            end = start - piece.stub if piece.turned else start + piece.stub
            yield filled(_box(drawn, *sorted((start, end))), "url(#bar-hatch)", line=0)
        if piece.heel is not None:
            ends = [at(piece.heel, 0.0), at(piece.heel, drawn.width)]
            yield hair(ends, DASHES)
        if spec is not None:
            yield _outline(drawn, piece, spec)
        behind = piece.tang_end if piece.heel is None else piece.heel
        middle = at((behind + piece.tip) / 2.0, drawn.width / 2.0)
        yield written(
            (middle[0], middle[1] + LETTERS / 3.0), whole(place), anchor="middle"
        )
    start = layout.length - layout.left
    if layout.left > 0.0:
        over = _box(drawn, start, layout.length)
        yield stroke(over, width=THIN, dashes=DASHES, name="left-over", closed=True)
        words, (x, foot) = _("left over"), over[0]
        if words_width(words) < over[1][0] - x:
            level = (foot + over[2][1] + LETTERS) / 2.0 - 0.5
            yield written(((x + over[1][0]) / 2.0, level), words, anchor="middle")


def _outline(drawn: Drawn, piece: Piece, spec: KnifeSpec) -> str:
    """Return the finished steel of a knife as it lies in its piece of flat bar."""
    blade, fittings = spec_blade(spec), spec_fittings(spec)
    x, _weight = stations(blade.length, 40)
    edge, spine = blade.edge(x), blade.spine(x)
    neck, tang = fittings.neck, fittings.tang
    top, start = spec.height, -neck.length
    axis = top - neck.back / 2.0
    around = [
        *zip(x, edge, strict=True),
        *zip(x[::-1], spine[::-1], strict=True),
        (start, axis + tang.heights[0] / 2.0),
        (start - tang.length, axis + tang.heights[1] / 2.0),
        (start - tang.length, axis - tang.heights[1] / 2.0),
        (start, axis - tang.heights[0] / 2.0),
        (0.0, top - neck.front),
    ]
    low = (drawn.width - float(np.max(spine))) / 2.0
    heel = piece.heel or 0.0
    way = -1.0 if piece.turned else 1.0
    points = [drawn.frame.at(heel + way * a, low + b) for a, b in around]
    return stroke(points, width=0.25, name="outline", closed=True)


def _cuts(drawn: Drawn) -> Iterator[str]:
    """Yield the saw cuts, as wide as they are, and beyond the bar so they are seen."""
    at, layout = drawn.frame.at, drawn.layout
    for cut in layout.cuts:
        x, low = at(cut, 0.0)
        high = at(cut, drawn.width)[1]
        end = min(x + drawn.paper * layout.kerf, at(layout.length, 0.0)[0])
        corners = [
            (x, low + OVER), (end, low + OVER), (end, high - OVER), (x, high - OVER),
        ]  # fmt: skip
        yield filled(corners, "currentColor", line=0, name="cut")


def _ends(drawn: Drawn) -> Iterator[str]:
    """Yield the words tang and tip above the ends of each piece, where they fit."""
    level = drawn.frame.at(0.0, drawn.width)[1] - OVER - 1.0
    tang, tip = _("tang"), _("tip")
    need = words_width(tang) + words_width(tip) + 2.0
    for piece in drawn.layout.pieces:
        left, right = (drawn.frame.at(x, 0.0)[0] for x in (piece.start, piece.end))
        words = (tip, tang) if piece.turned else (tang, tip)
        if right - left < need:
            continue
        yield written((left, level), words[0])
        yield written((right - 2.0, level), words[1], anchor="end")


def _sizes(drawn: Drawn, level: float, system: System) -> Iterator[str]:
    """Yield the length of each piece and of what is left, where there is room."""
    layout = drawn.layout
    spans = [(piece.start, piece.end) for piece in layout.pieces]
    if layout.left > 0.0:
        spans.append((layout.length - layout.left, layout.length))
    for start, end in spans:
        left, right = (drawn.frame.at(x, 0.0)[0] for x in (start, end))
        text = bare(said(end - start, "length", system))
        if words_width(text) > right - left:
            continue
        yield level_dimension(
            (left, right), level, text, (drawn.frame.base, drawn.frame.base)
        )
