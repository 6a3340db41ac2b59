"""Times at the forge, against published formulas, series and limiting cases."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from billets.physics.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS
from billets.physics.errors import PlanError
from billets.physics.heating import (
    DIFFUSIVITY,
    FORGE_CONVECTION,
    RETURN,
    ROOM,
    cooling_time,
    core_lag,
    floor_depth,
    free_depth,
    heating_integral,
    heating_time,
    slab_middle,
    soak_time,
    textbook_heating_time,
)
from billets.physics.thermal import conductivity, specific_heat
from tests.billets.physics.plans import MM

WALL = 1300 + ZERO_CELSIUS
HEAT = 1230 + ZERO_CELSIUS


def minutes(depth, start=ROOM, **given):
    wall = given.pop("wall", WALL)
    return heating_time(depth, heating_integral(start, HEAT, wall, **given)) / 60


def square(side):
    return side * MM, side * MM


@pytest.mark.parametrize(
    ("start", "depth", "seconds"),
    [
        (ROOM, floor_depth(*square(40)), 438.0),
        (ROOM, free_depth(*square(40)), 328.5),
        (RETURN, floor_depth(*square(40)), 208.9),
    ],
)
def test_pinned_heating_time_of_a_forty_millimetre_square(start, depth, seconds):
    """Pinned, on EN 1993-1-2: wall 1300 °C, steel to 1230 °C."""
    assert 60 * minutes(depth, start) == pytest.approx(seconds, rel=5e-3)


@pytest.mark.parametrize(
    ("side", "free", "floor", "again", "flat"),
    [
        (20, 2.74, 3.65, 1.74, 5.47), (25, 3.42, 4.56, 2.18, 6.84),
        (40, 5.47, 7.30, 3.48, 10.95), (50, 6.84, 9.12, 4.35, 13.69),
        (60, 8.21, 10.95, 5.22, 16.42),
    ],
)  # fmt: skip
def test_pinned_minutes_of_squares(side, free, floor, again, flat):
    """Pinned, on EN 1993-1-2: from cold on four, three and two sides, and again."""
    found = [
        minutes(free_depth(*square(side))),
        minutes(floor_depth(*square(side))),
        minutes(floor_depth(*square(side)), RETURN),
        minutes(side * MM / 2),
    ]
    assert found == pytest.approx([free, floor, again, flat], rel=5e-3)


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"wall": 1280 + ZERO_CELSIUS}, 8.11),
        ({"wall": 1350 + ZERO_CELSIUS}, 5.91),
        ({"emissivity": 0.6}, 9.52),
        ({"emissivity": 0.9}, 6.54),
    ],
)
def test_pinned_heating_time_moves_with_wall_and_emissivity(given, expected):
    """Pinned, on EN 1993-1-2: 40 mm on the forge floor."""
    assert minutes(floor_depth(*square(40)), **given) == pytest.approx(
        expected, rel=5e-3
    )


def test_heating_integral_is_the_lumped_equation():
    """Calculus: scipy's solver on rho c V/A dT/dt = flux gives the same time."""
    depth = floor_depth(*square(40))

    def rate(_time, temperature):
        t = temperature[0]
        flux = 0.8 * STEFAN_BOLTZMANN * (WALL**4 - t**4) + FORGE_CONVECTION * (WALL - t)
        return [flux / (7850 * float(specific_heat(t)) * depth)]

    def arrived(_time, temperature):
        return temperature[0] - HEAT

    arrived.terminal = True
    run = solve_ivp(rate, (0, 2000), [ROOM], events=arrived, rtol=1e-7, max_step=1.0)
    assert 60 * minutes(depth) == pytest.approx(run.t_events[0][0], rel=1e-3)


@pytest.mark.parametrize(
    ("width", "thickness", "seconds"),
    [(40, 40, 75.6), (25, 25, 47.2), (10, 40, 30.2), (6, 40, 19.7)],
)
def test_pinned_cooling_in_air(width, thickness, seconds):
    """Pinned: from 1200 to 950 °C, all four sides."""
    took = cooling_time(
        width * MM, thickness * MM, 1200 + ZERO_CELSIUS, 950 + ZERO_CELSIUS
    )
    assert took == pytest.approx(seconds, rel=1e-2)


def test_dobrokhotov_heating_time():
    """Dobrokhotov's formula, second-hand: 40 mm, K 10 and 20."""
    assert textbook_heating_time(40 * MM) / 60 == pytest.approx(4.80, rel=2e-3)
    assert textbook_heating_time(40 * MM, 20.0) / 60 == pytest.approx(9.60, rel=2e-3)


@pytest.mark.parametrize(
    ("side", "plain", "alloyed"),
    [(20, 1.70, 3.39), (25, 2.37, 4.74), (50, 6.71, 13.42), (60, 8.82, 17.64)],
)
def test_dobrokhotov_table(side, plain, alloyed):
    """Dobrokhotov's formula, second-hand: minutes for K 10 and 20."""
    found = [textbook_heating_time(side * MM, factor) / 60 for factor in (10.0, 20.0)]
    assert found == pytest.approx([plain, alloyed], abs=6e-3)


def test_lumped_time_lies_between_the_textbook_limits():
    """Dobrokhotov's formula, second-hand: K 10 and K 20 around the forge floor."""
    for side in (20, 25, 40, 50):
        model = minutes(floor_depth(*square(side)))
        plain, alloyed = (
            textbook_heating_time(side * MM, factor) / 60 for factor in (10.0, 20.0)
        )
        assert 0.8 * plain < model < 1.2 * alloyed


def test_heisler_slab():
    """Series solution for a slab: Bi 0.2, Fo 2 leaves 0.7089 in the middle."""
    assert slab_middle(0.2, 2.0) == pytest.approx(0.7089, rel=2e-3)


def test_lag_of_the_core_while_radiation_heats():
    """Arithmetic: 217.7 kW/m^2 into a half thickness of 20 mm, steel at 800 °C."""
    flux = 0.8 * STEFAN_BOLTZMANN * (WALL**4 - (800 + ZERO_CELSIUS) ** 4)
    assert flux == pytest.approx(217.7e3, rel=1e-3)
    lag = core_lag(flux, 20 * MM, conductivity(800 + ZERO_CELSIUS))
    assert lag == pytest.approx(79.7, rel=2e-3)


@pytest.mark.parametrize(("side", "seconds"), [(25, 28.0), (40, 71.7), (50, 112.1)])
def test_soak_is_half_thickness_squared_over_diffusivity(side, seconds):
    """Fourier number 1 with the diffusivity of EN 1993-1-2 values."""
    assert soak_time(*square(side)) == pytest.approx(seconds, rel=3e-3)
    assert soak_time(80 * MM, side * MM) == soak_time(side * MM, 80 * MM)
    assert pytest.approx(27.3 / (7530 * 650), rel=1e-2) == DIFFUSIVITY


def test_wall_colder_than_the_heat_is_refused():
    with pytest.raises(PlanError) as refused:
        heating_integral(ROOM, HEAT, HEAT)
    assert refused.value.field == "forge"


def test_time_grows_with_the_section_and_shrinks_with_the_wall():
    """Limiting behaviour."""
    sides = np.array([20.0, 25.0, 40.0, 60.0]) * MM
    assert np.all(np.diff(minutes(floor_depth(sides, sides))) > 0)
    assert minutes(0.01, wall=WALL + 50) < minutes(0.01, wall=WALL)
