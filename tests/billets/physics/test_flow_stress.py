"""How hard hot steel resists, against printed figures and plain laws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import PlanError
from billets.physics.flow_stress import (
    hensel_spittel,
    in_range,
    misaka,
    shida,
    shida_limit,
)

MEGA = 1e6


def celsius(value):
    return value + ZERO_CELSIUS


@pytest.mark.parametrize(
    ("hot", "printed"), [(1150, 61.90), (1050, 82.81), (1000, 97.30), (950, 115.7)]
)
def test_shida_as_published(hot, printed):
    """Shida, J. JSTP 9 (1968) and 10 (1969), through an open transcription."""
    found = shida(0.8, 0.2, 1.0, celsius(hot)) / MEGA
    assert found == pytest.approx(printed, rel=1e-3)


def test_misaka_as_published():
    """Misaka and Yoshimoto, J. JSTP 8 (1967), through an open transcription."""
    found = misaka(0.8, 0.3, 1.0, celsius(1100)) / MEGA
    assert found == pytest.approx(83.08, rel=1e-3)


def test_hensel_and_spittel_as_published():
    """Landolt-Boernstein VIII/2; Hensel and Spittel 1978, an open transcription."""
    found = hensel_spittel(0.3, 1.0, celsius(1100)) / MEGA
    assert found == pytest.approx(78.00, rel=1e-3)


@pytest.mark.parametrize(
    ("hot", "low", "middle", "high"),
    [
        (900, 153.8, 146.6, 142.2),
        (1000, 107.1, 102.2, 99.3),
        (1100, 78.3, 74.9, 72.8),
        (1200, 59.5, 57.0, 55.4),
    ],
)
def test_pinned_shida_by_carbon(hot, low, middle, high):
    found = [shida(c, 0.3, 1.0, celsius(hot)) / MEGA for c in (0.45, 0.8, 1.0)]
    assert found == pytest.approx([low, middle, high], abs=0.06)


def test_three_laws_lie_within_a_fifth_of_one_another():
    """Against measured points of C45 the three agree within 20 %: a plain comparison
    of published laws with one another (sources as above)."""
    for hot in (900, 1000, 1100, 1200):
        three = [
            shida(0.45, 0.3, 1.0, celsius(hot)),
            misaka(0.45, 0.3, 1.0, celsius(hot)),
            hensel_spittel(0.3, 1.0, celsius(hot)),
        ]
        assert max(three) / min(three) < 1.25


@pytest.mark.parametrize(("carbon", "printed"), [(0.45, 788), (0.8, 753), (1.0, 742)])
def test_below_its_limit_shida_is_refused(carbon, printed):
    """Shida 1968: the law has another form below; limits as transcribed."""
    assert shida_limit(carbon) == pytest.approx(celsius(printed), abs=1.0)
    with pytest.raises(PlanError) as refused:
        shida(carbon, 0.2, 1.0, celsius(printed - 5))
    assert refused.value.field == "temperature"


hot_steel = st.floats(celsius(900), celsius(1190))


@given(hot_steel, st.floats(0.5, 1.1), st.floats(0.05, 0.5), st.floats(0.3, 20.0))
def test_hotter_steel_is_softer_and_faster_work_harder(hot, carbon, strain, rate):
    now = shida(carbon, strain, rate, hot)
    assert shida(carbon, strain, rate, hot + 10.0) < now
    assert shida(carbon, strain, 1.5 * rate, hot) > now


def test_draws_give_what_single_values_give():
    rates = np.array([0.3, 1.0, 4.0])
    one_by_one = [shida(0.8, 0.2, float(rate), celsius(1100)) for rate in rates]
    assert shida(0.8, 0.2, rates, celsius(1100)) == pytest.approx(one_by_one)


def test_it_says_where_it_was_not_measured():
    assert in_range("shida", 0.8, 0.2, 1.0, celsius(1150))
    assert not in_range("shida", 0.8, 0.2, 1.0, celsius(1250))
    assert not in_range("misaka", 0.8, 0.2, 1.0, celsius(1100))


@pytest.mark.parametrize(("strain", "rate"), [(0.0, 1.0), (0.2, 0.0), (-0.1, 1.0)])
def test_work_that_is_none_is_refused(strain, rate):
    with pytest.raises(PlanError):
        shida(0.8, strain, rate, celsius(1100))
