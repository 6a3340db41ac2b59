"""How hard steel is after tempering, and how hot to temper for a hardness.

The shop's own rows come first, then printed tables of the steel, then a general fit.
A table is for the carbon of its steel: in a billet whose carbon has levelled it is
moved by as much as the general fit moves.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from billets.physics import Number
from billets.physics.errors import Flag, PlanError, _
from billets.physics.grades import Grade
from billets.physics.hardness import HardnessBand
from billets.physics.state import every, typical
from billets.physics.temper_figures import FIT_COOLEST, Figures, figures_of
from billets.physics.temper_flags import temper_flags
from billets.physics.transformation import lower_critical

HALVINGS = 25
"""Halvings of the search for a temper: far below a thousandth of a kelvin [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperBand:
    """How hot to temper for a hardness.

    Attributes
    ----------
    temperature, low, high : float or array (draws,)
        Likely, and between which it may lie [K].
    source : str
        "own", "table" or "fit".
    flags : tuple of Flag
        What to look at twice.
    """

    temperature: Number
    low: Number
    high: Number
    source: str
    flags: tuple[Flag, ...] = ()


def tempered_hardness(
    grade: Grade, carbon: Number, temperature: Number, seconds: float
) -> HardnessBand:
    """Return how hard a steel is after tempering.

    Parameters
    ----------
    grade : Grade
        The steel and its temper tables.
    carbon : float or array (draws,)
        All carbon of the layer after levelling [%].
    temperature : float or array (draws,)
        Of the temper, below where the steel turns to austenite [K].
    seconds : float
        All equal tempers together [s].

    Returns
    -------
    HardnessBand
        Hardness [HRC], with its source: "own", "table" or "fit". Flagged where no
        figures reach, and where tempering makes steel brittle.

    Notes
    -----
    Of several printed tables the first by name counts; the band spans them all, and
    the general fit where it holds.
    """
    critical = lower_critical(grade).value
    if not every(temperature < critical):
        raise PlanError(
            _("At {temperature} {steel} starts to harden anew; temper below {most}."),
            field="temperature",
            temperature=typical(temperature),
            steel=grade.name,
            most=critical,
        )
    figures = figures_of(grade, carbon, seconds)
    return HardnessBand(
        value=figures.value(temperature),
        low=figures.low(temperature),
        high=figures.high(temperature),
        source=figures.source,
        flags=temper_flags(figures, typical(temperature)),
    )


def hardness_reach(grade: Grade, carbon: float, seconds: float) -> tuple[float, float]:
    """Return between which hardnesses a steel can be tempered.

    Parameters
    ----------
    grade : Grade
        The steel and its temper tables.
    carbon : float
        All carbon of the layer after levelling [%].
    seconds : float
        All equal tempers together [s].

    Returns
    -------
    tuple of float
        Softest and hardest that figures reach, from 150 °C up [HRC].
    """
    figures = figures_of(grade, carbon, seconds)
    ends = (figures.value(figures.hottest), figures.value(FIT_COOLEST))
    return float(ends[0]), float(ends[1])


def temper_for(
    grade: Grade, carbon: Number, hardness: float, seconds: float
) -> TemperBand:
    """Return how hot to temper a steel for a hardness.

    Parameters
    ----------
    grade : Grade
        The steel and its temper tables.
    carbon : float or array (draws,)
        All carbon of the layer after levelling [%].
    hardness : float
        Wanted [HRC].
    seconds : float
        All equal tempers together [s].

    Returns
    -------
    TemperBand
        Temperature [K], the hottest at which the hardness is still reached; in draws
        that cannot reach it the end of the range. PlanError, with what can be reached,
        if it cannot be at all.
    """
    figures = figures_of(grade, carbon, seconds)
    _refuse_unreachable(figures, hardness)
    found = _hottest_for(figures, figures.value, hardness)
    return TemperBand(
        temperature=found,
        low=_hottest_for(figures, figures.low, hardness),
        high=_hottest_for(figures, figures.high, hardness),
        source=figures.source,
        flags=(
            *temper_flags(figures, typical(found)),
            *_doubtful(figures, hardness),
        ),
    )


def _hottest_for(
    figures: Figures, curve: Callable[[Number], Number], hardness: float
) -> Number:
    """Halve the range until the temper is found; hardness never rises over it."""
    shape = np.shape(figures.carbon)
    cool = np.full(shape, FIT_COOLEST)
    hot = np.full(shape, figures.hottest)
    for _halving in range(HALVINGS):
        middle = (cool + hot) / 2.0
        hard = curve(middle) >= hardness
        cool, hot = np.where(hard, middle, cool), np.where(hard, hot, middle)
    return cool if shape else float(cool)


def _doubtful(figures: Figures, hardness: float) -> tuple[Flag, ...]:
    most = figures.value(FIT_COOLEST)
    if every(most >= hardness):
        return ()
    message = _(
        "{hardness} HRC is not sure: with as little carbon as this billet may have, "
        "{steel} keeps {most} HRC after tempering at {temperature}."
    )
    said = {
        "hardness": hardness,
        "steel": figures.grade.name,
        "most": round(float(np.min(most)), 1),
        "temperature": FIT_COOLEST,
    }
    return (Flag(message=message, field="hardness", values=said),)


def _refuse_unreachable(figures: Figures, hardness: float) -> None:
    most, least = figures.value(FIT_COOLEST), figures.value(figures.hottest)
    said = {
        "steel": figures.grade.name,
        "carbon": round(typical(figures.carbon), 2),
        "hardness": hardness,
    }
    if not np.any(most >= hardness):
        raise PlanError(
            _(
                "{steel} with {carbon} % carbon keeps at most {most} HRC after "
                "tempering at {temperature}, not {hardness}; ask for less, or take "
                "steels that stay harder."
            ),
            field="hardness",
            most=np.floor(typical(most) * 10.0) / 10.0,
            temperature=FIT_COOLEST,
            **said,
        )
    if not np.any(least <= hardness):
        raise PlanError(
            _(
                "For {steel} with {carbon} % carbon the figures end at {least} HRC, "
                "after tempering at {temperature}; ask for no less than that, or "
                "temper a test piece softer and enter what you measure."
            ),
            field="hardness",
            least=np.ceil(typical(least) * 10.0) / 10.0,
            temperature=figures.hottest,
            **said,
        )
