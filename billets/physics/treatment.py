"""The heat treatment of a blade: from the forge to the temper that gives its hardness.

What the shop's own sheets say wins over printed tables, those over formulas, and every
figure says which of them it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from billets.physics.before_hardening import (
    BLACK,
    RELIEVE_HIGH,
    RELIEVE_LOW,
    RELIEVE_SECONDS,
    Normalising,
    Softening,
    air_flags,
    normalising,
    softening,
)
from billets.physics.checks_quench import hardened
from billets.physics.errors import Flag, _
from billets.physics.hardenability import THROUGH, Hardening
from billets.physics.heating import ROOM
from billets.physics.quenching import (
    OIL_HIGH,
    OIL_LOW,
    Bath,
    HardeningHeat,
    LayerQuenched,
    austenite_flags,
    bath_flags,
    bath_rise,
    hardening_heat,
    layers_quenched,
)
from billets.physics.temper_choice import Tempering, tempering
from billets.physics.together import Together

__all__ = ["Bath", "HeatSegment", "HeatTreatment", "LayerDepth", "heat_treatment"]

WELD_SOAK = (60.0 / 0.003, 60.0 / 0.002)
"""Soak of a stack before it is welded: a minute for every 2 to 3 mm of its height;
common practice, no source [s/m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatSegment:
    """A straight piece of the temperature-time line.

    Attributes
    ----------
    kind : str
        "normalise", "soften", "relieve", "preheat", "harden", "quench" or "temper":
        the part of the treatment it belongs to.
    start, end : float
        Temperature of the steel as it begins and ends; alike in a soak [K].
    seconds : float
        How long it takes [s].
    known : bool
        Whether that time is asked for; else it takes as long as furnace, air or oil
        need, and the length of the picture means nothing.
    """

    kind: str
    start: float
    end: float
    seconds: float
    known: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerDepth:
    """How deep a steel's layers harden.

    Attributes
    ----------
    steel : str
        Its name.
    ratio : float
        Ideal over needed diameter at the spine [1].
    verdict : str
        "through", "partly" or "edge".
    """

    steel: str
    ratio: float
    verdict: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatTreatment:
    """How a blade is treated after forging.

    Attributes
    ----------
    target : float
        Hardness aimed at [HRC].
    weld_soak : (float, float) or None
        How long the first stack soaks before it is welded [s].
    normalise : Normalising or None
        None where a steel hardens in air.
    soften : Softening or None
        None where no steel hardens.
    relieve_low, relieve_high, relieve_seconds : float
        Stress relief after rough grinding; the preheat is as hot [K, s].
    harden : HardeningHeat or None
        None where no steel hardens.
    quench : str
        "water", "fast_oil", "oil", "air" or empty.
    bath : Bath
        The shop's own, or nothing known of it.
    rise : float or None
        By how much one blade warms the bath; None where its mass is not known [K].
    layers : tuple of LayerQuenched
        What each steel comes to as quenched.
    depths : tuple of LayerDepth
        How deep each hardens, the least first; empty without a spine.
    temper : Tempering or None
        None where the hardness cannot be reached.
    segments : tuple of HeatSegment
        All of it as a line of temperature over time, end to end.
    flags : tuple of Flag
        What to look at twice.
    """

    target: float
    weld_soak: tuple[float, float] | None
    normalise: Normalising | None
    soften: Softening | None
    harden: HardeningHeat | None
    quench: str
    bath: Bath
    rise: float | None
    layers: tuple[LayerQuenched, ...]
    depths: tuple[LayerDepth, ...]
    temper: Tempering | None
    segments: tuple[HeatSegment, ...]
    flags: tuple[Flag, ...]
    relieve_low: float = RELIEVE_LOW
    relieve_high: float = RELIEVE_HIGH
    relieve_seconds: float = RELIEVE_SECONDS

    @property
    def oil(self) -> tuple[float, float] | None:
        """Temperature of the oil [K]; None for other baths."""
        return (OIL_LOW, OIL_HIGH) if self.quench in ("oil", "fast_oil") else None

    @property
    def through(self) -> bool:
        """Whether even the layer that hardens least deep hardens to the middle."""
        return bool(self.depths) and self.depths[0].ratio >= THROUGH


def heat_treatment(
    at: Together, hardness: float, bath: Bath | None = None, blade: float | None = None
) -> HeatTreatment:
    """Return how a blade is treated for a hardness.

    Parameters
    ----------
    at : Together
        Its steels, with what the heats of the billet did to them.
    hardness : float
        Aimed at [HRC].
    bath : Bath, optional
        The shop's own; without it one of the class the steels ask for.
    blade : float, optional
        Mass of the blade as it is quenched [kg].

    Returns
    -------
    HeatTreatment
        Everything from normalising to the last temper.
    """
    own, heat, quench = bath or Bath(), hardening_heat(at), at.quench
    layers = layers_quenched(at, heat.chosen) if heat else ()
    temper, temper_flags = tempering(at, hardness) if heat else (None, ())
    normal, soft = normalising(at) if heat else None, softening(at)
    rise = None
    if heat and own.mass and blade:
        rise = bath_rise(blade, heat.chosen, own.mass, quench)
    return HeatTreatment(
        target=hardness,
        weld_soak=_weld_soak(at),
        normalise=normal,
        soften=soft,
        harden=heat,
        quench=quench,
        bath=own,
        rise=rise,
        layers=layers,
        depths=_depths(at),
        temper=temper,
        segments=tuple(_line(normal, soft, heat, quench, temper)),
        flags=(
            *_unknown_flags(at),
            *_window_flags(heat),
            *air_flags(at),
            *bath_flags(rise, quench),
            *austenite_flags(layers),
            *temper_flags,
        ),
    )


def _weld_soak(at: Together) -> tuple[float, float] | None:
    if at.stack is None:
        return None
    least, most = WELD_SOAK
    return at.stack * least, at.stack * most


def _depths(at: Together) -> tuple[LayerDepth, ...]:
    if at.spine is None or not at.quench:
        return ()
    found: list[tuple[str, Hardening]] = [
        (one.name, hardened(at, one, at.spine)) for one in at.turning
    ]
    rows = (
        LayerDepth(steel=name, ratio=float(one.ratio), verdict=one.verdict)
        for name, one in found
    )
    return tuple(sorted(rows, key=lambda one: one.ratio))


def _unknown_flags(at: Together) -> tuple[Flag, ...]:
    if not at.unknown:
        return ()
    message = _(
        "Of {steel} nothing but the carbon is known; the heat treatment is that of the "
        "other steels. Enter its data sheet."
    )
    named = ", ".join(one.name for one in at.unknown)
    return (Flag(message=message, field="layers", values={"steel": named}),)


def _window_flags(heat: HardeningHeat | None) -> tuple[Flag, ...]:
    if heat is None:
        message = _("No steel of this billet hardens; weld in one that does.")
        return (Flag(message=message, field="layers"),)
    if heat.low <= heat.high:
        return ()
    message = _(
        "No heat suits all steels: one asks for {from_temperature} at least, another "
        "bears {to_temperature} at most. {chosen_temperature} lies between; test a "
        "piece of the bar before the blade."
    )
    values = {
        "from_temperature": heat.low,
        "to_temperature": heat.high,
        "chosen_temperature": heat.chosen,
    }
    return (Flag(message=message, field="layers", values=values),)


# --- the line of temperature over time -----------------------------------------------

HEATING_UP, COOLING, QUENCHING = 1200.0, 1200.0, 15.0
"""What a blade takes for it, near enough for a picture [s]."""


def _line(
    normal: Normalising | None,
    soft: Softening | None,
    heat: HardeningHeat | None,
    quench: str,
    temper: Tempering | None,
) -> Iterator[HeatSegment]:
    """Yield the whole treatment, each piece beginning where the one before ends."""
    if normal:
        yield from _normalised(normal)
    if soft:
        yield from _held("soften", ROOM, soft.temperature, soft.seconds, ROOM)
    if heat is None:
        return
    relieve = (RELIEVE_LOW + RELIEVE_HIGH) / 2.0
    yield from _held("relieve", ROOM, relieve, RELIEVE_SECONDS, ROOM)
    yield _segment("preheat", ROOM, relieve, HEATING_UP)
    yield _segment("harden", relieve, heat.chosen, HEATING_UP / 2.0)
    soak = (heat.soak_low + heat.soak_high) / 2.0
    yield HeatSegment(kind="harden", start=heat.chosen, end=heat.chosen, seconds=soak)
    out = OIL_HIGH if quench in ("oil", "fast_oil") else ROOM
    yield _segment("quench", heat.chosen, out, QUENCHING)
    if out > ROOM:
        yield _segment("quench", out, ROOM, COOLING)
    if temper:
        for _time in range(temper.tempers):
            yield from _held("temper", ROOM, temper.temperature, temper.seconds, ROOM)


def _normalised(normal: Normalising) -> Iterator[HeatSegment]:
    start = ROOM
    for place, heat in enumerate(normal.heats, start=1):
        end = ROOM if place == len(normal.heats) else BLACK
        yield from _held("normalise", start, heat, normal.seconds, end)
        start = end


def _held(
    kind: str, start: float, heat: float, seconds: float, end: float
) -> Iterator[HeatSegment]:
    """Yield heating up, a hold and cooling down."""
    yield _segment(kind, start, heat, HEATING_UP)
    yield HeatSegment(kind=kind, start=heat, end=heat, seconds=seconds)
    yield _segment(kind, heat, end, COOLING)


def _segment(kind: str, start: float, end: float, seconds: float) -> HeatSegment:
    return HeatSegment(kind=kind, start=start, end=end, seconds=seconds, known=False)
