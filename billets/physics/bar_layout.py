"""Where along the finished bar each knife is cut out, and what is left over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from billets.physics.blank import ALLOWANCES, clean_allowance
from billets.physics.errors import PlanError, _
from billets.physics.knife_spec import KnifeSpec, spec_fittings
from billets.physics.tang import neck_bar, tang_bar
from billets.physics.verdict import Target

CLOSE = 1e-9
"""Two lengths closer than this are one: rounding [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """The bar that blanks are cut from.

    Attributes
    ----------
    length : float
        Its length [m].
    mass : float
        Its mass [kg].
    kerf : float
        Width of a saw cut [m].
    clean : bool
        Whether it is ground clean, so that a blank needs less.
    """

    length: float
    mass: float
    kerf: float
    clean: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of bar for one knife.

    Attributes
    ----------
    label : str
        Which knife.
    target : int
        Its place among the knives asked for, from 0 [1].
    start, end : float
        From the bar's end [m].
    flat : bool
        Whether the outline is cut from the bar as it is; else the piece is forged
        longer.
    turned : bool
        Whether the tip lies toward the bar's start.
    stub, tang : float
        Of its length, what is cropped off at the tang's end, and what becomes tang and
        neck; 0 where the knife is not known [m].
    """

    label: str
    target: int
    start: float
    end: float
    flat: bool
    turned: bool
    stub: float
    tang: float

    @property
    def length(self) -> float:
        """Of the piece [m]."""
        return self.end - self.start

    @property
    def tang_end(self) -> float:
        """Where the tang ends, from the bar's start [m]."""
        return self.end if self.turned else self.start

    @property
    def tip(self) -> float:
        """Where the tip ends, from the bar's start [m]."""
        return self.start if self.turned else self.end

    @property
    def heel(self) -> float | None:
        """Where tang and neck meet the blade, from the bar's start [m]."""
        if not self.tang:
            return None
        behind = self.stub + self.tang
        return self.end - behind if self.turned else self.start + behind


@dataclass(frozen=True, slots=True, kw_only=True)
class BarLayout:
    """Pieces along a bar.

    Attributes
    ----------
    length, kerf : float
        Of the bar, and of a saw cut [m].
    pieces : tuple of Piece
        From the bar's start.
    cuts : tuple of float
        Where each saw cut begins [m].
    left : float
        What is left over behind the last cut [m].
    missing : tuple of (str, float)
        Knives that do not fit, and how much bar each lacks [m].
    alone : tuple of (str, int)
        How many blanks of each knife the bar would give by itself [1].
    """

    length: float
    kerf: float
    pieces: tuple[Piece, ...]
    cuts: tuple[float, ...]
    left: float
    missing: tuple[tuple[str, float], ...]
    alone: tuple[tuple[str, int], ...]


def bar_layout(bar: Bar, targets: Sequence[Target]) -> BarLayout:
    """Return where each knife is cut out of a bar.

    Parameters
    ----------
    bar : Bar
        The finished bar.
    targets : sequence of Target
        The knives, in the order in which they are cut.

    Returns
    -------
    BarLayout
        One piece for each knife that fits.

    Notes
    -----
    A piece is as long as its mass, or as the outline where that is cut from the flat
    bar, whichever is more; outlines lie head to tail. Kerfs lie between pieces, and
    before what is left over. Common practice, no source.
    """
    if bar.length <= 0.0 or bar.mass <= 0.0:
        raise PlanError(
            _("A bar without steel in it gives no blank; plan a bigger stack."),
            field="length",
        )
    pieces: list[Piece] = []
    missing: list[tuple[str, float]] = []
    for place, target in enumerate(targets):
        piece = replace(_piece(bar, target, pieces), target=place)
        if piece.end <= bar.length + CLOSE:
            pieces.append(piece)
        else:
            missing.append((target.label, piece.end - bar.length))
    cuts = [piece.end for piece in pieces[:-1]]
    end = pieces[-1].end if pieces else 0.0
    left = bar.length if not pieces else max(0.0, bar.length - end - bar.kerf)
    if pieces and bar.length - end > CLOSE:
        cuts.append(end)
    return BarLayout(
        length=bar.length,
        kerf=bar.kerf,
        pieces=tuple(pieces),
        cuts=tuple(cuts),
        left=left,
        missing=tuple(missing),
        alone=tuple((one.label, _alone(bar, one)) for one in targets),
    )


def piece_length(bar: Bar, target: Target) -> float:
    """Return how much of a bar a knife takes.

    Parameters
    ----------
    bar : Bar
        The finished bar.
    target : Target
        The knife.

    Returns
    -------
    float
        Length without saw cuts [m].
    """
    return max(target.length, bar.length * target.needed / bar.mass)


def _alone(bar: Bar, target: Target) -> int:
    length = piece_length(bar, target)
    return math.floor((bar.length + bar.kerf) / (length + bar.kerf) + CLOSE)


def _piece(bar: Bar, target: Target, before: Sequence[Piece]) -> Piece:
    """Return the next piece, wherever it ends."""
    start = before[-1].end + bar.kerf if before else 0.0
    length = piece_length(bar, target)
    flat = target.length > 0.0
    stub, tang = _parts(bar, target, length)
    return Piece(
        label=target.label,
        target=0,
        start=start,
        end=start + length,
        flat=flat,
        turned=flat and len(before) % 2 == 1,
        stub=stub,
        tang=tang,
    )


def _parts(bar: Bar, target: Target, length: float) -> tuple[float, float]:
    """Return stub and tang of a piece; nothing of a knife that is not known."""
    spec = target.knife
    if spec is None:
        return 0.0, 0.0
    allowance = ALLOWANCES[spec.allowance]
    if target.length > 0.0:  # the outline lies in the piece at its true size
        behind = spec.neck_length + spec_fittings(spec).tang.length
        return length - target.length, behind + allowance.profile
    allowance = clean_allowance(allowance) if bar.clean else allowance
    stub = allowance.crop / target.needed
    tang = _tang_mass(spec, allowance.tang) / (1.0 - allowance.scale) / target.needed
    return stub * length, tang * length


def _tang_mass(spec: KnifeSpec, factor: float) -> float:
    """Return the mass of neck and tang as forged."""
    fittings = spec_fittings(spec)
    neck = neck_bar(fittings.neck, spec.heel_thickness, fittings.tang)[0]
    return spec.steel_density * factor * (neck + tang_bar(fittings.tang)[0])
