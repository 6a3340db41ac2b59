"""Sizes and masses as the build sheet writes them."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from billets.messages import spoken
from billets.physics import Number
from billets.physics.uncertainty import Band
from billets.units import System, local_number, show


def band_text(band: Band, system: System) -> str:
    """Write the masses between which four billets in five end."""
    low = bare(mass_text(band.low, system))
    return _("{low} to {high}").format(low=low, high=mass_text(band.high, system))


def mass_text(mass: Number, system: System) -> str:
    """Write a mass of steel; no billet is weighed to a hundredth of an ounce."""
    places = {"inch": 1}.get(system)
    return show(float(mass), "mass", system, places, spoken())


def length_text(length: float, system: System) -> str:
    """Write a length with its unit."""
    return show(length, "length", system, language=spoken())


def thin_text(thickness: float, system: System) -> str:
    """Write a thickness with its unit."""
    return show(thickness, "thickness", system, language=spoken())


def size_text(sides: tuple[float, ...], system: System) -> str:
    """Write length × width × thickness with the unit once; the last side is thin."""
    *long, thin = sides
    shown = [length_text(side, system) for side in long] + [thin_text(thin, system)]
    return joined(shown, " × ")


def whole_text(count: int) -> str:
    """Write a count."""
    return local_number(Decimal(count), spoken())


def joined(texts: list[str], between: str) -> str:
    """Write quantities of one unit in a row, with the unit at the end."""
    return between.join([*(bare(text) for text in texts[:-1]), texts[-1]])


def bare(text: str) -> str:
    """Return a quantity as written without its unit."""
    return text.partition("\u00a0")[0]
