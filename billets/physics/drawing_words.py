"""The words and numbers on a drawing; a page hands in its own language and units."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from billets.physics.errors import _


def whole_millimetres(size: float) -> str:
    """Return a size in whole millimetres.

    Parameters
    ----------
    size : float
        The size [m].

    Returns
    -------
    str
        Without its unit, as drawings show it.

    Examples
    --------
    >>> whole_millimetres(0.2104)
    '210'
    """
    return f"{size * 1e3:.0f}"


def tenths(size: float) -> str:
    """Return a thickness in tenths of a millimetre.

    Parameters
    ----------
    size : float
        The thickness [m].

    Returns
    -------
    str
        Without its unit, as drawings show it.

    Examples
    --------
    >>> tenths(0.00304)
    '3.0'
    """
    return f"{size * 1e3:.1f}"


def hundredths(size: float) -> str:
    """Return a thin edge in hundredths of a millimetre.

    Parameters
    ----------
    size : float
        The thickness [m].

    Returns
    -------
    str
        Without its unit, as drawings show it.
    """
    return f"{size * 1e3:.2f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingWords:
    """What a drawing says, in English unless told otherwise.

    Attributes
    ----------
    size, thickness, fine : callable
        Show a size, a thickness, and a thin edge, each from metres.
    unit : str
        Their unit.

    All others are sentences and words; {scale}, {unit}, {place}, {number} and
    {count} are filled in here.
    """

    size: Callable[[float], str] = whole_millimetres
    thickness: Callable[[float], str] = tenths
    fine: Callable[[float], str] = hundredths
    unit: str = "mm"
    title: str = _("Knife from the side and from the spine, scale {scale}")
    steel_title: str = _("Blade and tang from the side and the spine, scale {scale}")
    section_title: str = _("Section at the heel, scale {scale}")
    units: str = _("Sizes in {unit}, cold and finished. Scale {scale}.")
    in_front: str = _("balances {place} in front of the heel")
    behind: str = _("balances {place} behind the heel")
    heel_mark: str = _("heel")
    stations: str = _("Spine above the heel, at the middle, 10 mm before the tip.")
    check: str = _("must measure 100 mm; print at 100 %")
    sheet: str = _("Sheet {number} of {count}. Lay mark on mark.")
    length: str = _("Blade, heel to tip")
    height: str = _("Height at the heel")
    heel: str = _("Spine above the heel")
    middle: str = _("Spine at the middle")
    tip: str = _("Spine 10 mm before the tip")
    behind_edge: str = _("Thickness behind the edge")
    edge_angle: str = _("Edge angle, per side")
    edge_angle_single: str = _("Edge angle, one side")
    neck: str = _("Neck")
    tang: str = _("Tang")
    handle: str = _("Handle")
    overall: str = _("Whole length")
    balance: str = _("Balance")


def angle_row(angle: float, words: DrawingWords, *, single: bool) -> tuple[str, str]:
    """Return label and value of the edge angle.

    Parameters
    ----------
    angle : float
        Edge bevel per side [rad].
    words : DrawingWords
        The language.
    single : bool
        Whether only one side is bevelled.

    Returns
    -------
    label, value : str
        In whole degrees.
    """
    label = words.edge_angle_single if single else words.edge_angle
    return label, f"{math.degrees(angle):.0f}°"


def balance_words(place: float, words: DrawingWords) -> str:
    """Return in words where a knife balances.

    Parameters
    ----------
    place : float
        In front of the heel; negative behind it [m].
    words : DrawingWords
        The language.

    Returns
    -------
    str
        A part of a sentence.
    """
    pattern = words.in_front if place >= 0.0 else words.behind
    return pattern.format(place=f"{words.size(abs(place))} {words.unit}")


def scale_name(scale: float) -> str:
    """Return how a drawing names its scale.

    Parameters
    ----------
    scale : float
        Size on paper over true size [1].

    Returns
    -------
    str
        As ISO 5455 writes it; quoted from memory, verify.

    Examples
    --------
    >>> scale_name(1.0), scale_name(0.5), scale_name(5.0)
    ('1:1', '1:2', '5:1')
    """
    if scale >= 1.0:
        return f"{scale:g}:1"
    return f"1:{1.0 / scale:g}"
