"""How much of the gas ends up as heat in the steel."""

from dataclasses import replace

import numpy as np
import pytest

from billets.physics.constants import ZERO_CELSIUS
from billets.physics.energy import (
    PROPANE_HEAT,
    PlanEnergy,
    energy_flags,
    fuel_heat,
    heat_taken,
    plan_energy,
)
from billets.physics.equipment import Forge
from billets.physics.factors import Factors
from billets.physics.plan import PlanInput, run_plan
from billets.physics.steps import Draw, Fold, Grind, Weld
from tests.billets.physics.plans import HOUR, MM, alternating, worked_case


def celsius(value):
    return value + ZERO_CELSIUS


@pytest.mark.parametrize(
    ("start", "end", "kilojoules"), [(20, 1200, 827), (850, 1150, 196)]
)
def test_heat_of_steel_by_the_standard(start, end, kilojoules):
    """EN 1993-1-2, 3.4.1.2, quoted from memory: kilojoules for each kilogram."""
    taken = heat_taken(1.0, celsius(start), celsius(end))
    assert taken == pytest.approx(kilojoules * 1e3, rel=5e-3)


def test_one_full_heat_and_twenty_reheats_of_a_billet():
    """EN 1993-1-2 for the steel, property tables for propane; from memory.

    1.2 kg once from cold and 20 times again take 5.70 MJ; three hours at 1.5 kg of
    propane give 208.5 MJ, so that the steel holds 2.7 % of it.
    """
    steel = heat_taken(1.2, celsius(20), celsius(1200))
    steel += 20 * heat_taken(1.2, celsius(850), celsius(1150))
    fuel = fuel_heat(3 * 1.5)
    assert steel == pytest.approx(5.70e6, rel=2e-3)
    assert fuel == pytest.approx(208.5e6, rel=1e-3)
    assert steel / fuel == pytest.approx(0.027, abs=5e-4)


def test_heating_value_of_propane_lies_between_the_tables():
    """Engineering tables, common practice: 45.99 to 47.3 MJ/kg net."""
    assert 45.99e6 < PROPANE_HEAT < 47.3e6


def share(plan):
    energy = plan_energy(plan.steps, run_plan(plan))
    return energy.steel / energy.fuel


def test_a_usual_plan_puts_a_usual_share_into_the_steel():
    """Common practice, no source: one to ten per cent of the heat burnt."""
    plan = worked_case()
    assert 0.01 <= share(plan) <= 0.10
    assert energy_flags(plan_energy(plan.steps, run_plan(plan))) == ()


def test_every_heat_is_counted_from_where_it_starts():
    """Conservation: cold starts from 20 °C, heats in a row from 850 °C."""
    steps = (Weld(heats=2), Draw(width=40 * MM, thickness=30 * MM, seconds=0.0))
    stack = alternating(9, 150, 40, 38)
    result = run_plan(PlanInput(stack=stack, steps=steps))
    welded, drawn = result.steps[1], result.steps[2]
    weld_mass = (result.start_mass + welded.mass) / 2
    draw_mass = (welded.mass + drawn.mass) / 2
    expected = (
        heat_taken(weld_mass, celsius(20), celsius(1230))
        + heat_taken(weld_mass, celsius(850), celsius(1230))
        + drawn.heats * heat_taken(draw_mass, celsius(850), celsius(1150))
    )
    assert plan_energy(steps, result).steel == pytest.approx(expected)


@pytest.mark.parametrize(
    ("between", "cold"), [(Fold(), False), (Grind(face=0.0, edge=0.0), True)]
)
def test_bench_work_lets_the_bar_go_cold_and_a_fold_does_not(between, cold):
    draw = Draw(width=40 * MM, thickness=18 * MM)
    steps = (Weld(), draw, between, Weld(heats=1))
    result = run_plan(PlanInput(stack=alternating(9, 150, 40, 38), steps=steps))
    to_here = plan_energy(steps[:3], result).steel
    last = plan_energy(steps, result).steel - to_here
    mass = (result.steps[3].mass + result.steps[4].mass) / 2
    start = celsius(20 if cold else 850)
    assert last == pytest.approx(heat_taken(mass, start, celsius(1230)))


@pytest.mark.parametrize("rate", [0.05, 60.0])
def test_unlikely_share_is_noted(rate):
    plan = replace(worked_case(), forge=Forge(gas_rate=rate / HOUR))
    (flag,) = energy_flags(plan_energy(plan.steps, run_plan(plan)))
    assert (flag.level, flag.field) == ("note", "gas_rate")
    assert flag.message.format(**flag.values)


def test_no_gas_is_nothing_to_look_at():
    assert energy_flags(PlanEnergy(steel=5e6, fuel=0.0)) == ()


def test_draws_are_plain_plans_one_by_one():
    factors = Factors(scale_strength=np.array([0.5, 0.8, 1.3]))
    plan = worked_case(factors=factors)
    sampled = plan_energy(plan.steps, run_plan(plan)).steel
    for strength, taken in zip(factors.scale_strength, sampled, strict=True):
        one = worked_case(factors=Factors(scale_strength=float(strength)))
        assert plan_energy(one.steps, run_plan(one)).steel == pytest.approx(taken)
