"""Hardening heat, soak and bath for steels in one blade, and what comes of them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from billets.physics.bar import Steel
from billets.physics.common_heat import known
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import Flag, _
from billets.physics.hardening_heat import hardening_window
from billets.physics.hardness import HardnessBand, as_quenched
from billets.physics.heating import ROOM
from billets.physics.martensite import martensite_start, retained_austenite
from billets.physics.together import Together
from billets.physics.transformation import dissolved_carbon

SOAK_LOW, SOAK_HIGH = 300.0, 600.0
"""Soak where no sheet gives one: plain steels by their data sheets [s]."""

OIL_LOW, OIL_HIGH = 40.0 + ZERO_CELSIUS, 65.0 + ZERO_CELSIUS
"""Oil to quench in, fast oils cooler as their makers say; a blade is taken out at the
second. Steel data sheets of O1 and L6 [K]."""

STEEL_HEAT, OIL_HEAT, WATER_HEAT = 711.0, 1883.0, 4184.0
"""Mean heat capacity of hot steel, of oil and of water, common practice, no source
[J/(kg K)]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bath:
    """What a blade is quenched in.

    Attributes
    ----------
    severity : float or None
        How fast it takes heat over how fast steel brings it; None if not known [1/m].
    mass : float or None
        Of the oil or water in it; None if not known [kg].
    name : str
        What the shop calls it.
    """

    severity: float | None = None
    mass: float | None = None
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HardeningHeat:
    """The heat a blade is quenched from.

    Attributes
    ----------
    low, high : float
        Between which all steels harden; the first above the second where their windows
        lie apart [K].
    chosen : float
        What to set the oven to [K].
    soak_low, soak_high : float
        Time at that heat [s].
    source, soak_source : str
        "sheet", "formula" or "practice".
    """

    low: float
    high: float
    chosen: float
    soak_low: float
    soak_high: float
    source: str
    soak_source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerQuenched:
    """What a steel's layers come to in the quench.

    Attributes
    ----------
    steel : Steel
        Which.
    dissolved : float
        Carbon in solution at the hardening heat [%].
    martensite_start : float
        Where it begins to turn hard [K].
    austenite : float
        Share that stays soft at room temperature [1].
    hardness : HardnessBand
        As quenched [HRC].
    """

    steel: Steel
    dissolved: float
    martensite_start: float
    austenite: float
    hardness: HardnessBand


# --- the heat ------------------------------------------------------------------------


def hardening_heat(at: Together) -> HardeningHeat | None:
    """Return what to harden from and how long to soak, sheets before formulas.

    Parameters
    ----------
    at : Together
        Steels of the billet.

    Returns
    -------
    HardeningHeat or None
        None where no steel hardens.
    """
    found = [
        hardening_window(one.grade, sum(at.carbon(one)) / 2.0)
        for one in at.hardening
        if one.grade
    ]
    if not found:
        return None
    low = max(float(one.low) for one in found)
    high = min(float(one.high) for one in found)
    by_formula = any(one.source == "formula" for one in found)
    soak_low, soak_high, soak_source = _soak(at)
    return HardeningHeat(
        low=low,
        high=high,
        chosen=(low + high) / 2.0,
        source="formula" if by_formula else "sheet",
        soak_low=soak_low,
        soak_high=soak_high,
        soak_source=soak_source,
    )


def _soak(at: Together) -> tuple[float, float, str]:
    """Return the soak the slowest steel asks for and the others bear."""
    grades = [one.grade for one in at.hardening if one.grade]
    lows = [one.soak_low for one in grades if one.soak_low is not None]
    highs = [one.soak_high for one in grades if one.soak_high is not None]
    low, high = max(lows, default=SOAK_LOW), min(highs, default=SOAK_HIGH)
    return low, max(low, high), "sheet" if lows or highs else "practice"


# --- the bath ------------------------------------------------------------------------


def bath_rise(
    blade: float, from_temperature: float, bath: float, quench: str = "oil"
) -> float:
    """Return by how much a bath warms up in one quench.

    Parameters
    ----------
    blade, bath : float
        Mass of the blade and of what is in the bath [kg].
    from_temperature : float
        The blade goes in at [K]; what it still holds at the end counts for nothing.
    quench : str
        "water", or any oil.

    Returns
    -------
    float
        Rise [K].

    References
    ----------
    A balance of heat with mean heat capacities, common practice, no source; the rule of
    the trade is 8 kg of oil for a kilogram of steel.
    """
    held = WATER_HEAT if quench == "water" else OIL_HEAT
    return blade * STEEL_HEAT * (from_temperature - ROOM) / (bath * held)


def bath_flags(rise: float | None, quench: str) -> tuple[Flag, ...]:
    """Return what to say about a bath that warms up by a rise [K]; None: not known."""
    if rise is None or quench not in ("oil", "fast_oil"):
        return ()
    if rise <= OIL_HIGH - OIL_LOW:
        return ()
    message = _(
        "One blade warms this bath by {rise_difference}; from {from_temperature} it "
        "would pass {to_temperature}. Take more oil, or let it cool between blades."
    )
    values = {
        "rise_difference": rise,
        "from_temperature": OIL_LOW,
        "to_temperature": OIL_HIGH,
    }
    return (Flag(message=message, field="bath", values=values),)


# --- what comes out ------------------------------------------------------------------


def layers_quenched(at: Together, temperature: float) -> tuple[LayerQuenched, ...]:
    """Return what each steel that turns hard comes to.

    Parameters
    ----------
    at : Together
        Steels of the billet.
    temperature : float
        Quenched from [K].

    Returns
    -------
    tuple of LayerQuenched
        With the most carbon a steel's layers hold, which leaves the most austenite.
    """
    return tuple(_quenched(at, one, temperature) for one in at.turning)


def _quenched(at: Together, steel: Steel, temperature: float) -> LayerQuenched:
    grade = known(steel)
    dissolved = float(dissolved_carbon(at.carbon(steel)[1], temperature, grade))
    start = float(martensite_start(grade, dissolved).value)
    return LayerQuenched(
        steel=steel,
        dissolved=dissolved,
        martensite_start=start,
        austenite=float(retained_austenite(start, ROOM).value),
        hardness=as_quenched(dissolved),
    )


def austenite_flags(layers: tuple[LayerQuenched, ...]) -> tuple[Flag, ...]:
    """Return what to say about the layer that keeps the most austenite."""
    if not layers:
        return ()
    worst = max(layers, key=lambda one: one.austenite)
    flags = retained_austenite(worst.martensite_start, ROOM).flags
    return tuple(
        replace(flag, values={**flag.values, "steel": worst.steel.name})
        for flag in flags
    )
