"""What a forge burns: as weighed, by its jets, or as usual; and what it cannot burn."""

import math

import numpy as np
import pytest

from billets.physics.equipment import Forge
from billets.physics.errors import PlanError
from billets.physics.gas_rate import burner_flow, jet_flags, metered, rate_source
from billets.physics.jets import air_pressure, jet_flow

HOUR, BAR = 3600.0, 1e5
JETS = {"jets": 2, "jet_bore": 0.9e-3, "gas_pressure": 0.6 * BAR}


def test_the_scale_counts_before_the_jets():
    forge = metered(Forge(**JETS), 1.3 / HOUR)
    assert (forge.gas_rate, rate_source(forge)) == (1.3 / HOUR, "weighed")


def test_jets_count_where_nothing_was_weighed():
    forge = metered(Forge(**JETS), None)
    assert forge.gas_rate == pytest.approx(2 * jet_flow(0.9e-3, 0.6 * BAR))
    assert rate_source(forge) == "jets"


@pytest.mark.parametrize("unknown", ["jet_bore", "gas_pressure"])
def test_without_bore_or_pressure_the_usual_figure_holds(unknown):
    """Common practice, no source: a forge of two burners takes 1.5 kg/h."""
    forge = metered(Forge(**JETS | {unknown: None}), None)
    assert forge.gas_rate == pytest.approx(1.5 / HOUR)
    assert rate_source(forge) == "usual"


def test_twice_the_jets_burn_twice_the_gas():
    one, two = (burner_flow(Forge(**JETS | {"jets": count})) for count in (1, 2))
    assert two == pytest.approx(2 * one)


def test_jets_know_the_height_and_the_air_of_the_shop():
    """Law: the flow goes with one over the root of the temperature."""
    high = burner_flow(Forge(**JETS, altitude=1000.0))
    assert high == pytest.approx(
        2 * jet_flow(0.9e-3, 0.6 * BAR, ambient=air_pressure(1000.0))
    )
    cold = burner_flow(Forge(**JETS, air_temperature=263.15))
    assert cold / burner_flow(Forge(**JETS)) == pytest.approx(
        math.sqrt(288.15 / 263.15)
    )


def test_weighings_may_be_drawn():
    rates = np.array([1.0, 1.6]) / HOUR
    assert metered(Forge(), rates).gas_rate is rates


def test_a_forge_may_burn_no_gas_at_all():
    assert metered(Forge(**JETS), 0.0).gas_rate == 0.0


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"jets": 0}, "jets"), ({"jets": 900}, "jets"),
        ({"jet_bore": 0.0}, "jet_bore"), ({"jet_bore": -1e-3}, "jet_bore"),
        ({"jet_bore": 0.025}, "jet_bore"), ({"jet_bore": math.nan}, "jet_bore"),
        ({"gas_pressure": 0.0}, "gas_pressure"),
        ({"gas_pressure": 2e6}, "gas_pressure"),
        ({"jet_discharge": 1.2}, "jet_discharge"),
        ({"jet_discharge": 0.0}, "jet_discharge"),
        ({"altitude": 20_000.0}, "altitude"),
    ],
)  # fmt: skip
def test_a_jet_that_cannot_be_is_refused(told, field):
    with pytest.raises(PlanError) as refused:
        metered(Forge(**JETS | told), None)
    assert refused.value.field == field
    assert refused.value.message.format_map({"field": field, **refused.value.values})


@pytest.mark.parametrize("rate", [-1.0, 1e-4, 4000.0, math.nan, math.inf])
def test_a_rate_no_scale_shows_is_refused(rate):
    with pytest.raises(PlanError) as refused:
        metered(Forge(), rate / HOUR)
    assert refused.value.field == "gas_rate"


@pytest.mark.parametrize("bar", [0.1, 3.0])
def test_outside_its_pressures_the_flow_is_told_to_be_a_guess(bar):
    forge = metered(Forge(**JETS | {"gas_pressure": bar * BAR}), None)
    (flag,) = jet_flags(forge)
    assert flag.field == "gas_pressure"
    assert flag.message.format(**flag.values)


def test_nothing_is_said_of_jets_that_do_not_count():
    assert jet_flags(metered(Forge(**JETS), None)) == ()
    odd = Forge(**JETS | {"gas_pressure": 3 * BAR})
    assert jet_flags(metered(odd, 1.2 / HOUR)) == ()
