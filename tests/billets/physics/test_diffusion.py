"""Diffusion between layers: tables, published constants, the series and its laws."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.special import erfc

from billets.physics.diffusion import (
    added_up,
    difference_left,
    difference_left_unequal,
    levelling_thickness,
    levelling_time,
    reduced_time,
    repeat_left,
    time_until,
)
from billets.physics.diffusivity import (
    DIFFUSIVITIES,
    carbon_diffusivity_lee,
    diffusivity,
)
from billets.physics.errors import PlanError
from tests.billets.physics.steels import kelvin

HALF_HOUR = 1800.0
times = st.floats(1e-4, 2.0)
thicknesses = st.floats(1e-5, 1e-2)


# --- how fast ------------------------------------------------------------------------


@pytest.mark.parametrize(("celsius", "expected"), [(900, 5.9e-12), (1100, 5.3e-11)])
def test_carbon_in_austenite(celsius, expected):
    """Callister, Materials Science and Engineering, table of diffusion data, quoted
    from memory."""
    assert diffusivity("carbon", kelvin(celsius)) == pytest.approx(expected, rel=0.03)


def test_iron_in_itself_against_a_tracer():
    """Million and others 1993: 7.90e-15 m2/s at 1250 °C, iron with 0.4 atom per cent of
    manganese; our constants are Callister's, quoted from memory."""
    found = diffusivity("iron", kelvin(1250))
    assert 7.9e-15 / 1.5 <= found <= 7.9e-15 * 1.5


@pytest.mark.parametrize(
    ("celsius", "expected"),
    [
        (1100, (5.394e-11, 1.646e-15, 8.582e-15, 1.775e-15)),
        (1200, (1.300e-10, 8.725e-15, 4.865e-14, 8.414e-15)),
        (1250, (1.933e-10, 1.850e-14, 1.063e-13, 1.697e-14)),
        (1300, (2.803e-10, 3.741e-14, 2.212e-13, 3.272e-14)),
    ],
)
def test_table_of_diffusivities(celsius, expected):
    """Arithmetic from the constants of Callister (carbon), and of Hirano, Cohen and
    Averbach 1961, Bowen and Leak 1970, Nohara and Hirano 1971, quoted from memory."""
    elements = ("carbon", "nickel", "chromium", "manganese")
    found = [float(diffusivity(one, kelvin(celsius))) for one in elements]
    assert found == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("celsius", "expected"),
    [(1100, 1.117e-10), (1200, 2.445e-10), (1250, 3.482e-10), (1300, 4.847e-10)],
)
def test_carbon_where_there_is_much_of_it(celsius, expected):
    """Lee, Matlock and Van Tyne, ISIJ International 51 (2011) 1903, quoted from memory:
    at 0.85 % about twice the dilute value, which is the safe one."""
    found = float(carbon_diffusivity_lee(0.85, kelvin(celsius)))
    assert found == pytest.approx(expected, rel=1e-3)
    assert 1.7 <= found / diffusivity("carbon", kelvin(celsius)) <= 2.1


@pytest.mark.parametrize(("celsius", "expected"), [(1200, 279.3e-6), (1300, 410.1e-6)])
def test_how_far_carbon_gets_in_ten_minutes(celsius, expected):
    """Arithmetic from Callister's constants."""
    found = math.sqrt(diffusivity("carbon", kelvin(celsius)) * 600.0)
    assert found == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("element", list(DIFFUSIVITIES))
def test_hotter_is_faster(element):
    found = diffusivity(element, np.linspace(kelvin(800), kelvin(1400), 20))
    assert np.all(np.diff(found) > 0.0)
    assert DIFFUSIVITIES[element].source


@pytest.mark.parametrize("celsius", [20, 726, 1496])
def test_only_austenite_is_reckoned_with(celsius):
    with pytest.raises(PlanError) as refused:
        diffusivity("carbon", kelvin(celsius))
    assert refused.value.values["temperature"] == kelvin(celsius)


def test_law_with_carbon_ends_where_it_was_measured():
    with pytest.raises(PlanError):
        carbon_diffusivity_lee(1.3, kelvin(1200))


# --- the series ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reduced", "left"),
    [(0.3280, 0.0500), (0.0947, 0.500), (0.2578, 0.10), (0.4911, 0.01), (0.0, 1.0)],
)
def test_difference_left_between_equal_layers(reduced, left):
    """Crank, The Mathematics of Diffusion, quoted from memory; derived anew."""
    assert difference_left(reduced) == pytest.approx(left, abs=0.0005)


@given(times)
def test_series_is_the_sum_of_images(reduced):
    """The same solution written the other way, with scipy's error function: each face
    mirrors every other one."""
    place = np.arange(60)
    images = (-1.0) ** place * erfc((2 * place + 1) / (4.0 * np.sqrt(reduced)))
    assert difference_left(reduced) == pytest.approx(1.0 - 2.0 * images.sum(), abs=1e-9)


def test_layers_of_two_thicknesses():
    """Carbon at 1200 °C for 600 s between layers of 1.0 and 0.5 mm; by the series as
    Crank has it, quoted from memory."""
    diffused = diffusivity("carbon", kelvin(1200)) * 600.0
    assert difference_left_unequal(diffused, 1e-3, 0.5e-3) == pytest.approx(
        0.2805, abs=5e-4
    )


@pytest.mark.parametrize("share", [0.2, 1 / 3, 0.5, 0.7])
def test_unequal_layers_against_finite_differences(share):
    """Half a repeat, from the middle of one layer to that of the next, its ends closed:
    solved cell by cell with scipy."""
    cells, time = 400, 0.08
    middles = (np.arange(cells) + 0.5) / cells
    start = np.where(middles < share, 1.0, 0.0)

    def closed(_time, held):
        steps = np.concatenate(([0.0], np.diff(held), [0.0]))
        return np.diff(steps) * cells**2

    found = solve_ivp(closed, (0.0, time), start, method="LSODA", rtol=1e-7)
    left = found.y[0, -1] - found.y[-1, -1]
    whole = difference_left_unequal(time, 2.0 * share, 2.0 * (1.0 - share))
    assert left == pytest.approx(float(whole), abs=3e-3)


@given(times, times)
def test_differences_only_fall(first, second):
    early, late = sorted((first, second))
    assert 0.0 <= difference_left(late) <= difference_left(early) + 1e-12 <= 1.0 + 1e-9


@given(st.floats(0.001, 0.999))
def test_time_until_so_much_is_left_is_the_inverse(left):
    assert difference_left(time_until(left)) == pytest.approx(left, abs=2e-3)


@given(st.floats(0.05, 0.95), times)
def test_which_layer_is_named_first_does_not_matter(share, diffused):
    one = difference_left_unequal(diffused, share, 1.0 - share)
    other = difference_left_unequal(diffused, 1.0 - share, share)
    assert one == pytest.approx(other, abs=1e-9)


def test_draws_are_worked_like_single_values():
    reduced = np.array([0.0, 0.01, 0.1, 0.5])
    single = [float(difference_left(float(one))) for one in reduced]
    assert difference_left(reduced) == pytest.approx(single)


@given(st.floats(0.05, 0.5))
def test_three_steels_level_like_their_slowest_wave(late):
    """A repeat of three layers by Fourier's series: late enough only one wave is left,
    and it falls as `repeat_left` says."""
    cells = 300
    start = np.repeat([0.96, 0.75, 0.45], cells // 3)
    waves = np.fft.fft(start)
    number = np.fft.fftfreq(cells, 1.0 / cells)

    def spread(time):
        return np.ptp(
            np.fft.ifft(waves * np.exp(-4 * np.pi**2 * number**2 * time)).real
        )

    ratio = spread(late + 0.1) / spread(late)
    assert ratio == pytest.approx(float(repeat_left(0.1, 1.0)), rel=0.01)


# --- how thick, how long -------------------------------------------------------------


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [(600.0, (0.4877, 0.5947, 0.7161)), (HALF_HOUR, (0.8448, 1.030, 1.240))],
)
def test_thickness_that_levels(seconds, expected):
    """Series of Crank, quoted from memory, with Callister's constants."""
    for celsius, thickness in zip((1200, 1250, 1300), expected, strict=True):
        found = levelling_thickness(seconds, diffusivity("carbon", kelvin(celsius)))
        assert 1e3 * found == pytest.approx(thickness, rel=1e-3)


@pytest.mark.parametrize(
    ("celsius", "expected"), [(1200, 1.158), (1250, 1.382), (1300, 1.631)]
)
def test_thickness_that_levels_with_much_carbon(celsius, expected):
    """The same with the law of Lee, Matlock and Van Tyne, quoted from memory."""
    speed = carbon_diffusivity_lee(0.85, kelvin(celsius))
    assert 1e3 * levelling_thickness(HALF_HOUR, speed) == pytest.approx(
        expected, rel=1e-3
    )


@pytest.mark.parametrize(
    ("thickness", "expected"),
    [(1.0, 2522.0), (0.5, 630.6), (0.15, 56.75), (0.1, 25.22)],
)
def test_time_until_carbon_is_level_at_1200_degrees(thickness, expected):
    """Series of Crank, quoted from memory, with Callister's constants."""
    found = levelling_time(1e-3 * thickness, diffusivity("carbon", kelvin(1200)))
    assert found == pytest.approx(expected, rel=1e-3)


@given(thicknesses, st.floats(1e-16, 1e-9))
def test_doubling_the_thickness_takes_four_times_as_long(thickness, speed):
    once, twice = (levelling_time(one, speed) for one in (thickness, 2.0 * thickness))
    assert twice == pytest.approx(4.0 * once)
    assert levelling_thickness(once, speed) == pytest.approx(thickness)


def test_drawing_out_levels_in_the_last_heat():
    """4, 1 and 0.25 mm, ten minutes at 1250 °C each: arithmetic from the series."""
    speed = float(diffusivity("carbon", kelvin(1250)))
    heats = [(speed, 600.0, 1e-3 * thickness) for thickness in (4.0, 1.0, 0.25)]
    sums = [added_up(heats[: count + 1]) for count in range(3)]
    assert sums == pytest.approx([0.0073, 0.1233, 1.979], rel=0.01)
    lefts = [float(difference_left(one)) for one in sums]
    assert lefts == pytest.approx([0.9999, 0.3772, 4.2e-9], rel=0.01, abs=1e-10)


@pytest.mark.parametrize(
    ("element", "expected"),
    [
        ("nickel", (6.92, 10.08, 14.33)),
        ("manganese", (6.80, 9.65, 13.40)),
        ("chromium", (16.34, 24.16, 34.84)),
    ],
)
def test_layers_whose_pattern_dies_in_half_an_hour(element, expected):
    """Series of Crank with constants quoted from memory."""
    for celsius, microns in zip((1200, 1250, 1300), expected, strict=True):
        found = levelling_thickness(HALF_HOUR, diffusivity(element, kelvin(celsius)))
        assert 1e6 * found == pytest.approx(microns, rel=2e-3)


@pytest.mark.parametrize(
    ("element", "microns", "expected"),
    [("nickel", 50, 0.938), ("manganese", 50, 0.958), ("chromium", 50, 0.264),
     ("chromium", 100, 0.847)],
)  # fmt: skip
def test_pattern_left_after_half_an_hour_at_1300_degrees(element, microns, expected):
    """Series of Crank with constants quoted from memory."""
    speed = diffusivity(element, kelvin(1300))
    reduced = reduced_time(speed, HALF_HOUR, 1e-6 * microns)
    assert difference_left(reduced) == pytest.approx(expected, abs=1.5e-3)


def test_knife_of_tool_steel_and_nickel_steel():
    """A paper on the structure of a welded blade billet of W2 and nickel steel, drawn
    from 6 mm to about 0.15 mm: carbon level, nickel hardly moved."""
    left = {
        element: difference_left(
            reduced_time(diffusivity(element, kelvin(1200)), 600.0, 0.15e-3)
        )
        for element in ("carbon", "nickel")
    }
    assert left["carbon"] < 0.01
    assert left["nickel"] > 0.99


@given(st.floats(900.0, 1300.0), st.floats(1.0, 1e5), thicknesses)
def test_nickel_keeps_at_least_what_carbon_keeps(celsius, seconds, thickness):
    carbon, nickel = (
        difference_left(
            reduced_time(diffusivity(one, kelvin(celsius)), seconds, thickness)
        )
        for one in ("carbon", "nickel")
    )
    assert nickel >= carbon


@pytest.mark.parametrize("thickness", [0.0, -1e-3])
def test_layer_needs_a_thickness(thickness):
    with pytest.raises(PlanError):
        levelling_time(thickness, 1e-10)
    with pytest.raises(PlanError):
        reduced_time(1e-10, 600.0, thickness)
