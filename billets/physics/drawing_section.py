"""The section at the heel, drawn large, edge to the left."""

from __future__ import annotations

import numpy as np

from billets.physics.drawing_layout import FOOT, LEAST_WIDTH, MARGIN, ROW
from billets.physics.drawing_marks import check_bar
from billets.physics.drawing_parts import (
    CHAIN,
    LETTERS,
    THIN,
    Frame,
    document,
    stroke,
    written,
)
from billets.physics.drawing_sizes import level_dimension, upright_dimension
from billets.physics.drawing_words import DrawingWords, angle_row, scale_name
from billets.physics.errors import PlanError, _
from billets.physics.knife_checks import check_knife
from billets.physics.knife_spec import KnifeSpec, spec_blade
from billets.physics.outline import Along
from billets.physics.section import Grind, edge_bevel_height, section_sides

SECTION_SCALES = (5.0, 2.0, 1.0, 0.5)
"""Tried in this order until the section fits; ISO 5455, from memory, verify [1]."""

HATCH = 4.0
"""Distance of the hatching's lines along the section [mm]."""

_SIDE = 12.0
"""Paper right of the section, for its thickness [mm]."""


def section_drawing(
    spec: KnifeSpec,
    *,
    page_width: float = 267.0,
    words: DrawingWords | None = None,
    name: str = "section",
) -> str:
    """Return the section at the heel, as large as the sheet allows.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    page_width : float
        Drawing width of the sheet [mm].
    words : DrawingWords or None
        What it says; English without.
    name : str
        Start of the ids in it; different for each drawing on a page.

    Returns
    -------
    str
        An SVG element of its size in millimetres.
    """
    check_knife(spec)
    said = words or DrawingWords()
    scale = _fitting_scale(spec.height, page_width)
    grind = spec_blade(spec).grind
    paper = 1e3 * scale
    deep = paper * spec.heel_thickness
    middle = MARGIN + 2.0 * LETTERS + 6.0 + deep / 2.0
    base = middle + (deep / 2.0 if grind.single else 0.0)
    frame = Frame(MARGIN, base, scale)
    body = _steel(spec, grind, frame) + _sizes(spec, grind, frame, middle, said)
    low = middle + deep / 2.0 + 2.0 * ROW
    units = said.units.format(unit=said.unit, scale=scale_name(scale))
    body += written((MARGIN, low), units)
    width = max(paper * spec.height + 2.0 * MARGIN + _SIDE, LEAST_WIDTH)
    body += check_bar((MARGIN, low + 6.0), said.check, width - 2.0 * MARGIN)
    title = said.section_title.format(scale=scale_name(scale))
    text = [f"{label}: {value}." for label, value in _rows(spec, grind, said)]
    return document(body, (width, low + FOOT), title, name=name, text=text)


def _fitting_scale(height: float, page_width: float) -> float:
    """Return the largest scale at which the section fits."""
    room = page_width - 2.0 * MARGIN - _SIDE
    for scale in SECTION_SCALES:
        if 1e3 * scale * height <= room:
            return scale
    raise PlanError(
        _("The section does not fit on this sheet; choose a wider one."),
        field="page_width",
    )


def _steel(spec: KnifeSpec, grind: Grind, frame: Frame) -> str:
    """Return the outline of the section and its hatching."""
    above, left, right = section_sides(spec.height, spec.heel_thickness, grind)
    around = [
        *zip(above, left, strict=True),
        *zip(above[::-1], right[::-1], strict=True),
    ]
    outline = stroke(
        [frame.at(*place) for place in around], name="section", closed=True
    )
    return outline + _hatching(above, left, right, frame)


def _hatching(above: Along, left: Along, right: Along, frame: Frame) -> str:
    """Return lines at 45 degrees from one side to the other."""
    step = HATCH / (1e3 * frame.scale)
    lines = ""
    for start in np.arange(step, above[-1], step):
        low = float(np.interp(start, above, left))
        across = 0.0
        # the far side slopes little, so this settles within a few rounds
        for _round in range(8):
            across = float(np.interp(start + across, above, right)) - low
        across = min(across, float(above[-1]) - start)
        ends = [frame.at(start, low), frame.at(start + across, low + across)]
        lines += stroke(ends, width=THIN)
    return lines


def _sizes(
    spec: KnifeSpec, grind: Grind, frame: Frame, middle: float, said: DrawingWords
) -> str:
    """Return height, thickness, and the words on the edge."""
    deep = 1e3 * frame.scale * spec.heel_thickness / 2.0
    start, end = frame.at(0.0, 0.0)[0], frame.at(spec.height, 0.0)[0]
    shoulder = frame.at(edge_bevel_height(grind), grind.behind_edge / 2.0)
    if grind.single:
        shoulder = frame.at(edge_bevel_height(grind), grind.behind_edge)
    line = MARGIN + 2.0 * LETTERS + 2.0
    edge, angle = _rows(spec, grind, said)[2:]
    parts = [
        level_dimension(
            (start, end),
            middle + deep + ROW,
            said.size(spec.height),
            (frame.base, middle + deep),
        ),
        upright_dimension(
            end + 4.0,
            (middle + deep, middle - deep),
            said.thickness(spec.heel_thickness),
            part=0.5,
        ),
        written((MARGIN, MARGIN + LETTERS), f"{edge[0]}: {edge[1]}"),
        written((MARGIN, line), f"{angle[0]}: {angle[1]}"),
        stroke([(shoulder[0], line + 1.5), shoulder], width=THIN),
    ]
    if not grind.single:
        axis = [(start - 2.0, frame.base), (end + 2.0, frame.base)]
        parts.append(stroke(axis, width=THIN, dashes=CHAIN))
    return "".join(parts)


def _rows(
    spec: KnifeSpec, grind: Grind, said: DrawingWords
) -> tuple[tuple[str, str], ...]:
    """Return what the section says."""
    return (
        (said.height, f"{said.size(spec.height)} {said.unit}"),
        (said.heel, f"{said.thickness(spec.heel_thickness)} {said.unit}"),
        (said.behind_edge, f"{said.fine(spec.behind_edge)} {said.unit}"),
        angle_row(spec.edge_angle, said, single=grind.single),
    )
