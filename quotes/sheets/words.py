"""Masses and rows of sizes as the build sheet writes them."""

from __future__ import annotations

from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.physics import Number
from billets.physics.uncertainty import Band
from billets.units import System, show
from billets.wording import bare


def mass_text(mass: Number, system: System) -> str:
    """Write a mass of steel; no billet is weighed to a hundredth of an ounce."""
    places = {"inch": 1}.get(system)
    return show(float(mass), "mass", system, places, spoken())


def band_text(band: Band, system: System) -> str:
    """Write the masses between which four billets in five end."""
    low = bare(mass_text(band.low, system))
    return _("{low} to {high}").format(low=low, high=mass_text(band.high, system))


def joined(texts: list[str], between: str) -> str:
    """Write quantities of one unit in a row, with the unit at the end."""
    return between.join([*map(bare, texts[:-1]), texts[-1]])
