"""What a bottle holds, how long it lasts and how fast it gives gas."""

import inspect
import math
import re

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from billets.physics import bottle_use
from billets.physics.bottles import (
    bottle_seconds,
    cautious_limits,
    check_bottle,
    weighed_rate,
)
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.equipment import Forge
from billets.physics.errors import PlanError
from billets.physics.evaporation import (
    NORMAL_BOILING,
    boiling_point,
    chart_limit,
    coldest_liquid,
    physical_limit,
    pressure_share,
    stored_vapour,
)
from billets.physics.jets import SEA_LEVEL

BAR, HOUR, POUND = 1e5, 3600.0, 0.45359237
BTU_PER_POUND = 21_591


def celsius(value):
    return value + ZERO_CELSIUS


def fahrenheit(value):
    return (value - 32) / 1.8 + ZERO_CELSIUS


# --- how long ------------------------------------------------------------------------

LASTING = {
    5.0: (5.0, 3.0, 2.0), 11.0: (11.0, 6.6, 4.5), 33.0: (33.0, 19.8, 13.5),
    20 * POUND: (9.1, 5.4, 3.7), 30 * POUND: (13.6, 8.2, 5.6),
    100 * POUND: (45.4, 27.2, 18.6),
}  # fmt: skip


@pytest.mark.parametrize(
    ("content", "rate", "hours"),
    [
        (content, rate, hours)
        for content, row in LASTING.items()
        for rate, hours in zip((0.9, 1.5, 2.2), row, strict=True)
    ],
)
def test_hours_of_a_bottle(content, rate, hours):
    """Common practice, no source: nine tenths of it are used."""
    found = bottle_seconds(content, rate / HOUR) / HOUR
    assert found == pytest.approx(hours, abs=0.051)


def test_weighing_gives_back_what_was_burnt():
    """Round trip: a bottle weighed before and after, and the time in between."""
    rate = weighed_rate(21.4, 19.3, 1.5 * HOUR)
    assert HOUR * rate == pytest.approx(1.4)
    assert bottle_seconds(2.1 / 0.9, rate) == pytest.approx(1.5 * HOUR)


@pytest.mark.parametrize(
    ("before", "after", "seconds", "field"),
    [
        (19.0, 21.0, HOUR, "after"), (19.0, 19.0, HOUR, "after"),
        (19.0, math.nan, HOUR, "after"), (21.0, 19.0, 0.0, "lit"),
    ],
)  # fmt: skip
def test_weighings_that_cannot_be_are_refused(before, after, seconds, field):
    with pytest.raises(PlanError) as refused:
        weighed_rate(before, after, seconds)
    assert refused.value.field == field


# --- the trade's cautious limits -----------------------------------------------------


@pytest.mark.parametrize(
    ("bottle", "limits"),
    [(5, (0.2, 0.5, 1.0)), (11, (0.3, 0.8, 1.5)), (33, (0.6, 1.8, 3.0))],
)
def test_limits_of_the_german_trade(bottle, limits):
    """A glossary of the gas trade, common practice: kg/h for good, half, 20 minutes."""
    found = cautious_limits(float(bottle))
    assert [
        HOUR * one for one in (found.uninterrupted, found.half_the_time, found.bursts)
    ] == pytest.approx(limits)


def test_bottles_between_and_beside_the_table_stay_cautious():
    """Limiting behaviour: between its neighbours, in proportion below, kept above."""
    sizes = np.array([0.0, 2.5, 5.0, 8.0, 11.0, 22.0, 33.0, 50.0])
    limit = HOUR * cautious_limits(sizes).uninterrupted
    assert limit == pytest.approx([0, 0.1, 0.2, 0.25, 0.3, 0.45, 0.6, 0.6])


# --- boiling -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "bar", [0.8, 0.95, 1.2, 1.7, 2.3, 2.8, 3.5, 4.4, 5.7, 7.3, 8.0]
)
def test_propane_boils_where_a_library_says(bar):
    """CoolProp, at pressures between the points of the table too."""
    library = PropsSI("T", "P", bar * BAR, "Q", 0, "Propane")
    assert boiling_point(bar * BAR) == pytest.approx(library, abs=0.1)


@pytest.mark.parametrize(
    ("bar", "cold"),
    [(0.0, -36.1), (0.2, -32.6), (0.5, -28.0), (1.0, -21.5), (1.5, -16.0),
     (2.0, -11.2), (2.5, -7.0)],
)  # fmt: skip
def test_liquid_that_still_presses_enough(bar, cold):
    """CoolProp, 0.3 bar lost on the way to the burner (common practice, no source)."""
    assert coldest_liquid(bar * BAR) == pytest.approx(celsius(cold), abs=0.15)


@pytest.mark.parametrize("pressure", [0.1 * BAR, 20 * BAR, math.nan])
def test_boiling_is_not_told_beyond_the_curve(pressure):
    with pytest.raises(PlanError) as refused:
        boiling_point(pressure)
    assert refused.value.field == "gas_pressure"


# --- the chart -----------------------------------------------------------------------

AIRS = (0, 20, 40, 60, 70)
CHART = {
    100: (113, 167, 214, 277, 300), 70: (83, 122, 160, 199, 214),
    50: (64, 94, 125, 154, 167), 30: (45, 66, 85, 107, 118), 10: (28, 38, 49, 60, 66),
}  # fmt: skip


@pytest.mark.parametrize(
    ("left", "air", "printed"),
    [
        (left, air, printed)
        for left, row in CHART.items()
        for air, printed in zip(AIRS, row, strict=True)
    ],
)
def test_lines_through_the_chart_of_a_cylinder(left, air, printed):
    """A data sheet of the gas trade, common practice: thousand BTU/h of 100 lb."""
    limit = HOUR * chart_limit(fahrenheit(air), left / 100)
    assert limit == pytest.approx(1e3 * printed * POUND / BTU_PER_POUND, rel=0.03)


def test_cylinder_half_full_at_sixty_degrees():
    """A data sheet of the gas trade, common practice: 154 000 BTU/h, 3.24 kg/h."""
    limit = HOUR * chart_limit(fahrenheit(60), 0.5)
    assert pytest.approx(3.24, abs=0.01) == 154_000 * POUND / BTU_PER_POUND
    assert limit == pytest.approx(3.24, rel=0.01)


@pytest.mark.parametrize("left", [0.3, 0.5, 0.7, 1.0])
def test_cylinder_gives_nothing_where_propane_no_longer_boils(left):
    """CoolProp: it boils at -42.1 °C; the chart's rows end within 2 K of that."""
    assert pytest.approx(PropsSI("T", "P", 101325, "Q", 0, "Propane"), abs=0.02) == (
        NORMAL_BOILING
    )
    assert chart_limit(NORMAL_BOILING + 2.0, left) > 0.0
    assert chart_limit(NORMAL_BOILING - 2.0, left) == 0.0


def test_fuller_bottles_and_milder_air_give_more():
    """Limiting behaviour; an empty bottle gives nothing."""
    left, airs = np.linspace(0, 1, 21), celsius(np.linspace(-35, 21, 15))
    for air in airs:
        assert np.all(np.diff(chart_limit(air, left)) > 0)
    for one in left[1:]:
        assert np.all(np.diff(chart_limit(airs, one)) > 0)
    assert chart_limit(celsius(15), 0.0) == 0.0


@pytest.mark.parametrize(
    ("air", "bar", "share"),
    [
        (air, bar, share)
        for air, row in (
            (15, (0.75, 0.64, 0.54, 0.46)), (0, (0.67, 0.51, 0.38, 0.27)),
        )
        for bar, share in zip((0.5, 1.0, 1.5, 2.0), row, strict=True)
    ],
)  # fmt: skip
def test_pinned_share_of_the_chart_that_pressure_leaves(air, bar, share):
    """Pinned, on the boiling curve of CoolProp."""
    assert pressure_share(celsius(air), bar * BAR) == pytest.approx(share, abs=0.006)


def test_no_pressure_is_left_in_air_that_is_too_cold():
    """Limiting case: below the boiling of what the burner needs nothing comes."""
    assert pressure_share(celsius(-30), 1.0 * BAR) == 0.0
    assert pressure_share(celsius(-45), 0.2 * BAR) == 0.0
    assert physical_limit(11.0, 1.0, celsius(-30), 1.0 * BAR) == 0.0


def test_the_charts_own_bottle_is_the_chart_less_the_pressure():
    air = celsius(15)
    limit = physical_limit(45.36, 0.5, air, 0.5 * BAR)
    assert limit == pytest.approx(
        chart_limit(air, 0.5) * pressure_share(air, 0.5 * BAR)
    )


def test_wall_of_a_bottle_grows_with_two_thirds_of_its_content():
    """Geometry: bottles of one shape; eight times the gas, four times the wall."""
    small, big = (physical_limit(one, 0.5, celsius(10), BAR) for one in (5.0, 40.0))
    assert big == pytest.approx(4 * small)


@pytest.mark.parametrize("bottle", [5.0, 11.0, 33.0])
def test_the_trade_is_more_cautious_than_physics(bottle):
    """Common practice, no source: three to five times, here two to five."""
    physics = physical_limit(bottle, 0.5, celsius(15), 0.5 * BAR)
    assert 2 < physics / cautious_limits(bottle).uninterrupted < 5


def test_liquid_gives_gas_by_cooling():
    """CoolProp: 16.5 kg from 15 to -10 °C yield 2.7 kg, 63.1 over 388 kJ/kg."""
    warm, cold = (PropsSI("H", "T", celsius(t), "Q", 0, "Propane") for t in (15, -10))
    heat = PropsSI("H", "T", celsius(-10), "Q", 1, "Propane") - cold
    assert (warm - cold, heat) == pytest.approx((63.1e3, 388e3), rel=2e-3)
    found = stored_vapour(16.5, celsius(15), celsius(-10))
    assert found == pytest.approx(16.5 * (warm - cold) / heat, rel=2e-3)
    assert found == pytest.approx(2.7, abs=0.05)
    assert stored_vapour(16.5, celsius(-20), celsius(-10)) == 0.0


@given(
    bottle=st.floats(1.0, 90.0), left=st.floats(0.0, 1.0), air=st.floats(-40.0, 50.0),
    bar=st.floats(0.01, 6.0), height=st.floats(0.6, 1.0),
)  # fmt: skip
def test_a_bottle_gives_a_number_whatever_is_asked(bottle, left, air, bar, height):
    limit = physical_limit(bottle, left, celsius(air), bar * BAR, height * SEA_LEVEL)
    assert 0.0 <= limit < 100 / HOUR


# --- nonsense ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"bottle": 0.0}, "bottle"), ({"bottle": -11.0}, "bottle"),
        ({"bottle": 11_000.0}, "bottle"), ({"bottle": math.nan}, "bottle"),
        ({"bottles": 0}, "bottles"), ({"bottles": 400}, "bottles"),
        ({"air_temperature": 15.0}, "air_temperature"),
        ({"air_temperature": celsius(90)}, "air_temperature"),
        ({"air_temperature": math.nan}, "air_temperature"),
    ],
)  # fmt: skip
def test_bottle_that_cannot_be_is_refused(told, field):
    with pytest.raises(PlanError) as refused:
        check_bottle(Forge(**{"bottle": 11.0} | told))
    assert refused.value.field == field
    assert refused.value.message.format(**refused.value.values)


def test_a_forge_may_have_no_bottle():
    check_bottle(Forge())


def test_no_sentence_of_a_bottle_says_to_warm_it():
    """Safety: more bottles, pauses and milder air; heat only to be warned against."""
    said = inspect.getsource(bottle_use).lower()
    assert "never heat a" in said
    said = re.sub(r"never heat a", "", " ".join(said.split()))
    assert not re.search(
        r"heat (a|the|it)\b|warm (a|the|it|up)\b|water|blanket|thaw", said
    )
