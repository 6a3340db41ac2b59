"""What a plan asks of the gas, an hour and in all, and what the steel takes of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from billets.physics import Number
from billets.physics.bottle_use import BottleReport, bottle_flags, bottle_report
from billets.physics.bottles import check_bottle
from billets.physics.energy import PlanEnergy, energy_flags
from billets.physics.equipment import Forge
from billets.physics.errors import Flag
from billets.physics.fuels import carbon_dioxide
from billets.physics.gas_rate import jet_flags, rate_source
from billets.physics.results import PlanResult
from billets.physics.state import typical


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GasReport:
    """What a plan burns, and what that asks of the bottles.

    Attributes
    ----------
    rate : float or array (draws,)
        Gas burnt while lit [kg/s].
    source : str
        Where that comes from: "weighed", "jets" or "usual".
    lit : float or array (draws,)
        Time the forge is lit for this plan [s].
    gas : float or array (draws,)
        Gas this plan burns [kg].
    carbon_dioxide : float or array (draws,)
        What that leaves in the air [kg].
    steel_share : float or array (draws,)
        Share of the gas's heat that the steel takes [1].
    bottle : BottleReport or None
        None where the shop has told of no bottle, or burns no gas.
    flags : tuple of Flag
        What to look at twice.
    """

    rate: Number
    source: str
    lit: Number
    gas: Number
    carbon_dioxide: Number
    steel_share: Number
    bottle: BottleReport | None
    flags: tuple[Flag, ...]


def gas_report(forge: Forge, result: PlanResult, energy: PlanEnergy) -> GasReport:
    """Return what a plan burns, and whether the bottles can give it.

    Parameters
    ----------
    forge : Forge
        As `jets.metered` made it [SI units].
    result : PlanResult
        Float or array (draws,) [SI units].
    energy : PlanEnergy
        Of the same result [J].

    Returns
    -------
    GasReport
        Everything said of the gas; PlanError if the bottle is nonsense.

    Notes
    -----
    Bottles share the draw evenly. Whether they hold enough is reckoned from full ones,
    whether they freeze from half-full ones, as most days begin. The limits hold within
    a third or so; wind, sun and frost on the bottle are left out.
    """
    check_bottle(forge)
    rate = result.gas / result.forge_seconds
    burns = forge.bottle is not None and typical(rate) > 0.0
    lit = result.forge_seconds
    bottle = bottle_report(forge, result.gas, lit) if burns else None
    return GasReport(
        rate=rate,
        source=rate_source(forge),
        lit=lit,
        gas=result.gas,
        carbon_dioxide=carbon_dioxide(result.gas),
        steel_share=energy.steel / np.maximum(energy.fuel, 1.0),
        bottle=bottle,
        flags=(
            *jet_flags(forge),
            *(bottle_flags(bottle, forge) if bottle else ()),
            *energy_flags(energy),
        ),
    )
