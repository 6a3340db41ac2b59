"""What a job file may tell of burners and bottles."""

import pytest

from tests.quotes.estimates import JOB, as_json, run
from tests.quotes.test_estimate_refusals import refused

__all__ = ["as_json", "run"]

EQUIPMENT = JOB + "[equipment]\n"


def gas(as_json, lines):
    return as_json(EQUIPMENT + lines)["plan"]["gas_kg"]


def test_jets_burn_what_the_table_of_jets_says(as_json):
    """Pinned table of jets: 1.0 mm lets through 1.317 kg/h at 1 bar, 0.969 at 0.5."""
    choked = gas(as_json, 'jet_bore = "1 mm"\ngas_pressure = "1 bar"\n')
    gentle = gas(as_json, 'jet_bore = "1 mm"\ngas_pressure = "0.5 bar"\n')
    assert choked / gentle == pytest.approx(1.317 / 0.969, rel=3e-3)
    usual = gas(as_json, 'preheat = "20 min"\n')
    assert choked / usual == pytest.approx(1.317 / 1.5, rel=3e-3)


def test_two_burners_burn_twice_as_much(as_json):
    one = 'jet_bore = "0.9 mm"\ngas_pressure = "7 psi"\n'
    assert gas(as_json, f"{one}jets = 2\n") == pytest.approx(2 * gas(as_json, one))


def test_what_was_weighed_counts_before_the_jets(as_json):
    jets = 'jet_bore = "1 mm"\ngas_pressure = "1 bar"\n'
    weighed = 'gas_rate = "1.2 kg/h"\n'
    assert gas(as_json, jets + weighed) == gas(as_json, weighed)


def test_thin_air_feeds_a_jet_less(as_json):
    jets = 'jet_bore = "1 mm"\ngas_pressure = "1 bar"\n'
    assert gas(as_json, f'{jets}altitude = "1200 m"\n') < gas(as_json, jets)


@pytest.mark.parametrize(
    ("lines", "key"),
    [
        ('jet_bore = "25 mm"\ngas_pressure = "1 bar"', "equipment.jet_bore"),
        ('jet_bore = "1"', "equipment.jet_bore"),
        ('gas_pressure = "30 bar"', "equipment.gas_pressure"),
        ("jets = 0", "equipment.jets"), ("jets = 200", "equipment.jets"),
        ('jet_discharge = "1.7"', "equipment.jet_discharge"),
        ('bottle = "0 kg"', "equipment.bottle"), ("bottles = 0", "equipment.bottles"),
        ('air_temperature = "120 °C"', "equipment.air_temperature"),
        ('gas_rate = "900 kg/h"', "equipment.gas_rate"),
        ('jet_bore = "1 mm"\ngas_pressure = "1 bar"\naltitude = "9000 m"',
         "equipment.altitude"),
    ],
)  # fmt: skip
def test_gas_that_cannot_be_is_refused_with_its_key(run, lines, key):
    refused(run, f"{EQUIPMENT}{lines}\n", key)
