"""What a plan asks of the gas and of the bottles."""

import math

import numpy as np
import pytest

from billets.physics.bottle_use import bottle_flags, bottle_report, carried_time
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.energy import plan_energy
from billets.physics.equipment import Forge
from billets.physics.errors import PlanError
from billets.physics.factors import Factors
from billets.physics.gas_rate import metered
from billets.physics.gas_use import gas_report
from billets.physics.plan import run_plan
from tests.billets.physics.plans import HOUR, worked_case

BAR = 1e5


def celsius(value):
    return value + ZERO_CELSIUS


def report(*, weighed=None, factors=None, **told):
    plan = worked_case(
        forge=metered(Forge(**told), weighed), factors=factors or Factors()
    )
    result = run_plan(plan)
    return gas_report(plan.forge, result, plan_energy(plan.steps, result)), result


def fields_of(flags, level="amber"):
    return [flag.field for flag in flags if flag.level == level]


def test_gas_of_a_plan_is_its_time_at_its_rate():
    """Conservation: what is burnt an hour, for as long as the forge is lit."""
    found, result = report(weighed=1.2 / HOUR)
    assert found.gas == pytest.approx(result.forge_seconds * 1.2 / HOUR)
    assert found.rate == pytest.approx(1.2 / HOUR)
    assert (found.source, found.lit) == ("weighed", result.forge_seconds)
    assert found.gas < found.carbon_dioxide < 3 * found.gas


def test_a_shop_that_has_told_nothing_gets_the_usual_figure():
    found, _result = report()
    assert (found.source, found.bottle, found.flags) == ("usual", None, ())
    assert 0.01 < found.steel_share < 0.10


def test_what_the_shop_learned_of_its_gas_counts():
    found, _result = report(factors=Factors(gas=0.8))
    assert found.rate == pytest.approx(0.8 * 1.5 / HOUR)


def test_bottles_side_by_side_hold_and_give_twice_as_much():
    (one, _), (two, _) = (report(bottle=11.0, bottles=count) for count in (1, 2))
    assert two.bottle.used == pytest.approx(one.bottle.used / 2)
    for name in ("lasting", "full", "half"):
        assert getattr(two.bottle, name) == pytest.approx(2 * getattr(one.bottle, name))
    for name in ("uninterrupted", "half_the_time", "bursts"):
        limits = (getattr(found.bottle.cautious, name) for found in (one, two))
        assert math.isclose(
            *(limit * by for limit, by in zip(limits, (2, 1), strict=True))
        )


def test_bottle_smaller_than_one_session_is_told():
    found, _result = report(bottle=3.0)
    flag = found.flags[0]
    assert (flag.field, flag.level) == ("bottle", "amber")
    assert flag.values["planned_gas"] > flag.values["usable_gas"] == pytest.approx(2.7)
    needed = flag.values["needed"]
    assert 0.9 * 3.0 * (needed - 1) < found.gas <= 0.9 * 3.0 * needed


def test_one_small_bottle_freezes_and_two_do_not():
    (one, result), (two, _) = (report(bottle=11.0, bottles=count) for count in (1, 2))
    assert one.bottle.carried < result.forge_seconds < two.bottle.carried
    assert fields_of(one.flags) == ["bottle"]
    assert one.flags[0].values["needed"] == 2
    assert fields_of(two.flags) == []
    (note,) = two.flags
    assert note.level == "note"
    assert note.values["drawn_rate"] > note.values["cautious_rate"]


def test_number_of_bottles_it_names_is_enough():
    """Round trip: with as many coupled as it says, nothing is left to warn of."""
    found, _result = report(bottle=11.0, air_temperature=celsius(0))
    needed = found.flags[0].values["needed"]
    more, _result = report(bottle=11.0, bottles=needed, air_temperature=celsius(0))
    assert fields_of(more.flags) == []


def test_a_thrifty_forge_on_a_big_bottle_is_not_warned_at_all():
    found, _result = report(bottle=33.0, weighed=0.5 / HOUR)
    assert {flag.field for flag in found.flags} <= {"gas_rate"}  # of the steel's heat
    assert found.bottle.carried == math.inf


def test_in_frost_gas_no_longer_presses():
    found, _result = report(bottle=11.0, air_temperature=celsius(-30))
    assert fields_of(found.flags) == ["air_temperature"]
    assert fields_of(found.flags, "note") == ["air_temperature"]  # beside the chart
    assert "Never heat a bottle" in found.flags[0].message


def test_more_pressure_needs_a_warmer_bottle():
    low, high = (
        report(bottle=11.0, gas_pressure=bar * BAR, weighed=1.5 / HOUR)[0].bottle
        for bar in (0.3, 2.0)
    )
    assert low.half > high.half
    assert low.carried > high.carried


def test_energy_of_a_plan_is_looked_at_too():
    found, _result = report(weighed=20.0 / HOUR)
    assert "gas_rate" in fields_of(found.flags, "note")


def test_jets_beyond_their_range_are_told():
    found, _result = report(jet_bore=0.6e-3, gas_pressure=3 * BAR)
    assert found.source == "jets"
    assert "gas_pressure" in fields_of(found.flags)


def test_every_sentence_has_its_values():
    for told in (
        {"bottle": 3.0}, {"bottle": 11.0}, {"bottle": 11.0, "bottles": 2},
        {"bottle": 11.0, "air_temperature": celsius(-30)},
        {"bottle": 33.0, "air_temperature": celsius(35)},
    ):  # fmt: skip
        for flag in report(**told)[0].flags:
            assert flag.message.format(**flag.values)


def test_nonsense_is_refused():
    with pytest.raises(PlanError):
        report(bottle=-1.0)


def test_a_forge_without_gas_needs_no_bottle():
    found, _result = report(bottle=11.0, weighed=0.0)
    assert found.bottle is None
    assert found.flags == ()


def test_more_work_never_leaves_a_bottle_longer():
    """Monotony: more gas burnt, sooner frozen."""
    forge, gas = Forge(bottle=11.0), np.linspace(0.5, 9.0, 30)
    assert np.all(np.diff(carried_time(forge, gas, 1.5 / HOUR, 1)) <= 0)
    rates = np.linspace(0.9, 3.0, 30) / HOUR
    assert np.all(np.diff(carried_time(forge, 2.0, rates, 1)) < 0)


def test_draws_are_plain_plans_one_by_one():
    factors = Factors(heating_time=np.array([0.7, 1.0, 1.6]))
    told = {"bottle": 11.0, "bottles": 2}
    sampled, _result = report(factors=factors, **told)
    for number, slow in enumerate(factors.heating_time):
        plain, _result = report(factors=Factors(heating_time=float(slow)), **told)
        assert sampled.gas[number] == pytest.approx(plain.gas)
        for name in ("used", "lasting", "carried"):
            found = getattr(sampled.bottle, name)
            each = np.broadcast_to(found, (3,))[number]
            assert each == pytest.approx(getattr(plain.bottle, name))


def test_a_session_is_judged_without_a_plan():
    forge = Forge(bottle=11.0, bottles=1)
    short, long = (
        bottle_report(forge, 1.5 * hours, hours * HOUR) for hours in (0.25, 6.0)
    )
    assert "amber" not in {flag.level for flag in bottle_flags(short, forge)}
    assert "amber" in {flag.level for flag in bottle_flags(long, forge)}
