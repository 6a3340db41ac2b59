"""Heat in steel, against EN 1993-1-2 and pure iron."""

import numpy as np
import pytest
from scipy.integrate import quad

from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import PlanError
from billets.physics.thermal import (
    conductivity,
    enthalpy,
    expansion,
    hot_density,
    specific_heat,
)


def kelvin(celsius):
    return np.asarray(celsius, dtype=float) + ZERO_CELSIUS


def test_specific_heat_by_the_standard():
    """EN 1993-1-2:2005, 3.4.1.2."""
    heat = specific_heat(kelvin([20, 400, 600, 700, 735, 800, 900, 1200]))
    expected = [439.8, 605.9, 760.2, 1008, 5000, 803.3, 650, 650]
    assert heat == pytest.approx(expected, rel=1e-3)


def test_enthalpy_by_the_standard():
    """EN 1993-1-2:2005, 3.4.1.2, integrated: heat from 20 °C."""
    heat = enthalpy(kelvin([600, 735, 800, 900, 1200, 1250])) / 1e3
    expected = [335.7, 475.4, 561.6, 632.1, 827.1, 859.6]
    assert heat == pytest.approx(expected, rel=1e-3)
    assert enthalpy(kelvin(1150)) - enthalpy(kelvin(850)) == pytest.approx(
        196e3, rel=5e-3
    )


@pytest.mark.parametrize(
    ("celsius", "iron"), [(600, 330.7), (1200, 806.7), (1250, 841.9)]
)
def test_enthalpy_is_near_that_of_pure_iron(celsius, iron):
    """NIST Shomate equation for iron; quoted from memory."""
    assert enthalpy(kelvin(celsius)) / 1e3 == pytest.approx(iron, rel=0.03)


@pytest.mark.parametrize("celsius", [350, 680, 820, 1230])
def test_enthalpy_is_the_integral_of_specific_heat(celsius):
    """Calculus: scipy's quadrature against the closed form."""
    area, _error = quad(
        specific_heat,
        kelvin(20),
        kelvin(celsius),
        points=kelvin([600, 735, 900]),
        limit=200,
    )
    assert enthalpy(kelvin(celsius)) == pytest.approx(area, rel=1e-6)


def test_expansion_and_hot_density_by_the_standard():
    """EN 1993-1-2:2005, 3.4.1.1."""
    hot = kelvin([900, 1100, 1200])
    assert expansion(hot) == pytest.approx([0.01180, 0.01580, 0.01780], rel=1e-3)
    assert hot_density(hot) == pytest.approx([7578, 7489, 7445], rel=1e-3)


def test_bar_is_as_long_as_it_was_at_room_temperature():
    """Limiting case: EN 1993-1-2 measures from 20 °C."""
    assert expansion(kelvin(20)) == pytest.approx(0.0, abs=1e-6)


def test_hot_bar_on_the_bench():
    """EN 1993-1-2: 300 mm cold are 304.7 mm at 1100 °C."""
    assert 300 * (1 + expansion(kelvin(1100))) == pytest.approx(304.7, abs=0.05)


def test_conductivity_by_the_standard():
    """EN 1993-1-2:2005, 3.4.1.3."""
    assert conductivity(kelvin([20, 1000])) == pytest.approx([53.33, 27.3], rel=1e-3)


@pytest.mark.parametrize("function", [specific_heat, enthalpy, expansion])
def test_one_value_and_many_are_the_same(function):
    celsius = [20.0, 599.0, 600.0, 735.0, 745.0, 860.0, 899.0, 1230.0]
    many = function(kelvin(celsius))
    assert [float(function(one + ZERO_CELSIUS)) for one in celsius] == list(many)


@pytest.mark.parametrize("celsius", [-5, 1600])
def test_outside_its_range_steel_is_not_extrapolated(celsius):
    with pytest.raises(PlanError) as refused:
        specific_heat(kelvin(celsius))
    assert refused.value.field == "temperature"
