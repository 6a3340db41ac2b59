"""Hardness out of the quench, and Rockwell beside Vickers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.errors import PlanError
from billets.physics.hardness import A255, as_quenched, rising_powers, rockwell, vickers
from tests.billets.physics.other_formulas import as_quenched_j406, half_martensite


def test_as_quenched_with_0_40_carbon():
    """ASTM A255-10, by way of a handbook: 56.3 HRC; its tables, from memory: 56."""
    assert as_quenched(0.40).value == pytest.approx(56.3, abs=0.05)
    assert as_quenched(0.40).value == pytest.approx(56.0, abs=0.5)


def test_as_quenched_with_much_carbon_is_a_plateau_and_says_so():
    """ASTM A255 ends at 0.70 % carbon; the plateau: common practice, no source."""
    band = as_quenched(0.96)
    assert band.value == pytest.approx(65.0, abs=1.0)
    assert band.clamped
    assert "Outside the range" in band.flags[0].message
    assert (band.low, band.high) == (band.value - 1, band.value + 1)


@pytest.mark.parametrize(
    ("carbon", "hardness"), [(0.30, 50.50), (0.40, 56.29), (0.50, 61.20), (0.60, 64.57)]
)
def test_pinned_as_quenched_by_a255(carbon, hardness):
    """Computed from the coefficients of ASTM A255-10."""
    assert as_quenched(carbon).value == pytest.approx(hardness, abs=0.006)
    assert not as_quenched(carbon).flags


@pytest.mark.parametrize(
    ("carbon", "hardness"), [(0.65, 65.48), (0.70, 65.78), (0.80, 64.25), (0.90, 59.52)]
)
def test_pinned_formula_falls_where_it_is_no_longer_asked(carbon, hardness):
    """Computed from the coefficients of ASTM A255-10; what is told is the plateau."""
    assert rising_powers(carbon, A255) == pytest.approx(hardness, abs=0.006)
    assert as_quenched(carbon).value == 65.0


@pytest.mark.parametrize(
    ("carbon", "full", "half"),
    [
        (0.30, 50.33, 37.48),
        (0.40, 56.06, 42.44),
        (0.50, 60.90, 46.84),
        (0.60, 64.28, 50.73),
        (0.65, 65.03, 52.24),
    ],
)
def test_pinned_martensite_by_j406(carbon, full, half):
    """Computed from the coefficients of SAE J406, quoted from memory."""
    assert as_quenched_j406(carbon) == pytest.approx(full, abs=0.006)
    assert half_martensite(carbon) == pytest.approx(half, abs=0.006)


@given(st.floats(0.30, 0.65))
def test_two_standards_agree_about_full_martensite(carbon):
    """ASTM A255-10 beside SAE J406 (quoted from memory): within half a point."""
    assert as_quenched(carbon).value == pytest.approx(
        float(as_quenched_j406(carbon)), abs=0.5
    )


@pytest.mark.parametrize("carbon", [0.75, 0.80, 0.90, 1.00])
def test_data_sheets_of_knife_steels_lie_about_the_plateau(carbon):
    """Steel data sheets, 0.75 to 1.0 % carbon: 63 to 67 HRC as quenched."""
    assert 63.0 <= as_quenched(carbon).low <= as_quenched(carbon).high <= 67.0


@pytest.mark.parametrize(
    ("hrc", "hv"), [(60, 697), (62, 746), (58, 653), (40, 392), (66, 865)]
)
def test_rockwell_beside_vickers(hrc, hv):
    """ASTM A370, conversion table."""
    assert vickers(float(hrc)) == hv
    assert rockwell(float(hv)) == hrc


@given(st.floats(40.0, 66.0))
def test_scales_read_both_ways(hardness):
    assert rockwell(vickers(hardness)) == pytest.approx(hardness)


@given(st.floats(0.0, 1.5), st.floats(0.0, 0.5))
def test_more_carbon_is_never_softer(carbon, more):
    assert as_quenched(carbon).value <= as_quenched(carbon + more).value + 1e-9


def test_hardly_any_carbon_is_flagged():
    band = as_quenched(0.03)
    assert band.clamped
    assert band.flags[0].level == "amber"
    assert band.value == as_quenched(0.10).value


REFUSED = {
    "too soft": lambda: vickers(39.0),
    "too hard": lambda: rockwell(900.0),
    "too much carbon": lambda: as_quenched_j406(0.8),
    "too little carbon": lambda: half_martensite(0.05),
}


@pytest.mark.parametrize("case", REFUSED)
def test_out_of_range_is_refused(case):
    with pytest.raises(PlanError):
        REFUSED[case]()


def test_draws_give_what_each_gives_alone():
    carbon = np.array([0.05, 0.4, 0.9])
    assert as_quenched(carbon).value == pytest.approx(
        [as_quenched(float(one)).value for one in carbon]
    )
