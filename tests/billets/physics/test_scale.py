"""Scale against its published law, atomic masses and limiting cases."""

import numpy as np
import pytest

from billets.physics.constants import ZERO_CELSIUS
from billets.physics.scale import (
    SCALE_LAWS,
    STEEL_PER_OXYGEN,
    heat_loss,
    iron_per_oxygen,
    layered_iron_per_oxygen,
    mixed_uptake,
    oxygen_uptake,
    parabolic_constant,
    steel_lost,
)
from tests.billets.physics.plans import MM

GRAM_CENTIMETRE = 100.0  # g^2/(cm^4 s) in kg^2/(m^4 s)


def kelvin(celsius):
    return celsius + ZERO_CELSIUS


@pytest.mark.parametrize(
    ("celsius", "constant"),
    [(900, 1.740e-7), (1000, 6.811e-7), (1200, 5.985e-6), (1250, 9.425e-6)],
)
def test_parabolic_constant_by_paidassi(celsius, constant):
    """Paidassi, Acta Met. 6 (1958), as in Chen and Yuen (2003); quoted from memory."""
    rate = parabolic_constant(kelvin(celsius)) / GRAM_CENTIMETRE
    assert rate == pytest.approx(constant, rel=1e-3)


@pytest.mark.parametrize(("celsius", "constant"), [(900, 2.634e-7), (1200, 4.705e-6)])
def test_parabolic_constant_by_stanley(celsius, constant):
    """Stanley, Hoene and Huntoon, Trans. ASM 1950, abstract; units inferred."""
    law = SCALE_LAWS["stanley"]
    rate = parabolic_constant(kelvin(celsius), law) / GRAM_CENTIMETRE
    assert rate == pytest.approx(constant, rel=1e-3)


def test_two_published_laws_agree_within_their_scatter():
    """Two sets of measurements on iron differ by 35 % in the constant."""
    celsius = np.array([900.0, 1000.0, 1100.0, 1200.0, 1250.0])
    ratio = parabolic_constant(kelvin(celsius)) / parabolic_constant(
        kelvin(celsius), SCALE_LAWS["stanley"]
    )
    assert np.all((ratio > 0.65) & (ratio < 1.40))


def test_steel_lost_by_a_bar_in_ten_minutes_at_1200_degrees():
    """Paidassi, quoted from memory: 600 s at 1200 °C on a block of 40 x 40 x 130."""
    oxygen = oxygen_uptake(kelvin(1200), 600.0)
    lost = steel_lost(oxygen)
    assert oxygen / 10 == pytest.approx(0.05992, rel=1e-3)  # g/cm^2
    assert lost / 10 == pytest.approx(0.1960, rel=1e-3)
    assert lost / 7850 == pytest.approx(0.2496 * MM, rel=1e-3)
    area = (2 * 40 * 40 + 4 * 40 * 130) * MM**2
    assert area == pytest.approx(240.0e-4)
    assert area * lost == pytest.approx(47.03e-3, rel=1e-3)
    assert area * lost / (7850 * 40 * 40 * 130 * MM**3) == pytest.approx(
        0.0288, rel=2e-3
    )


@pytest.mark.parametrize(
    ("iron", "oxygen", "ratio"),
    [(1, 1, 3.491), (3, 4, 2.618), (2, 3, 2.327), (0.95, 1, 3.316)],
)
def test_iron_for_each_oxygen_from_atomic_masses(iron, oxygen, ratio):
    """IUPAC standard atomic weights: Fe 55.845, O 15.999."""
    assert iron_per_oxygen(iron, oxygen) == pytest.approx(ratio, abs=1e-3)


def test_scale_of_three_oxides_binds_iron_as_used():
    """Birks and Meier, layering 95/4/1 and densities; quoted from memory."""
    layers = [
        (0.95, 5700.0, iron_per_oxygen(0.95, 1)),
        (0.04, 5180.0, iron_per_oxygen(3, 4)),
        (0.01, 5240.0, iron_per_oxygen(2, 3)),
    ]
    ratio = layered_iron_per_oxygen(layers)
    assert ratio == pytest.approx(3.274, abs=1e-3)
    assert pytest.approx(ratio, abs=0.005) == STEEL_PER_OXYGEN


@pytest.mark.parametrize(
    ("linear", "share"), [(1e-5, 0.070), (3e-5, 0.204), (1e-4, 0.5180), (3e-4, 0.792)]
)
def test_gas_that_brings_little_oxygen_slows_scale(linear, share):
    """Mixed law t = W^2/kp + W/kl with Paidassi's kp, quoted from memory; 300 s."""
    mixed = mixed_uptake(kelvin(1200), 300.0, linear * 10)
    assert mixed / oxygen_uptake(kelvin(1200), 300.0) == pytest.approx(share, abs=1e-3)


def test_mixed_law_meets_both_its_limits():
    """Limiting cases: plenty of oxygen is parabolic, hardly any is linear."""
    hot, seconds = kelvin(1200), 300.0
    assert mixed_uptake(hot, seconds, 1e6) == pytest.approx(oxygen_uptake(hot, seconds))
    assert mixed_uptake(hot, seconds, 1e-9) == pytest.approx(1e-9 * seconds, rel=1e-4)


def test_uptake_grows_with_the_root_of_time():
    """Parabolic law: four times as long, twice as much."""
    short, long = oxygen_uptake(kelvin(1100), np.array([100.0, 400.0]))
    assert long == pytest.approx(2 * short)


def test_pinned_first_weld_heat_of_a_stack():
    """Pinned: the model's own figure for a stack of 150 x 40 x 38."""
    lost = heat_loss(kelvin(1230), 240.0, atmosphere=0.6, strength=0.8)
    area = 2 * (150 * 40 + 150 * 38 + 40 * 38) * MM**2
    assert lost / 10 == pytest.approx(0.09154, rel=1e-3)
    assert area * lost == pytest.approx(24.20e-3, rel=1e-3)
    assert lost / 7850 == pytest.approx(0.1166 * MM, rel=1e-3)


def test_a_heat_of_no_time_takes_nothing():
    """Limiting case."""
    lost = heat_loss(kelvin(1230), 0.0, atmosphere=1.2, strength=0.8, air_seconds=0.0)
    assert lost == 0


def test_steel_is_no_hotter_outside_than_it_was_inside():
    """Limiting case: a cool heat does not scale in air as if it were hot."""
    cool = heat_loss(kelvin(900), 0.0, atmosphere=0.6, strength=1.0)
    assert cool == pytest.approx(steel_lost(oxygen_uptake(kelvin(900), 45.0)))
