"""Where steel starts to melt."""

import pytest

from billets.physics.burning import amber_limit, red_limit, solidus
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.errors import PlanError


@pytest.mark.parametrize(
    ("carbon", "melts", "amber", "red"),
    [
        (0.80, 1382, 1232, 1282),
        (0.95, 1355, 1205, 1255),
        (1.10, 1328, 1178, 1228),
    ],
)
def test_solidus_and_limits(carbon, melts, amber, red):
    """Points of the iron-carbon diagram, quoted from memory; limits common practice."""
    limits = [solidus(carbon), amber_limit(carbon), red_limit(carbon)]
    celsius = [one - ZERO_CELSIUS for one in limits]
    assert celsius == pytest.approx([melts, amber, red], abs=1)


def test_ends_of_the_line():
    """Iron-carbon diagram, quoted from memory: 1495 °C at 0.17, 1147 °C at 2.11 %."""
    assert solidus(0.17) - ZERO_CELSIUS == pytest.approx(1495)
    assert solidus(2.11) - ZERO_CELSIUS == pytest.approx(1147, abs=0.1)


def test_steel_with_hardly_any_carbon_is_not_extrapolated():
    """Below the line's start its first point holds; nickel and soft iron."""
    assert solidus(0.0) == solidus(0.05) == solidus(0.17)


@pytest.mark.parametrize("carbon", [-0.1, 3.0, float("nan")])
def test_no_such_steel(carbon):
    with pytest.raises(PlanError) as refused:
        solidus(carbon)
    assert refused.value.field == "steel"
