"""Marks on a drawing: balance point, check bar, and where sheets meet."""

from __future__ import annotations

from billets.physics.drawing_parts import (
    LETTERS,
    THIN,
    Point,
    number,
    paragraph,
    stroke,
)

CHECK_BAR = 100.0
"""The bar that tells whether a sheet is printed at its size [mm]."""


def balance_mark(place: Point, radius: float = 1.8) -> str:
    """Return the quartered circle of a balance point.

    Parameters
    ----------
    place : (x, y)
        Its centre [mm].
    radius : float
        Its radius [mm].

    Returns
    -------
    str
        A circle and two filled quarters.
    """
    x, y = place
    r = number(radius)
    quarters = []
    for ahead, down in ((radius, -radius), (-radius, radius)):
        quarters.append(
            f"M {number(x)},{number(y)} L {number(x + ahead)},{number(y)} "
            f"A {r} {r} 0 0 0 {number(x)},{number(y + down)} Z"
        )
    return (
        f'<circle class="balance" cx="{number(x)}" cy="{number(y)}" r="{r}" '
        f'stroke-width="{THIN}"/>'
        f'<path d="{" ".join(quarters)}" fill="currentColor" stroke="none"/>'
    )


def check_bar(place: Point, text: str, width: float) -> str:
    """Return a bar of 100 mm on paper, whatever the scale.

    Parameters
    ----------
    place : (x, y)
        Its left end [mm].
    text : str
        What it must measure.
    width : float
        What a line of it may take [mm].

    Returns
    -------
    str
        The bar with a stroke each 10 mm, and the words under it.
    """
    x, y = place
    # square ends: round ones would make the bar longer than it says
    parts = ['<g stroke-linecap="butt">']
    parts.append(stroke([(x, y), (x + CHECK_BAR, y)], name="check-bar"))
    for step in range(11):
        long = 2.0 if step % 5 == 0 else 1.0
        at = x + CHECK_BAR * step / 10.0
        parts.append(stroke([(at, y - long), (at, y)], width=THIN))
    parts.append("</g>")
    parts.append(paragraph((x, y + LETTERS + 0.8), text, width)[0])
    return "".join(parts)


def registration_mark(place: Point) -> str:
    """Return a cross in a circle, to lay one sheet on the next.

    Parameters
    ----------
    place : (x, y)
        Its centre [mm].

    Returns
    -------
    str
        A circle and two lines.
    """
    x, y = place
    return (
        f'<circle class="registration" cx="{number(x)}" cy="{number(y)}" r="2" '
        f'stroke-width="{THIN}"/>'
        + stroke([(x - 4.0, y), (x + 4.0, y)], width=THIN)
        + stroke([(x, y - 4.0), (x, y + 4.0)], width=THIN)
    )
