"""Safety lines: few, short enough to be read, each with its ground."""

import pytest

from quotes.sheets.cautions import ANY, CAUTIONS, HOT, MOST, cautions_for
from shop import stages

LINE = 66
"""Signs that fit on one line of a sheet at 14 pt."""


@pytest.mark.parametrize("stage", stages.bench())
def test_every_stage_at_the_bench_has_some_and_at_most_three(stage):
    assert 1 <= len(cautions_for(stage)) <= MOST == 3


@pytest.mark.parametrize("stage", stages.bench())
def test_lines_of_the_stage_come_before_general_ones(stage):
    own = [stage in caution.stages for caution in cautions_for(stage, most=99)]
    assert own == sorted(own, reverse=True)


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda one: one.hazard)
def test_line_is_short_and_rests_on_something(caution):
    assert len(caution.line) <= LINE
    assert caution.line.endswith(".")
    assert caution.ground
    assert set(caution.stages) <= {*stages.bench(), ANY}


def test_gas_and_fire_are_the_first_things_said_where_something_burns():
    """Carbon monoxide has killed smiths beside a gas forge (common practice)."""
    for stage in HOT:
        assert cautions_for(stage)[0].hazard == "carbon monoxide"


def test_quench_stage_warns_of_fire_and_of_water_in_oil():
    """Water under hot oil boils it over (a heat-treating trade institute)."""
    hazards = {one.hazard for one in cautions_for("harden")}
    assert {"quench fire", "water in oil"} <= hazards


def test_a_hazard_is_told_once():
    hazards = [one.hazard for one in CAUTIONS]
    assert len(hazards) == len(set(hazards))
