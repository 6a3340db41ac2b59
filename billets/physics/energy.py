"""How much of the fuel's heat the steel takes up: a check on hours and gas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from billets.physics import Number
from billets.physics.errors import Flag, _
from billets.physics.fuels import PROPANE
from billets.physics.heating import RETURN, ROOM
from billets.physics.results import PlanResult
from billets.physics.state import typical
from billets.physics.steps import HotStep, Step, cut_first
from billets.physics.thermal import enthalpy

PROPANE_HEAT = PROPANE.net_heat
"""Net heating value of propane; tables and libraries give 46.0 to 47.3 MJ [J/kg]."""

LEAST_SHARE, MOST_SHARE = 0.01, 0.10
"""Share of the fuel's heat found in the steel; common practice, no source [1].

One maker puts what leaves by the open front alone at nine tenths.
"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanEnergy:
    """Where the heat of a plan comes from, and what of it the steel takes.

    Attributes
    ----------
    steel : float or array (draws,)
        Heat put into the steel, every heat of it [J].
    fuel : float or array (draws,)
        Heat of the gas burnt [J].
    """

    steel: Number
    fuel: Number


def heat_taken(mass: Number, start: float, end: float) -> Number:
    """Return the heat that brings steel from one temperature to another.

    Parameters
    ----------
    mass : float or array (draws,)
        Of the steel [kg].
    start, end : float
        Temperatures, 20 to 1500 °C [K].

    Returns
    -------
    float or array (draws,)
        Heat [J].

    References
    ----------
    EN 1993-1-2:2005, 3.4.1.2, quoted from memory, verify; kept above 1200 °C.
    """
    return mass * (enthalpy(end) - enthalpy(start))


def fuel_heat(gas: Number) -> Number:
    """Return the heat that burning propane gives.

    Parameters
    ----------
    gas : float or array (draws,)
        Propane [kg].

    Returns
    -------
    float or array (draws,)
        Heat, by the net heating value [J].
    """
    return PROPANE_HEAT * gas


def plan_energy(steps: Sequence[Step], result: PlanResult) -> PlanEnergy:
    """Return the heat a plan burns, and what of it goes into the steel.

    Parameters
    ----------
    steps : sequence of Step
        The steps of the plan [SI units].
    result : PlanResult
        What they gave, float or array (draws,) [SI units].

    Returns
    -------
    PlanEnergy
        Both heats [J].

    Notes
    -----
    Each step heats the mean of its mass before and after. The first heat of a billet
    that is cold starts from 20 °C, every other where a worked billet goes back.
    """
    taken: Number = 0.0
    cold = True
    rows = zip(steps, result.steps, result.steps[1:], strict=False)
    for step, before, after in rows:
        if isinstance(step, HotStep):
            cold = cold or cut_first(step)
            mass, heat = (before.mass + after.mass) / 2.0, step.temperature
            again = heat_taken(mass, RETURN, heat)
            first = heat_taken(mass, ROOM, heat) if cold else again
            taken = taken + first + (after.heats - 1.0) * again
        # A fold is done in the heat at hand; all other bench work lets it go cold.
        cold = cold if step.kind == "fold" else not isinstance(step, HotStep)
    return PlanEnergy(steel=taken, fuel=fuel_heat(result.gas))


def energy_flags(energy: PlanEnergy) -> tuple[Flag, ...]:
    """Return what to say if the steel takes up unlikely little or much of the heat.

    Parameters
    ----------
    energy : PlanEnergy
        Heats of a plan, float or array (draws,) [J].

    Returns
    -------
    tuple of Flag
        A note, or nothing; nothing either where no gas is burnt.
    """
    steel, fuel = typical(energy.steel), typical(energy.fuel)
    if not fuel or LEAST_SHARE <= steel / fuel <= MOST_SHARE:
        return ()
    message = _(
        "The steel takes up {share} of the heat of the gas; {least_share} to "
        "{most_share} is usual. Look again at the gas an hour and the warming up."
    )
    said = {
        "share": steel / fuel,
        "least_share": LEAST_SHARE,
        "most_share": MOST_SHARE,
    }
    return (Flag(message=message, field="gas_rate", level="note", values=said),)
