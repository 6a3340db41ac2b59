"""How a blade of several steels is tempered to a hardness."""

from __future__ import annotations

import math
from dataclasses import dataclass

from billets.physics.bar import Steel
from billets.physics.common_heat import known
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import Flag, PlanError, _
from billets.physics.hardness import HardnessBand
from billets.physics.temper_figures import FIT_COOLEST, figures_of
from billets.physics.temper_tables import HOUR
from billets.physics.tempering import (
    TemperBand,
    hardness_reach,
    temper_for,
    tempered_hardness,
)
from billets.physics.together import Together

TEMPERS, TEMPER_SECONDS = 2, 2.0 * HOUR
"""Tempers, and how long each; steel data sheets of O1 and L6 [1, s]."""

START_LOW, START_HIGH = 175.0 + ZERO_CELSIUS, 180.0 + ZERO_CELSIUS
STEP_LOW, STEP_HIGH = 10.0, 15.0
"""First temper, then hardness is measured and the temper raised by steps; common
practice, no source [K]."""

BEST_KNOWN = ("own", "table", "fit")
"""Sources of a temper, the best first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tempering:
    """How a blade is tempered.

    Attributes
    ----------
    temperature, low, high : float
        For the hardness wanted, and between which it may lie [K].
    start : float
        First temper, after which the hardness is measured [K].
    tempers : int
        How many [1].
    seconds : float
        Each of them [s].
    hardness, hardness_low, hardness_high : float
        To be expected at that temperature of the layers at the edge [HRC].
    source : str
        "own", "table" or "fit": of the steel that decides.
    steel : str
        Name of that steel.
    """

    temperature: float
    low: float
    high: float
    start: float
    tempers: int
    seconds: float
    hardness: float
    hardness_low: float
    hardness_high: float
    source: str
    steel: str


@dataclass(frozen=True, slots=True)
class _Asked:
    """A steel at the edge: from where it is known, and the temper it needs [K].

    ``band`` is None where no temper gives the hardness; the temper is then the coolest
    or the hottest figures reach.
    """

    steel: Steel
    source: str
    temperature: float
    band: TemperBand | None

    @property
    def short(self) -> bool:
        """Whether it stays softer than wanted, however cool the temper."""
        return self.band is None and self.temperature == FIT_COOLEST


def tempering(
    at: Together, hardness: float
) -> tuple[Tempering | None, tuple[Flag, ...]]:
    """Return how hot to temper for a hardness, and what to say about it.

    Parameters
    ----------
    at : Together
        Steels of the billet; those at the edge count.
    hardness : float
        Wanted [HRC].

    Returns
    -------
    (Tempering or None, tuple of Flag)
        None where no steel at the edge reaches it: the flag says what can be reached.

    Notes
    -----
    The shop's own rows decide before printed tables, those before the fit. Of steels
    known alike the coolest temper does, so that no layer ends softer; where one of them
    does not reach the hardness at all, the coolest there is.
    """
    edge = [one for one in at.edge_layers if one in at.turning] or list(at.turning)
    if not edge:
        return None, ()
    asked = [_asked(at, steel, hardness) for steel in edge]
    if not any(one.band for one in asked):
        return None, (_out_of_reach(at, edge, hardness),)
    best = min(BEST_KNOWN.index(one.source) for one in asked)
    deciding = [one for one in asked if BEST_KNOWN.index(one.source) == best]
    chosen = min(deciding, key=lambda one: one.temperature)
    flags = chosen.band.flags if chosen.band else ()
    return _tempered(at, edge, chosen), (*flags, *_softer(asked))


def _asked(at: Together, steel: Steel, hardness: float) -> _Asked:
    grade, carbon = known(steel), _carbon(at, steel)
    seconds = TEMPERS * TEMPER_SECONDS
    figures = figures_of(grade, carbon, seconds)
    try:
        band = temper_for(grade, carbon, hardness, seconds)
    except PlanError:
        soft = hardness_reach(grade, carbon, seconds)[1] < hardness
        end = FIT_COOLEST if soft else figures.hottest
        return _Asked(steel, figures.source, end, None)
    return _Asked(steel, figures.source, float(band.temperature), band)


def _tempered(at: Together, edge: list[Steel], chosen: _Asked) -> Tempering:
    temperature, band = chosen.temperature, chosen.band
    expected = {one: _expected(at, one, temperature) for one in edge}
    return Tempering(
        temperature=temperature,
        low=float(band.low) if band else temperature,
        high=float(band.high) if band else temperature,
        start=min(START_LOW, temperature),
        tempers=TEMPERS,
        seconds=TEMPER_SECONDS,
        hardness=float(expected[chosen.steel].value),
        hardness_low=min(float(one.low) for one in expected.values()),
        hardness_high=max(float(one.high) for one in expected.values()),
        source=chosen.source,
        steel=chosen.steel.name,
    )


def _carbon(at: Together, steel: Steel) -> float:
    """Return the carbon of a steel's layers, the middle where they differ [%]."""
    return math.fsum(at.carbon(steel)) / 2.0


def _expected(at: Together, steel: Steel, temperature: float) -> HardnessBand:
    seconds = TEMPERS * TEMPER_SECONDS
    return tempered_hardness(known(steel), _carbon(at, steel), temperature, seconds)


def _out_of_reach(at: Together, edge: list[Steel], hardness: float) -> Flag:
    """Say which hardness the carbon reaches, and what to change for more or less."""
    seconds = TEMPERS * TEMPER_SECONDS
    reach = [hardness_reach(known(one), _carbon(at, one), seconds) for one in edge]
    least, most = min(low for low, _most in reach), max(high for _low, high in reach)
    values: dict[str, object] = {
        "hardness": hardness,
        "carbon": round(max(_carbon(at, one) for one in edge), 2),
        "least_hardness": math.ceil(10.0 * least) / 10.0,
        "most_hardness": math.floor(10.0 * most) / 10.0,
    }
    if hardness > most:
        message = _(
            "{hardness} HRC cannot be reached: with {carbon} % carbon at the edge this "
            "blade keeps {most_hardness} HRC at most after tempering. Aim at that or "
            "less, take more of the steel with more carbon, or a harder one."
        )
        return Flag(message=message, field="hardness", values=values)
    message = _(
        "No figures reach down to {hardness} HRC: they end at {least_hardness} HRC. "
        "Aim at that or more, or temper a test piece and enter what you measure."
    )
    return Flag(message=message, field="hardness", values=values)


def _softer(asked: list[_Asked]) -> tuple[Flag, ...]:
    """Say which layers stay softer than wanted, if some do."""
    short = ", ".join(one.steel.name for one in asked if one.short)
    if not short:
        return ()
    message = _(
        "By what is known of {steel} its layers at the edge do not reach the hardness "
        "aimed at, however cool the temper. Measure after the first one, and enter "
        "what you find."
    )
    return (Flag(message=message, field="hardness", values={"steel": short}),)
