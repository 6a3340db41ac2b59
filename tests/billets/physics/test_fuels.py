"""Propane, against tables of the trade, stoichiometry and a library of properties."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from billets.physics.fuels import CARBON_DIOXIDE, PROPANE, carbon_dioxide

BTU_PER_POUND = 1055.05585262 / 0.45359237
POUND_PER_GALLON = 0.45359237 / 3.785411784e-3


def test_net_heating_value_is_that_of_the_tables():
    """Engineering reference table, common practice: 45.99 MJ/kg, 19 770 BTU/lb."""
    assert pytest.approx(45.99e6, rel=0.01) == PROPANE.net_heat
    assert pytest.approx(19_770 * BTU_PER_POUND, rel=0.01) == PROPANE.net_heat


def test_gross_heating_value_is_that_of_the_gas_trade():
    """Trade data sheet, common practice: 21 591 BTU/lb, 50.22 MJ/kg."""
    assert pytest.approx(50.22e6, rel=0.01) == PROPANE.gross_heat
    assert pytest.approx(21_591 * BTU_PER_POUND, rel=0.01) == PROPANE.gross_heat


def test_heat_of_bottled_gas_by_the_guidelines_for_inventories():
    """IPCC 2006 Guidelines, volume 2, table 1.2, from memory: LPG 47.3 MJ/kg."""
    assert pytest.approx(47.3e6, rel=0.03) == PROPANE.net_heat


def test_liquid_weighs_what_the_gas_trade_says():
    """Trade data sheet, common practice: 4.23 lb in a US gallon at 60 °F."""
    assert pytest.approx(4.23 * POUND_PER_GALLON, rel=5e-3) == PROPANE.liquid_density


def test_densities_are_those_of_a_library():
    """CoolProp: liquid at its boiling pressure and gas at 1.01325 bar, both 15 °C."""
    liquid = PropsSI("D", "T", 288.15, "Q", 0, "Propane")
    gas = PropsSI("D", "T", 288.15, "P", 101325, "Propane")
    assert pytest.approx(liquid, rel=1e-3) == PROPANE.liquid_density
    assert pytest.approx(gas, rel=1e-3) == PROPANE.gas_density


def test_gas_constant_and_exponent_are_those_of_a_library():
    """CoolProp: molar mass, and specific heats of the thin gas at 15 °C."""
    assert pytest.approx(PropsSI("M", "Propane"), rel=1e-4) == PROPANE.molar_mass
    assert pytest.approx(188.55, abs=0.01) == PROPANE.gas_constant
    heats = [PropsSI(name, "T", 288.15, "P", 100.0, "Propane")
             for name in ("CPMASS", "CVMASS")]  # fmt: skip
    assert pytest.approx(heats[0] / heats[1], abs=0.003) == PROPANE.exponent


def test_carbon_dioxide_of_a_kilogram():
    """40 CFR 98 table NN-1, 62.87 kg a million BTU, with 21 591 BTU/lb: 2.993."""
    by_the_rule = 62.87 / 1e6 * 21_591 / 0.45359237
    assert by_the_rule == pytest.approx(2.993, abs=1e-3)
    assert carbon_dioxide(1.0) == pytest.approx(by_the_rule, rel=5e-3)
    assert carbon_dioxide(1.0) == pytest.approx(2.994, rel=5e-4)
    assert carbon_dioxide(1.0) == pytest.approx(63.1e-9 * 47.3e6, rel=5e-3)


def test_every_atom_of_carbon_is_found_again():
    """Conservation: carbon in the gas, 12.011 g/mol, and in what it leaves."""
    burnt = np.array([0.5, 2.0])
    in_gas = burnt * 3 * 0.012011 / PROPANE.molar_mass
    found = carbon_dioxide(burnt) * 0.012011 / CARBON_DIOXIDE
    assert found == pytest.approx(in_gas)
