"""A knife seen from the side and from the spine, to scale."""

from __future__ import annotations

import numpy as np

from billets.physics.blade import Blade, stations
from billets.physics.drawing_parts import (
    CHAIN,
    DASHES,
    OUTLINE,
    THIN,
    Frame,
    Point,
    number,
    stroke,
)
from billets.physics.drawing_shape import PANELS, Knife, edge_points
from billets.physics.handle import CORNER, PIN
from billets.physics.section import edge_bevel_height


def side_view(knife: Knife, frame: Frame) -> str:
    """Return the knife from the side.

    Parameters
    ----------
    knife : Knife
        What is drawn.
    frame : Frame
        Where on paper.

    Returns
    -------
    str
        SVG paths.
    """
    parts = [
        _blade_path(knife, frame),
        _bevel_line(knife.blade, frame),
        _neck_sides(knife, frame),
        _tang_side(knife, frame),
    ]
    if not knife.steel_only:
        parts.append(_handle_side(knife, frame))
    return "".join(parts)


def spine_view(knife: Knife, frame: Frame) -> str:
    """Return the knife from the spine; y = 0 is the middle of the tang.

    Parameters
    ----------
    knife : Knife
        What is drawn.
    frame : Frame
        Where on paper.

    Returns
    -------
    str
        SVG paths.
    """
    fittings = knife.fittings
    tang, neck, handle = fittings.tang, fittings.neck, fittings.handle
    start, heel = -neck.length, knife.heel_thickness
    back = max(heel, tang.thicknesses[0])
    parts = [
        _spine_path(knife, frame),
        _taper(frame, (0.0, start), (heel, back)),
        _taper(
            frame,
            (start, start - tang.length),
            tang.thicknesses,
            hidden=not knife.steel_only,
        ),
    ]
    if not knife.steel_only:
        ends = (start, start - handle.length)
        parts.append(_taper(frame, ends, (handle.front[0], handle.butt[0])))
        parts.append(_ferrule_line(knife, frame, 0.0, 0))
    return "".join(parts)


def _blade_path(knife: Knife, frame: Frame) -> str:
    """Return heel, edge and spine in one stroke, open where the neck begins."""
    x, edge = edge_points(knife)
    back, _weight = stations(knife.blade.length, PANELS)
    spine = knife.blade.spine(back)
    points = [frame.at(0.0, knife.height - knife.fittings.neck.front)]
    points += [frame.at(*place) for place in zip(x, edge, strict=True)]
    points += [frame.at(*place) for place in zip(back[::-1], spine[::-1], strict=True)]
    return stroke(points, name="blade")


def _bevel_line(blade: Blade, frame: Frame) -> str:
    """Return the line at the top of the main bevel, if it is not the spine."""
    if blade.grind.bevel >= 1.0:
        return ""
    x, _weight = stations(blade.length, 80)
    edge = blade.edge(x)
    up = blade.grind.bevel * (blade.spine(x) - edge)
    seen = up > edge_bevel_height(blade.grind)
    places = zip(x[seen], (edge + up)[seen], strict=True)
    return stroke(
        [frame.at(*place) for place in places], width=THIN, dashes=CHAIN, name="bevel"
    )


def _neck_sides(knife: Knife, frame: Frame) -> str:
    """Return top and bottom of the neck, down to the tang's shoulders."""
    neck, axis = knife.fittings.neck, knife.axis
    back, inner = neck.back / 2.0, knife.fittings.tang.heights[0] / 2.0
    top = [(0.0, knife.height), (-neck.length, axis + back)]
    low = [(0.0, knife.height - neck.front), (-neck.length, axis - back)]
    top.append((-neck.length, axis + inner))
    low.append((-neck.length, axis - inner))
    return "".join(stroke(frame.at(*place) for place in side) for side in (top, low))


def _tang_side(knife: Knife, frame: Frame) -> str:
    """Return the tang, dashed where the handle hides it."""
    tang = knife.fittings.tang
    start = -knife.fittings.neck.length
    hidden = not knife.steel_only
    ends = (start, start - tang.length)
    outline = _taper(
        frame, ends, tang.heights, middle=knife.axis, hidden=hidden, closed=False
    )
    if tang.kind == "hidden":
        return outline
    # between scales the tang shows along its whole edge, so nothing is dashed
    return _holes(knife, frame) + (outline if knife.steel_only else "")


def _handle_side(knife: Knife, frame: Frame) -> str:
    """Return the handle with its ferrule line and facets."""
    handle, axis = knife.fittings.handle, knife.axis
    start = -knife.fittings.neck.length
    ends = (start, start - handle.length)
    heights = (handle.front[1], handle.butt[1])
    outline = _taper(frame, ends, heights, middle=axis)
    return outline + _facets(knife, frame, ends) + _ferrule_line(knife, frame, axis, 1)


def _facets(knife: Knife, frame: Frame, ends: tuple[float, float]) -> str:
    """Return an octagon's edges or a D handle's ridge."""
    handle, axis = knife.fittings.handle, knife.axis
    if handle.kind == "d":
        return stroke([frame.at(end, axis) for end in ends], width=THIN)
    if handle.kind != "octagon":
        return ""
    inner = [height / 2.0 - CORNER for height in (handle.front[1], handle.butt[1])]
    lines = ""
    for side in (1.0, -1.0):
        places = zip(ends, inner, strict=True)
        lines += stroke(
            [frame.at(end, axis + side * half) for end, half in places], width=THIN
        )
    return lines


def _ferrule_line(knife: Knife, frame: Frame, middle: float, which: int) -> str:
    """Return the line where the ferrule ends; which is 0 for width, 1 for height."""
    handle = knife.fittings.handle
    if not handle.ferrule:
        return ""
    part = handle.ferrule / handle.length
    half = (handle.front[which] * (1.0 - part) + handle.butt[which] * part) / 2.0
    x = -knife.fittings.neck.length - handle.ferrule
    return stroke([frame.at(x, middle - half), frame.at(x, middle + half)])


def _holes(knife: Knife, frame: Frame) -> str:
    """Return the pins of a pair of scales, or their holes in the bare tang."""
    handle = knife.fittings.handle
    start = -knife.fittings.neck.length
    circles = ""
    for pin in range(handle.pins):
        x = start - handle.length * (pin + 0.5) / handle.pins
        cx, cy = frame.at(x, knife.axis)
        radius = number(1e3 * frame.scale * PIN / 2.0)
        circles += (
            f'<circle cx="{number(cx)}" cy="{number(cy)}" r="{radius}" '
            f'stroke-width="{THIN}"/>'
        )
    return circles


def _spine_path(knife: Knife, frame: Frame) -> str:
    """Return the blade from the spine; a single bevel's back is straight."""
    x, _weight = stations(knife.blade.length, 60)
    thickness = knife.blade.thickness(x)
    near, far = -thickness / 2.0, thickness / 2.0
    if knife.blade.grind.single:
        near = np.full_like(x, -knife.heel_thickness / 2.0)
        far = near + thickness
    points: list[Point] = [frame.at(*place) for place in zip(x, far, strict=True)]
    points += [frame.at(*p) for p in zip(x[::-1], near[::-1], strict=True)]
    return stroke(points, name="spine", closed=True)


def _taper(
    frame: Frame,
    ends: tuple[float, float],
    sizes: tuple[float, float],
    *,
    middle: float = 0.0,
    hidden: bool = False,
    closed: bool = True,
) -> str:
    """Return a trapezium about a level line, dashed and open if it is hidden."""
    (first, last), (start, end) = ends, sizes
    corners = [
        frame.at(first, middle + start / 2.0),
        frame.at(last, middle + end / 2.0),
        frame.at(last, middle - end / 2.0),
        frame.at(first, middle - start / 2.0),
    ]
    if hidden:
        return stroke(corners, width=THIN, dashes=DASHES, name="hidden")
    return stroke(corners, width=OUTLINE, closed=closed)
