"""Gas in the forge, against equilibrium data and the balance of atoms."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.atmosphere import (
    ATMOSPHERES,
    atmosphere_factor,
    bare_air_ratio,
    bare_limits,
    burnt_propane,
    shift_constant,
)
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import PlanError

HOT = 1200 + ZERO_CELSIUS


def test_limits_that_keep_iron_bare():
    """Ellingham data as in Gaskell / Turkdogan; quoted from memory."""
    carbon, hydrogen = bare_limits(HOT)
    assert carbon == pytest.approx(3.143, rel=2e-3)
    assert hydrogen == pytest.approx(1.313, rel=2e-3)
    assert shift_constant(HOT) == pytest.approx(0.4177, rel=2e-3)


def test_three_equilibria_are_one_system():
    """Hess: the shift is the difference of the two oxidations."""
    carbon, hydrogen = bare_limits(HOT)
    assert carbon * shift_constant(HOT) == pytest.approx(hydrogen, rel=1e-3)


@pytest.mark.parametrize(
    ("air", "carbon", "hydrogen"),
    [(0.95, 0.117, 0.049), (0.80, 0.6333, 0.2645), (0.60, 2.230, 0.931)],
)
def test_burnt_propane_at_1200_degrees(air, carbon, hydrogen):
    """Ellingham data as in Gaskell / Turkdogan; quoted from memory."""
    gas = burnt_propane(air, HOT)
    assert gas.carbon_monoxide / gas.carbon_dioxide == pytest.approx(carbon, abs=1e-3)
    assert gas.hydrogen / gas.steam == pytest.approx(hydrogen, abs=1e-3)


def test_iron_stays_bare_only_far_richer_than_a_forge_is_run():
    """Ellingham data as in Gaskell / Turkdogan, quoted from memory: 0.5454 of air."""
    assert bare_air_ratio(HOT) == pytest.approx(0.5454, rel=2e-3)


@given(st.floats(0.35, 0.99), st.floats(700, 1300))
def test_no_atom_is_made_or_lost(air, celsius):
    """Conservation: C3H8 and ten oxygen atoms for each unit of air."""
    gas = burnt_propane(air, celsius + ZERO_CELSIUS)
    assert gas.carbon_dioxide + gas.carbon_monoxide == pytest.approx(3)
    assert 2 * gas.steam + 2 * gas.hydrogen == pytest.approx(8)
    oxygen = 2 * gas.carbon_dioxide + gas.carbon_monoxide + gas.steam
    assert oxygen == pytest.approx(10 * air)
    assert min(gas.carbon_dioxide, gas.carbon_monoxide, gas.steam, gas.hydrogen) >= 0


def test_no_gas_is_left_outside_the_range():
    with pytest.raises(PlanError) as refused:
        burnt_propane(1.1, HOT)
    assert refused.value.field == "air_ratio"


def test_richer_gas_scales_less():
    """Common practice, no source."""
    factors = [ATMOSPHERES[name] for name in ("oxidising", "neutral", "rich", "can")]
    assert factors == sorted(factors, reverse=True)


def test_unknown_atmosphere_is_refused():
    with pytest.raises(PlanError) as refused:
        atmosphere_factor("windy")
    assert refused.value.field == "forge"
