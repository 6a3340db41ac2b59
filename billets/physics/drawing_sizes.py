"""Dimension lines of a drawing."""

from __future__ import annotations

from billets.physics.drawing_parts import (
    LETTERS,
    OUTLINE,
    THIN,
    Point,
    stroke,
    words_width,
    written,
)


def tick(place: Point) -> str:
    """Return the slanting stroke that ends a dimension line.

    Parameters
    ----------
    place : (x, y)
        Its middle [mm].

    Returns
    -------
    str
        One SVG path.
    """
    x, y = place
    return stroke([(x - 1.0, y + 1.0), (x + 1.0, y - 1.0)], width=OUTLINE)


def level_dimension(
    ends: tuple[float, float], level: float, text: str, starts: tuple[float, float]
) -> str:
    """Return a level dimension with its extension lines.

    Parameters
    ----------
    ends : tuple of float
        From where to where [mm].
    level : float
        Height of the dimension line on paper [mm].
    text : str
        The size.
    starts : tuple of float
        Where the extension line of each end begins [mm].

    Returns
    -------
    str
        SVG paths and a text.
    """
    first, last = ends
    # between close lines the size stands under them, where nothing crosses it
    close = words_width(text) > last - first - 2.0
    line = level + LETTERS + 0.4 if close else level - 1.0
    parts = [stroke([(first, level), (last, level)], width=THIN)]
    for x, start in zip(ends, starts, strict=True):
        parts += [
            stroke([(x, start + 1.0), (x, level + 1.5)], width=THIN),
            tick((x, level)),
        ]
    parts.append(written(((first + last) / 2.0, line), text, anchor="middle"))
    return "".join(parts)


def upright_dimension(
    place: float, ends: tuple[float, float], text: str, *, part: float = 0.4
) -> str:
    """Return an upright dimension between two outlines.

    Parameters
    ----------
    place : float
        x of the dimension line [mm].
    ends : tuple of float
        Lower and upper end [mm].
    text : str
        The size.
    part : float
        Where the text stands between lower and upper end [1].

    Returns
    -------
    str
        SVG paths and a text.
    """
    low, high = ends
    middle = (place + LETTERS + 0.5, low + part * (high - low))
    return (
        stroke([(place, low), (place, high)], width=THIN)
        + tick((place, low))
        + tick((place, high))
        + written(middle, text, anchor="middle", turned=True)
    )
