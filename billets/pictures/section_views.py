"""The views of a section: what of it is drawn, how large, and where on paper."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from billets.physics.drawing_parts import LINE, Frame, Point, words_width
from billets.physics.drawing_words import scale_name
from billets.physics.etched import WHOLE, Etched, Window, coarser, etched, focused
from billets.physics.layers import Sequence
from billets.pictures.section_words import Seen, core_seen

BAND = 0.5
"""The thinnest band drawn: two widths of a thin pen [mm]."""

LENS_BAND = 1.0
"""How thick a layer is drawn where it is looked at closely [mm]."""

ROOM, LOW, LENS_LOW = 72.0, 24.0, 12.0
"""Paper of a detail, across and up, and of the closest look [mm]."""

TALL = 110.0
"""Paper of the whole section [mm]."""

WHOLE_SCALES = (2.0, 1.0, 0.5)
DETAIL_SCALES = (50.0, 20.0, 10.0, 5.0, 2.0, 1.0)
LENS_SCALES = (50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)
"""After ISO 5455, quoted from memory, and its powers of ten [1]."""

MARGIN, GAP = 2.0, 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One view of a cut, ready to be drawn.

    Attributes
    ----------
    words : str
        What stands above it.
    laid : Etched
        Its layers.
    frame : Frame
        Where it lies on paper.
    place : (x, y)
        Upper left corner of its paper [mm].
    size : (width, height)
        Paper it takes, without its words and its bar of scale [mm].
    held : int
        Layers of one steel in one drawn band; 1 where every layer is drawn.
    """

    words: str
    laid: Etched
    frame: Frame
    place: Point
    size: Point
    held: int


def views_of(seen: Seen) -> list[View]:
    """Return whole, spine, edge, and the closest look where layers are too fine."""
    cut, sequence = seen.cut, seen.sequence
    whole = _scale_for(cut.height, TALL, WHOLE_SCALES)
    detail = _scale_for(cut.spine, ROOM, DETAIL_SCALES)
    left = MARGIN + max(1e3 * whole * cut.spine, words_width("2:1")) + GAP
    left += GAP if core_seen(seen) else 0.0
    top = MARGIN + LINE
    views = [_whole(seen, whole, (MARGIN, top))]
    part = LOW / (1e3 * detail)
    windows = [
        (_("At the spine, {scale}"), Window(low=cut.height - part)),
        (_("At the edge, {scale}"), Window(high=part)),
    ]
    if not seen.blade:
        del windows[1]
    for words, window in windows:
        coarse, held = coarser(sequence, cut.blank, BAND / (1e3 * detail))
        laid = etched(coarse, cut, window)
        words = words.format(scale=scale_name(detail))
        views.append(
            _view(
                words,
                laid,
                detail,
                (left, top),
                held=held,
                room=1e3 * detail * cut.spine,
            )
        )
        top += views[-1].size[1] + 2.0 * GAP + LINE
    if views[1].held > 1:
        views.append(_lens(seen, (left, top)))
    return views


def _scale_for(size: float, room: float, scales: tuple[float, ...]) -> float:
    fits = (scale for scale in scales if 1e3 * scale * size <= room)
    return next(fits, scales[-1])


def _whole(seen: Seen, scale: float, place: Point) -> View:
    cut = seen.cut
    coarse, held = coarser(seen.sequence, cut.blank, BAND / (1e3 * scale))
    laid = etched(coarse, cut, WHOLE)
    return _view(scale_name(scale), laid, scale, place, held=held)


def _lens(seen: Seen, place: Point) -> View:
    """Return the middle of the spine, so large that every layer can be drawn."""
    cut = seen.cut
    thin = cut.blank / len(seen.sequence)
    wanted = (one for one in LENS_SCALES if 1e3 * one * thin >= LENS_BAND)
    scale = next(wanted, LENS_SCALES[-1])
    half = ROOM / (2e3 * scale)
    middle = float(cut.left[-1] + cut.right[-1]) / 2.0
    half = min(half, cut.spine / 2.0)
    window = Window(
        low=cut.height - LENS_LOW / (1e3 * scale),
        near=middle - half, far=middle + half,
    )  # fmt: skip
    start = float(cut.near[-1])
    ends = ((at - start) / cut.blank for at in (middle - half, middle + half))
    sequence: Sequence = focused(seen.sequence, *ends)
    laid = etched(sequence, cut, window)
    words = _("Middle of the spine, {scale}").format(scale=scale_name(scale))
    return _view(words, laid, scale, place)


def _view(
    words: str, laid: Etched, scale: float, place: Point, *,
    held: int = 1, room: float = 0.0,
) -> View:  # fmt: skip
    """Return a view whose upper left corner lies at a place on paper.

    A view narrower than its room, such as an edge, stands in the middle of it.
    """
    paper = 1e3 * scale
    near, far = float(laid.bounds.min()), float(laid.bounds.max())
    low, high = float(laid.above[0]), float(laid.above[-1])
    wide = paper * (far - near)
    left = place[0] + max(room - wide, 0.0) / 2.0 - paper * near
    return View(
        words=words, laid=laid, held=held, place=place,
        frame=Frame(left, place[1] + paper * high, scale),
        size=(max(wide, room), paper * (high - low)),
    )  # fmt: skip
