"""When steel turns to austenite, what dissolves, and when it turns to martensite."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.errors import PlanError
from billets.physics.hardening_heat import hardening_band, hardening_window
from billets.physics.martensite import (
    martensite_drop,
    martensite_growth,
    martensite_start,
    retained_austenite,
    van_bohemen,
)
from billets.physics.transformation import (
    cementite_limit,
    cementite_temperature,
    dissolved_carbon,
    eutectoid_carbon,
    lower_critical,
    upper_critical,
)
from tests.billets.physics.other_formulas import (
    lower_critical_hougardy,
    martensite_start_andrews,
    martensite_start_ingber,
    upper_critical_hougardy,
)
from tests.billets.physics.steels import grade, grades, in_celsius, kelvin, plain

WORKED = {  # Ac1, Ac1 Hougardy, Ac3, eutectoid, Ms van Bohemen, Ms Ingber, its drop
    "1084": (722.2, 715.3, 732.9, 0.6925, 201.3, 210.1, 26.50),
    "15n20": (694.7, 696.2, 715.7, 0.6275, 205.3, 222.5, 51.75),
    "90mncrv8": (714.8, 710.6, 739.0, 0.5895, 149.1, 145.6, 68.75),
    "1095": (726.0, 715.6, 722.3, 0.7135, 188.1, 190.5, 15.65),
    "5160": (734.4, 731.4, 763.9, 0.6210, 263.9, 273.8, 38.38),
    "52100": (751.9, 736.0, 718.2, 0.5965, 165.6, 148.3, 29.10),
    "o1": (729.1, 717.2, 740.3, 0.6255, 160.6, 154.8, 45.45),
    "l6": (710.9, 713.9, 734.9, 0.5265, 211.3, 222.3, 60.10),
    "w2": (729.3, 717.1, 739.0, 0.7145, 182.7, 181.0, 12.00),
    "45nicrmo16": (681.2, 697.0, 732.1, 0.3955, 250.4, 257.9, 104.15),
    "55nicrmov7": (711.3, 720.5, 770.1, 0.4565, 247.3, 257.6, 71.60),
}
HARDENING = [key for key, one in grades().items() if one.hardens]
CARBON = st.floats(0.05, 1.3)


# --- worked values ---------------------------------------------------------------


@pytest.mark.parametrize("key", WORKED)
def test_pinned_worked_values_of_each_steel(key):
    """Computed from formulas of Andrews, Hougardy, van Bohemen and Ingber."""
    steel = grade(key)
    found = (
        in_celsius(lower_critical(steel).value),
        in_celsius(lower_critical_hougardy(steel)),
        in_celsius(upper_critical(steel).value),
        eutectoid_carbon(steel),
        in_celsius(martensite_start(steel).value),
        in_celsius(martensite_start_ingber(steel, steel.carbon)),
        martensite_drop(steel),
    )
    assert found == pytest.approx(WORKED[key], abs=0.06)


def test_two_steels_of_most_billets_begin_27_kelvin_apart():
    """Andrews, JISI 203 (1965) 721-727: Ac1 of 75Ni8 and 1084."""
    found = [in_celsius(lower_critical(grade(key)).value) for key in ("15n20", "1084")]
    assert found == pytest.approx([694.7, 722.2], abs=0.1)
    assert found[1] - found[0] == pytest.approx(27.5, abs=0.1)


def test_start_of_martensite_in_4340():
    """Andrews 1965: 305.1 °C; a measured 300 °C, ASM atlas, quoted from memory."""
    steel = plain(0.40, manganese=0.70, nickel=1.80, chromium=0.80, molybdenum=0.25)
    found = in_celsius(martensite_start_andrews(steel, steel.carbon))
    assert found == pytest.approx(305.1, abs=0.1)
    assert found == pytest.approx(300.0, abs=25.0)
    assert in_celsius(martensite_start(steel).value) == pytest.approx(300.0, abs=25.0)


def test_start_of_martensite_in_1080():
    """Measured about 220 °C: US Steel atlas, quoted from memory; formula published."""
    found = in_celsius(martensite_start(plain(0.79, manganese=0.76)).value)
    assert found == pytest.approx(222.5, abs=0.1)
    assert found == pytest.approx(220.0, abs=20.0)


@pytest.mark.parametrize(
    ("key", "celsius"), [("5160", 248.9), ("45nicrmo16", 247.5), ("55nicrmov7", 238.9)]
)
def test_pinned_straight_line_of_andrews(key, celsius):
    """Computed from the formula as published, within its range only."""
    steel = grade(key)
    found = in_celsius(martensite_start_andrews(steel, steel.carbon))
    assert found == pytest.approx(celsius, abs=0.06)


def test_austenite_left_in_a_plain_steel_of_much_carbon():
    """Measured 28 to 45 % at 1.4 % carbon: common practice, no source."""
    steel = plain(1.4, manganese=0.30, silicon=0.20)
    start = martensite_start(steel).value
    assert in_celsius(start) == pytest.approx(109.6, abs=0.1)
    share = retained_austenite(start, kelvin(20.0)).value
    assert 0.28 <= share <= 0.45
    assert share == pytest.approx(0.373, abs=0.001)


@pytest.mark.parametrize(
    ("start", "coldest", "share"), [(200.0, 20.0, 0.1381), (200.0, 60.0, 0.2144)]
)
def test_austenite_left_by_how_far_it_cooled(start, coldest, share):
    """Koistinen and Marburger 1959, quoted from memory: exp(-0.011 (Ms - T))."""
    found = retained_austenite(kelvin(start), kelvin(coldest)).value
    assert found == pytest.approx(share, abs=1e-4)


def test_pinned_levelled_layers_of_1084_and_75ni8():
    """Computed from the formulas, for 0.8177 % carbon in both."""
    starts = [martensite_start(grade(key), 0.8177).value for key in ("1084", "15n20")]
    assert [in_celsius(one) for one in starts] == pytest.approx(
        [212.2, 186.9], abs=0.06
    )
    shares = [retained_austenite(one, kelvin(20.0)).value for one in starts]
    assert shares == pytest.approx([0.1208, 0.1594], abs=1e-4)


def test_growth_when_martensite_forms_with_1_per_cent_carbon():
    """ASM Handbook vol. 4, as quoted: 4.11 %; by the lattice 4.1 %, from memory."""
    assert martensite_growth(1.0) == pytest.approx(0.0411, abs=1e-6)
    assert martensite_growth(1.0) == pytest.approx(0.041, abs=0.0015)


def test_carbon_that_dissolves():
    """Iron-carbon diagram, quoted from memory: 0.77 % at 727, 2.11 % at 1147 °C."""
    assert cementite_limit(kelvin(727.0)) == pytest.approx(0.77)
    assert cementite_limit(kelvin(1147.0)) == pytest.approx(2.11)


@pytest.mark.parametrize(
    ("celsius", "carbon"), [(800.0, 0.9709), (820.0, 1.029), (845.0, 1.103)]
)
def test_pinned_carbon_on_the_cementite_line(celsius, carbon):
    """Computed from the exponential through both ends of the line."""
    assert cementite_limit(kelvin(celsius)) == pytest.approx(carbon, abs=5e-4)


def test_bearing_steel_keeps_much_of_its_carbon():
    """Bhadeshia 2012, quoted from memory: 0.6 % of 52100 dissolves at 845 °C."""
    heat = kelvin(845.0)
    assert dissolved_carbon(1.0, heat, grade("52100")) == 0.6
    assert dissolved_carbon(1.0, heat, plain(1.0, chromium=1.45)) == 0.6
    assert dissolved_carbon(1.0, heat, grade("w2")) == 1.0
    assert dissolved_carbon(0.5, heat, grade("52100")) == 0.5


# --- hardening heat --------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "celsius"),
    [("1084", 792), ("90mncrv8", 785), ("1095", 796), ("o1", 799), ("52100", 822)],
)
def test_pinned_hardening_heat_by_rule(key, celsius):
    """Computed: 70 K above Ac1."""
    assert in_celsius(hardening_band(grade(key)).value) == pytest.approx(
        celsius, abs=0.6
    )


@pytest.mark.parametrize("key", ["1095", "o1", "90mncrv8", "w2", "52100"])
def test_rule_for_hardening_heat_agrees_with_data_sheets(key):
    """Windows of steel data sheets (1095: common practice, no source), within 30 K."""
    steel = grade(key)
    assert hardening_band(steel).value == pytest.approx(
        hardening_window(steel).value, abs=30.0
    )
    assert not hardening_band(steel).flags


@pytest.mark.parametrize("key", ["5160", "l6", "45nicrmo16", "55nicrmov7", "15n20"])
def test_rule_for_hardening_heat_is_flagged_where_it_fails(key):
    assert "data sheet" in hardening_band(grade(key)).flags[-1].message
    assert not hardening_window(grade(key)).flags


def test_data_sheet_wins_over_the_rule():
    window = hardening_window(grade("o1"))
    assert window.source == "sheet"
    assert (in_celsius(window.low), in_celsius(window.high)) == pytest.approx(
        (788, 816)
    )
    assert hardening_window(plain(0.8)).source == "formula"


def test_steel_with_little_carbon_hardens_from_above_its_upper_critical_heat():
    steel = plain(0.40)
    band, top = hardening_band(steel), upper_critical(steel).value
    assert [band.low - top, band.value - top, band.high - top] == pytest.approx(
        [30, 40, 50]
    )


@given(CARBON, st.floats(0.0, 2.0), st.floats(0.0, 1.5))
def test_band_of_the_rule_holds_its_middle(carbon, manganese, chromium):
    band = hardening_band(plain(carbon, manganese=manganese, chromium=chromium))
    assert band.low <= band.value <= band.high


# --- sheet, ranges, laws ---------------------------------------------------------


def test_start_of_martensite_by_the_sheet_wins_and_moves_with_carbon():
    steel = grade("15n20", martensite_start=kelvin(215.0))
    assert martensite_start(steel).value == kelvin(215.0)
    assert martensite_start(steel, 0.75).value == pytest.approx(kelvin(215.0))
    assert martensite_start(steel).source == "sheet"
    moved = martensite_start(steel, 0.85).value - kelvin(215.0)
    assert moved == pytest.approx(van_bohemen(steel, 0.85) - van_bohemen(steel, 0.75))


def test_upper_critical_heat_is_flagged_above_its_range():
    (flag,) = upper_critical(grade("o1")).flags
    assert (flag.values["value"], flag.values["high"]) == (0.95, 0.6)
    assert not upper_critical(grade("5160")).flags
    assert upper_critical(grade("5160"), 0.75).flags


def test_start_of_martensite_is_flagged_beyond_what_was_measured():
    assert martensite_start(plain(2.0)).flags
    assert not martensite_start(plain(1.4)).flags


REFUSED = {
    "nickel": lambda: lower_critical(grade("nickel")),
    "nickel, quenched": lambda: martensite_start(grade("nickel")),
    "stainless": lambda: lower_critical(plain(0.9, chromium=13.0)),
    "too cold": lambda: cementite_limit(kelvin(700.0)),
    "too hot": lambda: dissolved_carbon(0.9, kelvin(1200.0)),
    "upper line of Hougardy": lambda: upper_critical_hougardy(grade("o1")),
    "line of Andrews": lambda: martensite_start_andrews(grade("o1"), 0.95),
    "formula of Ingber": lambda: martensite_start_ingber(grade("o1"), 2.0),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_the_formulas_were_not_made_for_is_refused(case):
    with pytest.raises(PlanError) as said:
        REFUSED[case]()
    assert said.value.field in {"steel", "temperature", "carbon"}


@pytest.mark.parametrize(
    ("share", "level", "way_out"),
    [
        (0.10, None, ""),
        (0.17, "note", ""),
        (0.22, "amber", "temper twice"),
        (0.30, "amber", "cool the blade further"),
    ],
)
def test_much_austenite_is_told_with_what_to_do(share, level, way_out):
    """Limits of 15, 20 and 25 %: common practice, no source."""
    start = kelvin(20.0) - np.log(share) / 0.011
    flags = retained_austenite(start, kelvin(20.0)).flags
    assert [flag.level for flag in flags] == ([level] if level else [])
    assert all(way_out in flag.message for flag in flags)


def test_blade_that_never_came_below_the_start_is_all_austenite():
    assert retained_austenite(kelvin(150.0), kelvin(200.0)).value == 1.0


@given(key=st.sampled_from(HARDENING), low=CARBON, more=st.floats(0.001, 0.5))
def test_more_carbon_starts_martensite_later(key, low, more):
    steel = grades()[key]
    assert (
        martensite_start(steel, low + more).value < martensite_start(steel, low).value
    )


@given(st.floats(0.77, 2.11))
def test_cementite_line_reads_both_ways(carbon):
    assert cementite_limit(cementite_temperature(carbon)) == pytest.approx(carbon)


@given(CARBON, st.floats(1000.2, 1420.0), st.floats(0.0, 100.0))
def test_more_heat_dissolves_no_less_and_never_more_than_there_is(carbon, heat, more):
    hotter = min(heat + more, 1420.0)
    assert dissolved_carbon(carbon, heat) <= dissolved_carbon(carbon, hotter) <= carbon


def test_draws_give_what_each_gives_alone():
    steel, carbon = grade("1084"), np.array([0.3, 0.7, 0.82, 1.1])
    heat = kelvin(800.0)
    for formula in (
        lambda one: martensite_start(steel, one).value,
        lambda one: dissolved_carbon(one, heat),
        lambda one: hardening_band(steel, one).value,
        lambda one: hardening_band(steel, one).high,
        lambda one: upper_critical(steel, one).value,
        lambda one: retained_austenite(van_bohemen(steel, one), kelvin(20.0)).value,
    ):
        assert formula(carbon) == pytest.approx([formula(float(c)) for c in carbon])
