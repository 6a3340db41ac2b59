"""What a fuel is: its heat, its density, its gas, the carbon dioxide it leaves."""

from __future__ import annotations

from dataclasses import dataclass

from billets.physics import Number
from billets.physics.constants import GAS_CONSTANT

CARBON_DIOXIDE = 0.0440095
"""Molar mass of carbon dioxide, from atomic masses [kg/mol]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuel:
    """A gas that is burnt in a forge.

    Attributes
    ----------
    name : str
        What it is called.
    molar_mass : float
        Of the gas [kg/mol].
    carbon : float
        Carbon atoms in one molecule [1].
    exponent : float
        Specific heat at constant pressure over that at constant volume [1].
    net_heat, gross_heat : float
        Heating value without and with the heat of the steam it makes [J/kg].
    gas_density, liquid_density : float
        At 15 °C, the gas at the pressure of the sea's level [kg/m^3].
    """

    name: str
    molar_mass: float
    carbon: float
    exponent: float
    net_heat: float
    gross_heat: float
    gas_density: float
    liquid_density: float

    @property
    def gas_constant(self) -> float:
        """Gas constant of this gas alone [J/(kg K)]."""
        return GAS_CONSTANT / self.molar_mass


PROPANE = Fuel(
    name="propane",
    molar_mass=0.0440956,
    carbon=3.0,
    exponent=1.13,
    net_heat=46.34e6,
    gross_heat=50.33e6,
    gas_density=1.899,
    liquid_density=507.5,
)
"""Propane from general-purpose libraries of properties.

Tables and suppliers spread about them: net 45.99 to 47.3 MJ/kg, gross 50.01 to 50.22;
engineering tables and data sheets of the gas trade, common practice; 47.3 for bottled
gas is the IPCC's, quoted from memory, verify. Bottled gas with butane in it is near.
"""


def carbon_dioxide(burnt: Number, fuel: Fuel = PROPANE) -> Number:
    """Return the carbon dioxide that burning a gas leaves.

    Parameters
    ----------
    burnt : float or array (draws,)
        Gas burnt, all of it to the end [kg].
    fuel : Fuel
        Which gas.

    Returns
    -------
    float or array (draws,)
        Carbon dioxide, by stoichiometry [kg].

    Notes
    -----
    A forge run rich leaves less of it and carbon monoxide instead, which kills.
    """
    return burnt * fuel.carbon * CARBON_DIOXIDE / fuel.molar_mass
