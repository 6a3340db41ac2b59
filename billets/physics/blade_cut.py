"""A cut across a blade and the forged blank around it, in which its layers lie."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics.blank import ALLOWANCES, CROWN, Allowance, clean_allowance
from billets.physics.knife_spec import KnifeSpec, spec_blade
from billets.physics.outline import Along
from billets.physics.section import (
    Grind,
    edge_bevel_height,
    section_sides,
    section_width,
)

USUAL_ANGLE = np.radians(15.0)
"""Edge angle where none is known; common practice, no source [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BladeCut:
    """One cut across a blade, edge at height 0.

    Attributes
    ----------
    above : array (points,)
        Height above the edge, rising [m].
    left, right : array (points,)
        The finished sides [m].
    near, far : array (points,)
        The faces of the blank there, on or outside the sides [m].
    shoulder : float
        Height of the edge bevel, at which the edge counts as an edge [m].
    follows : bool
        Whether the bevels were forged, so that layers follow them.
    """

    above: Along
    left: Along
    right: Along
    near: Along
    far: Along
    shoulder: float
    follows: bool

    @property
    def height(self) -> float:
        """Of the cut [m]."""
        return float(self.above[-1])

    @property
    def spine(self) -> float:
        """Thickness at the top, finished [m]."""
        return float(self.right[-1] - self.left[-1])

    @property
    def blank(self) -> float:
        """Thickness at the top, forged [m]."""
        return float(self.far[-1] - self.near[-1])

    @property
    def area(self) -> float:
        """Of the finished cut [m^2]."""
        return float(np.trapezoid(self.right - self.left, self.above))


def knife_cut(spec: KnifeSpec, *, bar: float, clean: bool = False) -> BladeCut:
    """Return the cut at the heel of a knife.

    Parameters
    ----------
    spec : KnifeSpec
        The knife.
    bar : float
        Thickness of the bar the blank is forged from [m].
    clean : bool
        Whether that bar was ground clean, so that the blank needs less.

    Returns
    -------
    BladeCut
        The section and the blank around it.

    Notes
    -----
    The bar is forged to the blank's thickness and no thinner than it is. Ground bevels
    cut through layers that lie flat; forged ones carry the layers with them. Common
    practice, no source.
    """
    allowance = ALLOWANCES[spec.allowance]
    allowance = clean_allowance(allowance) if clean else allowance
    grind = spec_blade(spec).grind
    thick = spec.heel_thickness
    above, left, right = section_sides(spec.height, thick, grind)
    blank = _blank(thick, thick + 2.0 * allowance.side, bar)
    deep = np.full_like(above, blank)
    follows = spec.forging == "bevel"
    if follows:
        deep = _forged(above, spec, allowance, blank)
    near = -deep / 2.0
    if grind.single:  # the back stays flat, so all is taken off one side of it
        near = np.full_like(above, -(blank - thick) / 2.0)
    return BladeCut(
        above=above,
        left=left,
        right=right,
        near=np.minimum(near, left),
        far=np.maximum(near + deep, right),
        shoulder=edge_bevel_height(grind),
        follows=follows,
    )


def wedge_cut(
    height: float, spine: float, *, behind_edge: float, blank: float, bar: float
) -> BladeCut:
    """Return the cut of a blade of which only the sizes are known.

    Parameters
    ----------
    height, spine, behind_edge : float
        Of the finished blade, height and spine at the heel and thickness behind the
        edge [m].
    blank, bar : float
        Thickness of the blank and of the bar it is forged from [m].

    Returns
    -------
    BladeCut
        A flat wedge ground from a flat blank, its edge at the usual angle.
    """
    grind = Grind(behind_edge=behind_edge, edge_angle=float(USUAL_ANGLE))
    above, left, right = section_sides(height, spine, grind)
    half = np.full_like(above, _blank(spine, blank, bar) / 2.0)
    return BladeCut(
        above=above,
        left=left,
        right=right,
        near=-half,
        far=half,
        shoulder=edge_bevel_height(grind),
        follows=False,
    )


def bar_cut(width: float, thickness: float) -> BladeCut:
    """Return the cut across a bar that no knife is planned for.

    Parameters
    ----------
    width, thickness : float
        Of the bar [m].

    Returns
    -------
    BladeCut
        A rectangle, nothing ground off.
    """
    above = np.array([0.0, width])
    half = np.full_like(above, thickness / 2.0)
    return BladeCut(
        above=above,
        left=-half,
        right=half,
        near=-half,
        far=half,
        shoulder=0.0,
        follows=False,
    )


def _blank(spine: float, wanted: float, bar: float) -> float:
    """Return a blank's thickness: as wanted, but a thin bar cannot be forged thicker.

    A blade thicker than its bar is drawn as asked for; the plan says that it is short.
    """
    return max(spine, min(wanted, bar))


def _forged(above: Along, spec: KnifeSpec, allowance: Allowance, blank: float) -> Along:
    """Return the thickness of a blank whose bevels are forged, at each height."""
    grind = spec_blade(spec).grind
    edge = min(allowance.edge, blank)
    if grind.single:
        tall, thick = np.array(spec.height), np.array(spec.heel_thickness)
        width = section_width(above, tall, thick, grind)
        return np.maximum(width + (blank - spec.heel_thickness), edge)
    s = (above + allowance.profile) / (spec.height + 2.0 * allowance.profile)
    return np.asarray(edge + (blank - edge) * (s + 4.0 * CROWN * s * (1.0 - s)))
