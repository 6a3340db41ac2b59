"""The drawing of a knife, made from the same numbers as its weight.

One user unit is one millimetre on paper. The words are handed in: the core knows no
language.
"""

from __future__ import annotations

import math
from dataclasses import replace

from billets.physics.drawing_layout import (
    FOOT,
    LEAST_WIDTH,
    MARGIN,
    Sheet,
    drawn,
    laid_out,
    paper_width,
)
from billets.physics.drawing_marks import check_bar, registration_mark
from billets.physics.drawing_parts import document
from billets.physics.drawing_words import (
    DrawingWords,
    angle_row,
    balance_words,
    scale_name,
)
from billets.physics.errors import PlanError, _
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import KnifeSpec, spec_blade, spec_fittings

OVERLAP = 14.0
"""What two neighbouring sheets show both [mm]."""

LEAST_PAGE = LEAST_WIDTH + 2.0 * OVERLAP
"""A sheet of several holds check bar and overlaps [mm]."""


def blade_drawing(
    spec: KnifeSpec,
    *,
    scale: float = 1.0,
    words: DrawingWords | None = None,
    steel_only: bool = False,
    ruler: bool = True,
    name: str = "knife",
) -> str:
    """Return a knife from the side and from the spine, to scale.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    scale : float
        Size on paper over true size, 1, 0.5 or the like [1].
    words : DrawingWords or None
        What it says; English without.
    steel_only : bool
        Whether the handle is left out and the tang seen.
    ruler : bool
        Whether the check bar is drawn; a sheet of several drawings needs one.
    name : str
        Start of the ids in it; different for each drawing on a page.

    Returns
    -------
    str
        An SVG element of its size in millimetres.
    """
    said = words or DrawingWords()
    sheet = laid_out(spec, scale, said, steel_only=steel_only)
    foot = _foot(sheet, 0.0, sheet.width, said.check) if ruler else ""
    return document(
        sheet.body + foot,
        (sheet.width, sheet.height if ruler else sheet.height - FOOT + MARGIN),
        _title(said, scale, steel_only=steel_only),
        name=name,
        text=_lines(spec, said),
    )


def tiles(
    spec: KnifeSpec,
    *,
    scale: float = 1.0,
    page_width: float = 267.0,
    words: DrawingWords | None = None,
    steel_only: bool = True,
    name: str = "sheet",
) -> list[str]:
    """Return a drawing cut into sheets to be laid mark on mark.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    scale : float
        Size on paper over true size, 1, 0.5 or the like [1].
    page_width : float
        Drawing width of a sheet: 267 for A4 across, 180 upright [mm].
    words : DrawingWords or None
        What it says; English without.
    steel_only : bool
        Whether the handle is left out and the tang seen.
    name : str
        Start of the ids in it; different for each drawing on a page.

    Returns
    -------
    list of str
        One SVG element a sheet, each with its own check bar; one if all fits.
    """
    said = words or DrawingWords()
    if page_width < LEAST_PAGE:
        raise PlanError(
            _("A sheet must be at least {least} wide to be laid on the next."),
            field="page_width",
            least=LEAST_PAGE * 1e-3,
        )
    sheet = laid_out(spec, scale, said, steel_only=steel_only)
    if sheet.width <= page_width:
        whole = blade_drawing(
            spec, scale=scale, words=said, steel_only=steel_only, name=f"{name}-1"
        )
        return [whole]
    step = page_width - OVERLAP
    count = math.ceil((sheet.width - OVERLAP) / step)
    cuts = [step * place + OVERLAP / 2.0 for place in range(1, count)]
    marks = "".join(_marks(cut, sheet.height) for cut in cuts)
    marked = replace(sheet, body=sheet.body + marks, width=page_width)
    title = _title(said, scale, steel_only=steel_only)
    parts = []
    for place in range(count):
        which = said.sheet.format(number=place + 1, count=count)
        part = document(
            marked.body + _tile_foot(marked, place, count, f"{said.check}. {which}"),
            (page_width, sheet.height),
            f"{title}. {which}",
            name=f"{name}-{place + 1}",
            text=_lines(spec, said),
            left=place * step,
        )
        parts.append(part)
    return parts


def drawing_rows(
    spec: KnifeSpec, words: DrawingWords | None = None
) -> tuple[tuple[str, str], ...]:
    """Return what a drawing says, for whoever cannot see it.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    words : DrawingWords or None
        What it says; English without.

    Returns
    -------
    tuple of (label, value)
        One row a size, then the balance in words.
    """
    said = words or DrawingWords()
    knife, tang = weigh_knife(spec), spec_fittings(spec).tang
    single = spec_blade(spec).grind.single
    sizes = (
        (said.length, said.size(spec.length)),
        (said.height, said.size(spec.height)),
        (said.heel, said.thickness(spec.heel_thickness)),
        (said.middle, said.thickness(spec.middle_thickness)),
        (said.tip, said.thickness(spec.tip_thickness)),
        (said.behind_edge, said.fine(spec.behind_edge)),
        (said.neck, said.size(spec.neck_length)),
        (said.tang, said.size(tang.length)),
        (said.handle, said.size(spec.handle_length)),
        (said.overall, said.size(knife.overall_length)),
    )
    return (
        *((label, f"{size} {said.unit}") for label, size in sizes),
        angle_row(spec.edge_angle, said, single=single),
        (said.balance, balance_words(knife.balance, said)),
    )


def drawing_width(
    spec: KnifeSpec, *, scale: float = 1.0, steel_only: bool = False
) -> float:
    """Return the paper a drawing takes, to choose scale and sheet by.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    scale : float
        Size on paper over true size [1].
    steel_only : bool
        Whether the handle is left out.

    Returns
    -------
    float
        Width [mm].
    """
    return paper_width(drawn(spec, steel_only=steel_only), scale)


def _title(said: DrawingWords, scale: float, *, steel_only: bool) -> str:
    """Return what a drawing is called."""
    title = said.steel_title if steel_only else said.title
    return title.format(scale=scale_name(scale))


def _lines(spec: KnifeSpec, said: DrawingWords) -> list[str]:
    """Return the rows of a drawing as sentences."""
    return [f"{label}: {value}." for label, value in drawing_rows(spec, said)]


def _foot(sheet: Sheet, left: float, right: float, text: str) -> str:
    """Return the check bar at the foot of a sheet, between two sides."""
    place = (left + MARGIN, sheet.height - FOOT + 6.0)
    return check_bar(place, text, right - left - 2.0 * MARGIN)


def _tile_foot(sheet: Sheet, place: int, count: int, text: str) -> str:
    """Return the check bar of one sheet of several, clear of its marks."""
    left = place * (sheet.width - OVERLAP)
    first, last = place == 0, place == count - 1
    free = left if first else left + OVERLAP
    end = left + sheet.width
    return _foot(sheet, free, end if last else end - OVERLAP, text)


def _marks(place: float, height: float) -> str:
    """Return the two marks in which one sheet meets the next."""
    return registration_mark((place, 6.0)) + registration_mark((place, height - 6.0))
