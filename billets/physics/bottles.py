"""How long a gas bottle lasts, and what the trade lets draw from it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics import Number
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.equipment import Forge
from billets.physics.errors import PlanError, _

HOUR = 3600.0

USABLE = 0.9
"""Share of a bottle that is used before pressure drops, common practice [1]."""

AIR = (-40.0 + ZERO_CELSIUS, 50.0 + ZERO_CELSIUS)
"""Air in which somebody may forge [K]."""

BOTTLES = (0.4, 100.0)
"""What a bottle of a small shop holds, common practice, no source [kg]."""

MOST_BOTTLES = 24
"""So many bottles are not coupled in a small shop, common practice [1]."""

_SIZES = (0.0, 5.0, 11.0, 33.0)
_UNINTERRUPTED = (0.0, 0.2, 0.3, 0.6)
_HALF_THE_TIME = (0.0, 0.5, 0.8, 1.8)
_BURSTS = (0.0, 1.0, 1.5, 3.0)
"""Cautious limits of the trade by kilograms in a full bottle [kg/h]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawLimits:
    """What may be drawn from one bottle by the trade's cautious rule.

    Attributes
    ----------
    uninterrupted, half_the_time, bursts : float or array (draws,)
        For good, with as long a pause as it was on, and for 20 minutes [kg/s].
    """

    uninterrupted: Number
    half_the_time: Number
    bursts: Number


def check_bottle(forge: Forge) -> None:
    """Raise PlanError unless a forge's bottle and the air around it can be.

    Parameters
    ----------
    forge : Forge
        Its bottle may be unknown, but not nonsense [SI units].
    """
    least, most = BOTTLES
    if forge.bottle is not None and not least <= forge.bottle <= most:
        raise PlanError(
            _(
                "A full gas bottle holds {least} to {most}, not {bottle}; type the gas "
                "in it, as its label says, without the steel."
            ),
            field="bottle",
            bottle=forge.bottle,
            least=least,
            most=most,
        )
    if not 1 <= forge.bottles <= MOST_BOTTLES:
        raise PlanError(
            _("There are 1 to {most} bottles coupled, not {count}; correct that."),
            field="bottles",
            most=MOST_BOTTLES,
            count=forge.bottles,
        )
    coldest, warmest = AIR
    if not coldest <= forge.air_temperature <= warmest:
        raise PlanError(
            _(
                "Air of {air_temperature} is no weather to forge in; type {least} to "
                "{most}."
            ),
            field="air_temperature",
            air_temperature=forge.air_temperature,
            least=coldest,
            most=warmest,
        )


def bottle_seconds(content: Number, rate: Number) -> Number:
    """Return how long gas lasts.

    Parameters
    ----------
    content : float or array (draws,)
        Gas in the bottles [kg].
    rate : float or array (draws,)
        Gas burnt, above zero [kg/s].

    Returns
    -------
    float or array (draws,)
        Time; the last tenth comes too slowly, common practice, no source [s].
    """
    return USABLE * content / rate


def weighed_rate(before: float, after: float, seconds: float) -> float:
    """Return the gas rate from a bottle weighed twice.

    Parameters
    ----------
    before, after : float
        Weight of the bottle with what is in it [kg].
    seconds : float
        Time the forge was lit in between [s].

    Returns
    -------
    float
        Gas burnt while lit [kg/s].
    """
    if not after < before:
        raise PlanError(
            _(
                "The bottle weighs {after_bottle} afterwards, not less than the "
                "{before_bottle} before; weigh it again, or swap the two."
            ),
            field="after",
            after_bottle=after,
            before_bottle=before,
        )
    if not seconds > 0:
        raise PlanError(
            _("Type how long the forge was lit between the two weighings."),
            field="lit",
        )
    return (before - after) / seconds


def cautious_limits(bottle: Number) -> DrawLimits:
    """Return what the trade lets draw from one bottle.

    Parameters
    ----------
    bottle : float or array (draws,)
        Gas in the full bottle [kg].

    Returns
    -------
    DrawLimits
        Limits [kg/s].

    Notes
    -----
    Common practice, a glossary of the German gas trade, for bottles of 5, 11 and
    33 kg; straight lines in between, in proportion below, and above 33 kg no more
    than at 33 kg, which is on the safe side.
    """

    def read(limits: tuple[float, ...]) -> Number:
        limit: Number = np.interp(bottle, _SIZES, limits) / HOUR
        return limit

    return DrawLimits(
        uninterrupted=read(_UNINTERRUPTED),
        half_the_time=read(_HALF_THE_TIME),
        bursts=read(_BURSTS),
    )
