"""The blank of a knife, and the bar it is forged from."""

from __future__ import annotations

from dataclasses import dataclass

from billets.physics.blade import Blade
from billets.physics.blank import (
    ALLOWANCES,
    Allowance,
    blank_volume,
    clean_allowance,
    following_volume,
    needed_mass,
)
from billets.physics.knife_spec import KnifeSpec
from billets.physics.tang import Neck, Tang, neck_bar, tang_bar

BAR_WIDTHS = (0.55, 1.0)
"""Bar width over the blank's height; forging the bevel widens it; practice [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """The forged blank, and what the bar must offer.

    Attributes
    ----------
    mass, clean_mass : float
        With its tang, from a bar as forged and from one ground clean [kg].
    needed, clean_needed : float
        What the bar must hold, as forged, and ground clean [kg].
    ground_off : float
        Blank less finished steel [kg].
    length, height : float
        Of its blade, tip to heel with the allowance, and at the heel [m].
    thicknesses : tuple of float
        Its spine at heel, middle and tip [m].
    edge : float
        Thickness of its edge [m].
    bar_thickness, bar_width_low, bar_width_high : float
        Least thickness of the bar, and the widths that suit [m].
    """

    mass: float
    clean_mass: float
    needed: float
    clean_needed: float
    ground_off: float
    length: float
    height: float
    thicknesses: tuple[float, float, float]
    edge: float
    bar_thickness: float
    bar_width_low: float
    bar_width_high: float


def forged_blank(
    spec: KnifeSpec, blade: Blade, neck: Neck, tang: Tang, steel: float
) -> Blank:
    """Return the blank of a knife.

    Parameters
    ----------
    spec : KnifeSpec
        The knife, its forging and its allowance.
    blade : Blade
        The finished blade.
    neck, tang : Neck, Tang
        The steel behind the heel.
    steel : float
        Finished steel: blade, neck and tang [kg].

    Returns
    -------
    Blank
        The blank and the bar.
    """
    allowance = ALLOWANCES[spec.allowance]
    clean = clean_allowance(allowance)
    behind = neck_bar(neck, spec.heel_thickness, tang)[0] + tang_bar(tang)[0]
    mass, clean_mass = (
        spec.steel_density * (_blade_volume(spec, blade, a) + a.tang * behind)
        for a in (allowance, clean)
    )
    thicknesses = _spine(spec, allowance)
    height = spec.height + 2.0 * allowance.profile
    return Blank(
        mass=mass,
        clean_mass=clean_mass,
        needed=float(needed_mass(mass, allowance)),
        clean_needed=float(needed_mass(clean_mass, clean)),
        ground_off=mass - steel,
        length=spec.length + 2.0 * allowance.profile,
        height=height,
        thicknesses=thicknesses,
        edge=allowance.edge if spec.forging == "bevel" else thicknesses[0],
        bar_thickness=thicknesses[0],
        bar_width_low=BAR_WIDTHS[0] * height,
        bar_width_high=BAR_WIDTHS[1] * height,
    )


def _spine(spec: KnifeSpec, allowance: Allowance) -> tuple[float, float, float]:
    """Return the blank's spine, which a bar keeps as thick as at the heel."""
    more = 2.0 * allowance.side
    heel = spec.heel_thickness + more
    if spec.forging == "bar":
        return heel, heel, heel
    return heel, spec.middle_thickness + more, spec.tip_thickness + more


def _blade_volume(spec: KnifeSpec, blade: Blade, allowance: Allowance) -> float:
    """Return the blank without tang; forged single bevels follow their section."""
    if blade.grind.single and spec.forging == "bevel":
        return following_volume(blade, allowance)
    return blank_volume(blade, spec.forging, allowance)
