"""The etched blade in section: each layer where it lies, as thick as it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from django.utils.translation import gettext as _

from billets.charts import paper_patterns, steel_fills
from billets.figures import PlanFigures
from billets.physics.drawing_parts import (
    CHAIN,
    LETTERS,
    LINE,
    paragraph,
    stroke,
    words_width,
    written,
)
from billets.pictures.paper import Picture, filled, hair, on_paper, scale_bar, thinned
from billets.pictures.section_views import GAP, MARGIN, ROOM, View, views_of
from billets.pictures.section_words import (
    Seen,
    core_seen,
    section_notes,
    section_rows,
    seen_of,
    steel_words,
)
from billets.units import System

LEAST = 76.0
"""Paper across, so that the names of steels have room [mm]."""


def section_picture(
    figures: PlanFigures, system: System, *, label: str = ""
) -> Picture | None:
    """Draw the layers of a plan in the blade of one of its knives.

    Parameters
    ----------
    figures : PlanFigures
        The plan.
    system : System
        The shop's units.
    label : str
        Which of its knives; the first unless given.

    Returns
    -------
    Picture or None
        The section at the heel, or of the bar itself where no knife is planned; None
        if nothing is left of the billet.
    """
    if figures.plain.used_up:
        return None
    seen = seen_of(figures, label)
    views = views_of(seen)
    fills = {
        key: fill.replace("#", "#etched-") if fill.startswith("url") else fill
        for key, fill in steel_fills(figures.spec).items()
    }
    rows = section_rows(figures, seen, system)
    body, low, width = _drawn(views, fills, seen, system)
    legend, low = _legend(figures, seen, fills, low + GAP, width)
    title = _("Layers in the blade at the heel, etched")
    if not seen.blade:
        title = _("Layers in the bar, etched")
    svg = on_paper(
        paper_patterns("etched", 0.2) + body + legend,
        (width, low + MARGIN), title, name="etched", rows=rows,
    )  # fmt: skip
    fine = {view.frame.scale: view.held for view in views if view.held > 1}
    return Picture(
        title=title, svg=svg, rows=rows, notes=section_notes(figures, seen, fine)
    )


# --- drawn ---------------------------------------------------------------------------


def _drawn(
    views: list[View], fills: Mapping[str, str], seen: Seen, system: System
) -> tuple[str, float, float]:
    """Return all views, how low they reach, and the width they take."""
    body, low, wide = "", 0.0, LEAST
    for place, view in enumerate(views):
        left, top = view.place
        foot = top + view.size[1] + GAP
        body += written((left, top - 2.0), view.words)
        body += f'<g class="view">{"".join(_layers(view, fills))}</g>'
        body += _outline(view)
        if place:
            body += scale_bar((left, foot - 2.0), view.frame.scale, ROOM, system)
        low = max(low, foot)
        wide = max(wide, left + max(view.size[0], words_width(view.words)) + MARGIN)
    body += _core_lines(views[0], seen) + "".join(_marks(views))
    return body, low, wide


def _layers(view: View, fills: Mapping[str, str]) -> Iterator[str]:
    """Yield one shape for each layer that shows."""
    at = view.frame
    for place, steel in enumerate(view.laid.steels):
        near, far = view.laid.bounds[place], view.laid.bounds[place + 1]
        shown = np.flatnonzero(far - near > 1e-9)
        if not shown.size:
            continue
        part = slice(max(shown[0] - 1, 0), min(shown[-1] + 2, len(near)))
        above = view.laid.above[part]
        sides = [
            thinned(np.array([at.at(*p) for p in zip(side[part], above, strict=True)]))
            for side in (near, far)
        ]
        around = [*map(tuple, sides[0]), *map(tuple, sides[1][::-1])]
        fill = fills.get(steel, "url(#etched-hatch)")
        line = 0.05 if fill.startswith("url") else 0.0
        yield filled(around, fill, line=line, name="layer")


def _outline(view: View) -> str:
    """Return both sides of a view; a cut-off end stays open."""
    at, laid = view.frame, view.laid
    sides = []
    for bound in (laid.bounds[0], laid.bounds[-1]):
        pairs = zip(bound, laid.above, strict=True)
        points = thinned(np.array([at.at(*pair) for pair in pairs]))
        sides.append([tuple(point) for point in points])
    top = [sides[0][-1], sides[1][-1]]
    return "".join(stroke(one, width=0.35) for one in (*sides, top))


def _marks(views: list[View]) -> Iterator[str]:
    """Yield on the whole section the parts that are drawn larger beside it."""
    whole = views[0]
    for view in views[1:3]:
        low, high = float(view.laid.above[0]), float(view.laid.above[-1])
        near, far = float(whole.laid.bounds.min()), float(whole.laid.bounds.max())
        left, right = whole.frame.at(near, 0.0)[0], whole.frame.at(far, 0.0)[0]
        for level in (low, high):
            if 0.0 < level < float(whole.laid.above[-1]):
                y = whole.frame.at(0.0, level)[1]
                yield hair([(left - 1.0, y), (right + 1.0, y)])


def _core_lines(whole: View, seen: Seen) -> str:
    """Return where a jacket ends, across the whole section and a little beyond."""
    core = core_seen(seen)
    if core is None:
        return ""
    lines = ""
    for level in sorted({round(core.near, 6), round(core.far, 6)}):
        if not 0.0 < level < seen.cut.height:
            continue
        near, far = (
            float(np.interp(level, whole.laid.above, whole.laid.bounds[side]))
            for side in (0, -1)
        )
        (left, y), (right, _y) = (whole.frame.at(z, level) for z in (near, far))
        lines += hair([(left - 2.0, y), (right + 3.0, y)], CHAIN)
    return lines


def _legend(
    figures: PlanFigures, seen: Seen, fills: Mapping[str, str], top: float, width: float
) -> tuple[str, float]:
    """Return which fill stands for which steel, and how low that reaches."""
    body, low = "", top
    start = MARGIN + 9.0
    for key, words in steel_words(figures, seen):
        swatch = [
            (MARGIN, low - 3.0), (MARGIN + 7.0, low - 3.0),
            (MARGIN + 7.0, low), (MARGIN, low),
        ]  # fmt: skip
        body += filled(swatch, fills[key], line=0.0)
        body += stroke(swatch, width=0.25, closed=True)
        text, low = paragraph((start, low), words, width - start - MARGIN)
        body += text
        low += LINE
    return body, low - LINE + LETTERS / 3.0
