"""The strokes of a drawing: lines, words and marks, in millimetres on paper.

Everything is said with presentation attributes, none with style, so that a page may
forbid inline styles.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

OUTLINE = 0.5
THIN = 0.25
"""Line widths; ISO 128, quoted from memory, verify [mm]."""

CHAIN = "6 1.5 0.6 1.5"
DASHES = "2 1"
"""Long-dash-dot and dashed lines [mm]."""

LETTERS = 3.5
"""Font size whose capitals are 2.5 mm high [mm]."""

LINE = 5.0
"""From one line of words to the next [mm]."""

_LETTER_WIDTH = 0.62
"""Mean width of a letter over the font size, on the wide side [1]."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the heel corner lies on paper, and how large the knife is drawn.

    Attributes
    ----------
    left, base : float
        Paper place of x = 0 and y = 0 [mm].
    scale : float
        Size on paper over true size [1].
    """

    left: float
    base: float
    scale: float

    def at(self, x: float, y: float) -> Point:
        """Return the paper place of a point of the knife, given in metres [mm]."""
        return self.left + 1e3 * self.scale * x, self.base - 1e3 * self.scale * y


def number(value: float) -> str:
    """Return a coordinate, to the micrometre on paper.

    Parameters
    ----------
    value : float
        The coordinate [mm].

    Returns
    -------
    str
        Without trailing zeros.

    Examples
    --------
    >>> number(2.5), number(-0.0001)
    ('2.5', '0')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def stroke(
    points: Iterable[Point],
    *,
    width: float = OUTLINE,
    dashes: str = "",
    name: str = "",
    closed: bool = False,
) -> str:
    """Return a path through points.

    Parameters
    ----------
    points : iterable of (x, y)
        Corners on paper [mm].
    width : float
        Line width [mm].
    dashes : str
        Dash pattern; empty for a full line [mm].
    name : str
        Class of the path; empty for none.
    closed : bool
        Whether the end joins the start.

    Returns
    -------
    str
        One SVG path.
    """
    way = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    said = f' class="{name}"' if name else ""
    said += f' stroke-dasharray="{dashes}"' if dashes else ""
    end = " Z" if closed else ""
    return f'<path{said} d="M {way}{end}" stroke-width="{number(width)}"/>'


def written(
    place: Point, text: str, *, anchor: str = "start", turned: bool = False
) -> str:
    """Return a line of text.

    Parameters
    ----------
    place : (x, y)
        Start, middle or end of its base line [mm].
    text : str
        The words; escaped here.
    anchor : str
        "start", "middle" or "end".
    turned : bool
        Whether it reads upward.

    Returns
    -------
    str
        One SVG text.
    """
    x, y = (number(value) for value in place)
    turn = f' transform="rotate(-90 {x} {y})"' if turned else ""
    return (
        f'<text x="{x}" y="{y}" text-anchor="{anchor}"{turn} fill="currentColor" '
        f'stroke="none" font-size="{LETTERS}">{escape(text)}</text>'
    )


def words_width(text: str) -> float:
    """Return about how wide a line of text is, rather too wide [mm].

    Parameters
    ----------
    text : str
        The words.

    Returns
    -------
    float
        Width on paper [mm].
    """
    return _LETTER_WIDTH * LETTERS * len(text)


def paragraph(place: Point, text: str, width: float) -> tuple[str, float]:
    """Return words set in as many lines as a width needs.

    Parameters
    ----------
    place : (x, y)
        Start of the first base line [mm].
    text : str
        The words.
    width : float
        What a line may take [mm].

    Returns
    -------
    str, float
        SVG texts, and the last base line [mm].
    """
    x, y = place
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and words_width(longer) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    places = [y + LINE * count for count in range(len(lines))]
    set_lines = zip(places, lines, strict=True)
    return "".join(written((x, at), line) for at, line in set_lines), places[-1]


def document(
    body: str,
    size: Point,
    title: str,
    *,
    name: str,
    text: Sequence[str],
    left: float = 0.0,
) -> str:
    """Return a drawing whose user unit is one millimetre on paper.

    Parameters
    ----------
    body : str
        What is drawn.
    size : (width, height)
        The sheet [mm].
    title : str
        What it shows, read out to whoever cannot see it.
    name : str
        Start of the ids in it; different for each drawing on a page.
    text : sequence of str
        The numbers it stands for, as lines.
    left : float
        Where the sheet begins in the drawing [mm].

    Returns
    -------
    str
        One SVG element.
    """
    wide, high = (number(math.ceil(value * 10.0) / 10.0) for value in size)
    start, key = number(left), escape(name, quote=True)
    box = f'x="{start}" y="0" width="{wide}" height="{high}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" width="{wide}mm" '
        f'height="{high}mm" viewBox="{start} 0 {wide} {high}" role="img" '
        f'aria-labelledby="{key}-title {key}-text" fill="none" stroke="currentColor" '
        f'stroke-linecap="round" stroke-linejoin="round" '
        f'font-family="DejaVu Sans, sans-serif">'
        f'<title id="{key}-title">{escape(title)}</title>'
        f'<desc id="{key}-text">{escape(" ".join(text))}</desc>'
        f'<defs><clipPath id="{key}-sheet"><rect {box}/></clipPath></defs>'
        f'<g clip-path="url(#{key}-sheet)">{body}</g></svg>'
    )
