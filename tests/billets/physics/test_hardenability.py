"""How deep steel hardens: what it can, and what a section needs."""

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros

from billets.physics.errors import PlanError
from billets.physics.hardenability import (
    SEVERITIES,
    hardening_ratio,
    required_diameter,
    severity_of,
)
from billets.physics.ideal_diameter import CLAMPS, INCH, ideal_diameter
from tests.billets.physics.steels import grade, grades, plain

MM = 0.001
UNDERATED = {  # all carbon dissolved, nothing taken off for carbide [mm]
    "1084": 32.79, "15n20": 43.45, "90mncrv8": 174.0, "1095": 22.34, "5160": 83.59,
    "52100": 87.94, "o1": 116.8, "l6": 181.4, "w2": 28.72, "45nicrmo16": 351.6,
    "55nicrmov7": 368.9,
}  # fmt: skip
NEEDED = {  # plates of 2 to 6 mm: half martensite in the middle, exact series [mm]
    2: {0.25: 26.65, 0.35: 22.58, 0.50: 18.95, 0.70: 16.09, 1.0: 13.55, 5.0: 6.56},
    3: {0.25: 32.73, 0.35: 27.76, 0.50: 23.34, 0.70: 19.85, 1.0: 16.77, 5.0: 8.39},
    4: {0.25: 37.90, 0.35: 32.17, 0.50: 27.09, 0.70: 23.10, 1.0: 19.57, 5.0: 10.09},
    5: {0.25: 42.49, 0.35: 36.11, 0.50: 30.46, 0.70: 26.01, 1.0: 22.10, 5.0: 11.71},
    6: {0.25: 46.68, 0.35: 39.71, 0.50: 33.54, 0.70: 28.70, 1.0: 24.46, 5.0: 13.28},
}
CELLS = [(plate, severity) for plate, row in NEEDED.items() for severity in row]


# --- what the steel can ----------------------------------------------------------


def test_published_example_of_the_standard():
    """ASTM A255-10, by way of a handbook: SAE 4118 modified, 1.95 in."""
    steel = plain(
        0.22,
        manganese=0.80,
        silicon=0.18,
        nickel=0.10,
        chromium=0.43,
        molybdenum=0.25,
        copper=0.10,
        vanadium=0.05,
    )
    assert ideal_diameter(steel).value / INCH == pytest.approx(1.95, abs=0.03)


@pytest.mark.parametrize("key", UNDERATED)
def test_pinned_ideal_diameter_of_each_steel(key):
    """Computed from the factors of ASTM A255-10; just below the derating's carbon."""
    steel = grade(key)
    found = ideal_diameter(steel, min(steel.carbon, 0.89999)).value
    assert found / MM == pytest.approx(UNDERATED[key], rel=3e-4)


def test_pinned_derated_1095():
    """Computed: factors of ASTM A255-10 with residuals, times 0.65."""
    found = ideal_diameter(grade("1095"))
    assert found.derated
    assert found.value / MM == pytest.approx(18.6, abs=0.05)


def test_pinned_derated_silver_steel():
    """Computed: factors of ASTM A255-10 with residuals, times 0.65."""
    found = ideal_diameter(grade("115crv3"))
    assert found.derated
    assert found.value / MM == pytest.approx(36.4, abs=0.05)


@pytest.mark.parametrize("key", ["o1", "90mncrv8", "52100", "1084", "15n20"])
def test_derating_is_for_plain_steel_with_much_carbon_only(key):
    assert not ideal_diameter(grade(key)).derated


def test_certificate_counts_instead_of_the_residual_copper():
    steel = grade("1095")
    for copper, factor in ((0.0, 1.0), (0.20, 1.073)):
        known = ideal_diameter(grade("1095", copper=copper)).value
        assert known / ideal_diameter(steel).value == pytest.approx(factor / 1.0365)


def test_content_beyond_the_end_of_a_factor_is_clamped_and_flagged():
    """ASTM A255-10: manganese ends at 1.95 %, nickel at 3.5 %."""
    much = ideal_diameter(grade("90mncrv8"))
    assert much.value == ideal_diameter(grade("90mncrv8", manganese=1.95)).value
    (flag,) = [one for one in much.flags if one.level == "amber"]
    assert (flag.values["element"], flag.values["limit"]) == ("manganese", 1.95)


def test_carbon_outside_the_method_is_noted_with_its_range():
    (flag,) = [
        one
        for one in ideal_diameter(grade("1084")).flags
        if one.values["element"] == "carbon"
    ]
    assert flag.level == "note"
    assert (flag.values["low"], flag.values["high"]) == (0.10, 0.70)


@given(
    st.sampled_from(sorted(set(CLAMPS) - {"carbon"})),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.0),
)
def test_more_of_an_element_never_hardens_shallower(element, first, second):
    less, more = (share * 1.2 * CLAMPS[element] for share in sorted((first, second)))
    shallow, deep = (
        ideal_diameter(plain(0.6, **{element: content})).value
        for content in (less, more)
    )
    assert shallow <= deep * (1 + 1e-9)


@given(st.floats(0.1, 0.89), st.floats(0.0, 0.5))
def test_more_carbon_never_hardens_shallower_until_carbide_stays(carbon, more):
    deeper = min(carbon + more, 0.899)
    assume(deeper >= carbon)
    shallow, deep = (ideal_diameter(plain(one)).value for one in (carbon, deeper))
    # The printed factors of neighbouring ranges meet to half a per cent only.
    assert shallow <= deep * 1.006


def test_nickel_foil_has_no_depth_of_hardening():
    with pytest.raises(PlanError):
        ideal_diameter(grade("nickel"))


# --- what a section needs --------------------------------------------------------


@pytest.mark.parametrize(("plate", "severity"), CELLS)
def test_pinned_required_diameter_of_plates(plate, severity):
    """Computed from the exact series; the closed form meets it to 0.3 %."""
    found = required_diameter(plate * MM, severity / INCH) / MM
    assert found == pytest.approx(NEEDED[plate][severity], rel=0.003)


@cache
def half_time(shape, biot):
    """Fourier number at which the middle has lost half its heat, by exact series.

    Carslaw and Jaeger, Conduction of Heat in Solids: slab and cylinder that lose heat
    at the surface; an endless biot number is a surface at the temperature of the bath.
    """
    if shape == "plate":
        roots = [
            brentq(lambda z: z * np.tan(z) - biot, n * np.pi, (n + 0.5) * np.pi - 1e-12)
            for n in range(30)
        ]
        terms = [4 * np.sin(z) / (2 * z + np.sin(2 * z)) for z in roots]
    elif np.isinf(biot):
        roots = jn_zeros(0, 30)
        terms = [2 / (z * j1(z)) for z in roots]
    else:
        ends = [0.0, *jn_zeros(1, 30)]
        roots = [
            brentq(lambda z: z * j1(z) - biot * j0(z), low + 1e-12, high)
            for low, high in pairwise(ends)
        ]
        terms = [2 * j1(z) / (z * (j0(z) ** 2 + j1(z) ** 2)) for z in roots]
    roots, terms = np.array(roots), np.array(terms)
    return brentq(lambda f: np.sum(terms * np.exp(-(roots**2) * f)) - 0.5, 0.05, 1000.0)


def exact_diameter(size, severity, shape):
    """The bar that, in a perfect quench, loses half its heat in the same time."""
    biot = severity * size  # severity is h/2k, and half the size counts
    return size * np.sqrt(half_time(shape, biot) / half_time("bar", np.inf))


@pytest.mark.parametrize("severity", [0.25, 0.5, 1.0, 5.0])
@pytest.mark.parametrize("plate", [2, 4, 8])
def test_closed_form_for_plates_meets_the_exact_series(plate, severity):
    """Exact series of conduction: Carslaw and Jaeger, Conduction of Heat in Solids."""
    size = plate * MM
    assert required_diameter(size, severity / INCH) == pytest.approx(
        exact_diameter(size, severity / INCH, "plate"), rel=0.003
    )


@pytest.mark.parametrize("severity", [0.25, 0.5, 1.0, 5.0])
@pytest.mark.parametrize("bar", [5, 15, 30])
def test_closed_form_for_bars_meets_the_exact_series(bar, severity):
    """Exact series of conduction: Carslaw and Jaeger, Conduction of Heat in Solids."""
    size = bar * MM
    assert required_diameter(size, severity / INCH, "bar") == pytest.approx(
        exact_diameter(size, severity / INCH, "bar"), rel=0.02
    )


@given(st.floats(0.001, 0.03), st.floats(5.0, 200.0), st.floats(1.01, 3.0))
def test_thicker_needs_more_and_a_faster_quench_less(thickness, severity, more):
    needed = required_diameter(thickness, severity)
    assert required_diameter(thickness * more, severity) > needed
    assert required_diameter(thickness, severity * more) < needed
    assert needed > thickness


@given(st.floats(0.001, 0.03), st.floats(5.0, 200.0))
def test_same_shape_twice_the_size_in_half_the_quench_needs_twice(thickness, severity):
    """Severity is one over a length: all lengths scale together."""
    assert required_diameter(2 * thickness, severity / 2) == pytest.approx(
        2 * required_diameter(thickness, severity)
    )


# --- verdict ---------------------------------------------------------------------


def test_silver_steel_bar_of_30_mm_does_not_harden_through_in_oil():
    """Common practice, no source: a laboratory's bar stayed at 400 HV in oil."""
    found = hardening_ratio(
        grade("115crv3"), None, 0.030, severity_of("oil"), shape="bar"
    )
    assert found.ratio < 1.0
    assert found.verdict == "edge"


@pytest.mark.parametrize(
    ("key", "severity", "verdict"),
    [
        ("1095", 0.50, "edge"),
        ("1095", 0.70, "edge"),
        ("1084", 0.36, "partly"),
        ("15n20", 0.28, "partly"),
        ("o1", 0.28, "through"),
        ("l6", 0.28, "through"),
        ("90mncrv8", 0.28, "through"),
    ],
)
def test_blade_of_4_mm_in_oil(key, severity, verdict):
    """Common practice, no source: 1095 is too shallow for oil at 4 mm, O1 is not."""
    assert hardening_ratio(grade(key), None, 0.004, severity / INCH).verdict == verdict


@pytest.mark.parametrize("quench", ["water", "fast_oil", "oil", "air"])
def test_every_quench_class_has_a_severity(quench):
    """Grossmann and Bain, quoted from memory: still water 0.9 to 1.0 per inch."""
    assert severity_of(quench) == SEVERITIES[quench]
    assert 0.9 <= severity_of("water") * INCH <= 1.0


def test_quenches_stand_in_their_order():
    found = [severity_of(one) for one in ("water", "fast_oil", "oil", "air")]
    assert found == sorted(found, reverse=True)
    assert {one.quench for one in grades().values() if one.hardens} <= set(SEVERITIES)


REFUSED = {
    "no thickness": lambda: required_diameter(0.0, 20.0),
    "no quench": lambda: required_diameter(0.004, 0.0),
    "no such shape": lambda: required_diameter(0.004, 20.0, "ball"),
    "no such quench": lambda: severity_of("none"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_quenched_is_refused(case):
    with pytest.raises(PlanError):
        REFUSED[case]()


def test_draws_give_what_each_gives_alone():
    steel = grade("1095")
    carbon, thickness = np.array([0.38, 0.7, 0.82, 0.95]), np.full(4, 0.004)
    found = hardening_ratio(steel, carbon, thickness, severity_of("fast_oil"))
    alone = [
        hardening_ratio(steel, float(one), 0.004, severity_of("fast_oil")).ratio
        for one in carbon
    ]
    assert found.ratio == pytest.approx(alone)
