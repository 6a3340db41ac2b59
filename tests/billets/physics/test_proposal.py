"""Stacks proposed for a wish: what is shown is what a plan of it comes to."""

from dataclasses import fields, replace

import numpy as np
import pytest

from billets.physics.batch import Forging, batch_plan, one_plan
from billets.physics.candidates import bar_thickness, enumerated
from billets.physics.constants import ZERO_CELSIUS
from billets.physics.equipment import Forge, Tool
from billets.physics.errors import PlanError
from billets.physics.even_draws import even_draws
from billets.physics.factors import PRIORS, Factors, medians
from billets.physics.layers import layer_thickness
from billets.physics.lengths import chance_with, with_length
from billets.physics.plan import run_plan
from billets.physics.proposal import ROWS, propose, welding_heat
from billets.physics.sifting import LEAST_PIECE, REASONS
from billets.physics.steps import WELDING_HEAT
from billets.physics.uncertainty import sample_plan, sampled_input
from billets.physics.verdict import length_needed, mass_needed, verdict
from tests.billets.physics.stocks import (
    BRIGHT,
    COSTS,
    DARK,
    GREY,
    MM,
    knife,
    means,
    wish,
)  # fmt: skip

SEED = 421
KNIVES = (knife(), knife("santoku", needed=0.24, thickness=4.1 * MM, spine=2.6 * MM))


def asked(a_wish=None, shop=None, knives=KNIVES, costs=COSTS, seed=SEED):
    return propose(a_wish or wish(), shop or means(), knives, PRIORS, costs, seed=seed)


@pytest.fixture(scope="module")
def proposals():
    return asked()


@pytest.fixture(scope="module")
def sure():
    return asked(wish(chance=0.9))


# --- one computation -----------------------------------------------------------------


@pytest.mark.parametrize("tool", [Tool(), Tool(force=0.12e6)])
def test_row_of_a_batch_is_the_same_plan_run_by_itself(tool):
    """Law: one chain of losses, whether a plan goes through it alone or among many."""
    shop = means(tool=tool)
    chains = enumerated(wish(30, 90), shop, KNIVES).chains
    chains = chains.of(np.arange(0, len(chains), len(chains) // 60))
    forging = Forging(means=shop, welding=WELDING_HEAT, thickness=bar_thickness(KNIVES))
    drawn = even_draws(PRIORS, 3, 4)
    lengths = np.linspace(0.22, 0.4, len(chains))
    batch = run_plan(batch_plan(chains, lengths, forging, drawn))
    for place in range(len(chains)):
        for draw in range(4):
            factors = Factors(
                **{one.name: float(getattr(drawn, one.name)[draw])
                   for one in fields(Factors)}
            )  # fmt: skip
            length = float(lengths[place])
            try:
                plain = run_plan(one_plan(chains, place, length, forging, factors))
            except PlanError:
                assert batch.used_up[4 * place + draw]
                continue
            for name in (
                "start_mass", "clean_mass", "clean_length", "heats", "gas",
                "attended_seconds",
            ):  # fmt: skip
                assert getattr(batch, name)[4 * place + draw] == pytest.approx(
                    getattr(plain, name), rel=1e-9
                ), name
    assert not batch.used_up.all()


def test_rows_show_what_their_plans_come_to(proposals):
    for row in proposals.rows:
        plain = run_plan(row.plan)
        assert (row.start_mass, row.heats, row.gas, row.seconds) == (
            plain.start_mass, plain.heats, plain.gas, plain.attended_seconds
        )  # fmt: skip
        sampled = sample_plan(row.plan, PRIORS, SEED)
        assert row.chance == verdict(sampled.result, KNIVES).chance
        assert row.bands == sampled.totals
        assert verdict(plain, KNIVES).failing == ()


def test_layers_shown_are_those_of_the_sequence(proposals):
    """The batch counts by a recurrence, the plan layer by layer."""
    for row in proposals.rows:
        plain = run_plan(row.plan)
        assert (row.layers, row.distinct) == (plain.layers, plain.distinct)
        assert 120 <= row.distinct <= 220
        # The blade is ground from the blank: its layers are as thick as the blank's.
        thinnest = min(one.thickness for one in KNIVES)
        assert row.layer_thickness == layer_thickness(thinnest, plain.left)
        assert len(row.order) == len(row.plan.stack.layers)
        for letter, layer in zip(row.order, row.plan.stack.layers, strict=True):
            bar = row.bars["ABC".index(letter)]
            assert (bar.steel, bar.thickness) == (layer.steel, layer.thickness)


def test_costs_are_steel_gas_and_hours_and_the_risk(proposals):
    for row in proposals.rows:
        drawn = sample_plan(row.plan, PRIORS, SEED).result
        length = row.plan.stack.length
        steel = sum(
            length * bar.thickness * bar.width * bar.steel.density
            * COSTS.steel[bar.steel.key] * row.order.count("ABC"[place])
            for place, bar in enumerate(row.bars)
        )  # fmt: skip
        hours = np.mean(drawn.attended_seconds) / 3600.0
        made = steel + COSTS.gas * np.mean(drawn.gas) + COSTS.hour * hours
        assert row.making == pytest.approx(made)
        assert row.cost == pytest.approx(made * (2.0 - row.chance))


# --- the list ------------------------------------------------------------------------


def test_all_that_was_looked_at_is_kept_or_counted(proposals):
    found = proposals
    assert found.considered >= 2000
    assert found.considered == found.kept + sum(found.dropped.values())
    assert set(found.dropped) == set(REASONS)
    assert len(found.rows) == ROWS
    assert found.seed == SEED


def test_cheapest_stands_first_and_alternatives_follow(proposals):
    costs = [row.cost for row in proposals.rows]
    assert costs == sorted(costs)
    families = {(row.distinct, row.welds) for row in proposals.rows}
    assert len(families) == len(proposals.rows)
    assert len({row.welds for row in proposals.rows}) > 1


def test_stacks_can_be_laid_cut_and_heated(proposals):
    for row in proposals.rows:
        stack, forge = row.plan.stack, Forge()
        assert stack.length >= 1.5 * stack.thickness
        assert stack.length <= 1.0
        assert round(stack.length / MM) == pytest.approx(stack.length / MM)
        assert all(stack.width <= bar.width for bar in row.bars)
        for step in run_plan(row.plan).steps:
            if step.kind in ("cut", "fold"):
                assert step.length >= max(1.5 * step.thickness, LEAST_PIECE)
            assert min(step.width, step.thickness) <= forge.door_height
        assert not [one for one in run_plan(row.plan).flags if one.level == "red"]


def test_chance_asked_for_is_kept(sure):
    assert all(row.chance >= 0.9 for row in sure.rows)


def test_cheapest_length_is_cheaper_than_its_neighbours(proposals):
    """Law: at the least of a sum nothing near it is less (within one draw's worth)."""
    row = proposals.rows[0]
    steel_and_work = row.making / row.plan.stack.length
    for by in (-8 * MM, 8 * MM):
        other = with_length(row.plan, row.plan.stack.length + by)
        drawn = sample_plan(other, PRIORS, SEED).result
        chance = verdict(drawn, KNIVES).chance
        made = row.making + by * _slope(row)
        assert made * (2.0 - chance) >= row.cost - 1e-3 * steel_and_work


def _slope(row):
    """What a metre of stack more costs in steel; gas and hours hardly change."""
    return sum(
        bar.thickness * bar.width * bar.steel.density * COSTS.steel[bar.steel.key]
        * row.order.count("ABC"[place])
        for place, bar in enumerate(row.bars)
    )  # fmt: skip


def test_more_steel_never_lowers_the_chance(proposals):
    for row in proposals.rows[:4]:
        sampled = sampled_input(row.plan, PRIORS, SEED, 500)
        chances = [
            chance_with(with_length(sampled, row.plan.stack.length * by), KNIVES)
            for by in (0.8, 0.95, 1.0, 1.1, 1.5)
        ]
        assert chances == sorted(chances)


def test_more_to_lose_never_makes_the_same_chain_shorter():
    def lengths(short):
        rows = asked(costs=replace(COSTS, short=short)).rows
        return {(row.order, row.plan.steps, row.bars): row.plan.stack.length
                for row in rows}  # fmt: skip

    before = lengths(60.0)
    for short in (400.0, 2500.0):
        after = lengths(short)
        common = set(before) & set(after)
        assert common
        assert all(after[chain] >= before[chain] for chain in common)
        before = after


def test_knives_in_another_order_change_nothing(proposals):
    again = asked(knives=KNIVES[::-1])
    assert [row.plan for row in again.rows] == [row.plan for row in proposals.rows]
    assert [row.cost for row in again.rows] == [row.cost for row in proposals.rows]


def test_same_seed_gives_the_same_list_and_another_nearly(proposals):
    assert [row.cost for row in asked().rows] == [row.cost for row in proposals.rows]
    other = asked(seed=SEED + 1).rows[0]
    assert other.cost == pytest.approx(proposals.rows[0].cost, rel=0.03)


def test_length_of_bar_is_asked_for_too():
    flat = knife(length=0.35)
    row = asked(wish(chance=0.8), knives=(flat,)).rows[0]
    drawn = run_plan(sampled_input(row.plan, PRIORS, SEED, 4000))
    assert np.mean(drawn.clean_length >= length_needed([flat])) >= 0.8
    assert np.mean(drawn.clean_mass >= mass_needed([flat])) >= 0.8


def test_three_steels_are_laid_in_turn():
    found = asked(wish(40, 90), means(DARK, BRIGHT, GREY))
    assert found.rows
    assert all(set(row.order) == set("ABC") for row in found.rows)


# --- equipment -----------------------------------------------------------------------


def test_smaller_press_costs_more():
    """Fact of the trade: less force, more heats, more hours (no source)."""
    big, small = (
        asked(shop=means(tool=Tool(force=force))).rows[0] for force in (0.25e6, 0.06e6)
    )
    assert small.heats > big.heats
    assert small.cost > big.cost


def test_press_that_moves_nothing_is_counted():
    found = asked(shop=means(tool=Tool(force=4e3)))
    assert found.rows == ()
    assert found.dropped["tool"] == found.considered - found.dropped["layers"]


def test_hammer_and_hand_need_no_force():
    hand = asked(wish(20, 60), means(tool=Tool(kind="hand", strain=0.12)))
    assert hand.rows[0].heats > asked(wish(20, 60)).rows[0].heats


def test_steel_that_burns_early_is_welded_colder():
    """Below the red limit of its carbon, solidus less 100 K; common practice."""
    eager = replace(DARK, carbon=1.25)
    assert welding_heat(DARK) == WELDING_HEAT
    assert welding_heat(eager) == pytest.approx(1200.0 + ZERO_CELSIUS)
    assert welding_heat(replace(DARK, carbon=1.8)) is None
    shop = means()
    hard = replace(
        shop,
        bars=tuple(
            replace(bar, steel=replace(bar.steel, carbon=1.8))
            if bar.steel == DARK else bar
            for bar in shop.bars
        ),
    )  # fmt: skip
    found = asked(shop=hard)
    assert found.rows == ()
    assert found.dropped["hot"] == found.considered - found.dropped["layers"]


def test_short_bars_give_short_stacks():
    found = asked(shop=means(length=0.15))
    assert all(row.plan.stack.length <= 0.15 for row in found.rows)
    assert found.dropped["long"] > 0


# --- bad input -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"knives": ()}, "knives"),
        ({"a_wish": wish(300, 100)}, "layers_high"),
        ({"a_wish": wish(chance=1.5)}, "chance"),
        ({"shop": means(DARK)}, "steels"),
        ({"costs": replace(COSTS, gas=-1.0)}, "gas"),
        ({"costs": replace(COSTS, short=-5.0)}, "short"),
        ({"costs": replace(COSTS, steel={"dark": 7.0})}, "steel"),
        ({"shop": means(forge=Forge(wall_temperature=1400.0))}, "forge"),
        ({"shop": means(tool=Tool(force=0.0))}, "tool"),
    ],
)
def test_what_cannot_be_meant_is_refused(changes, field):
    with pytest.raises(PlanError) as told:
        asked(**changes)
    assert told.value.field == field


def test_nothing_left_is_no_error():
    found = asked(wish(2, 2))
    assert found.rows == ()
    assert found.kept == 0


def test_medians_are_the_plain_plan(proposals):
    assert proposals.rows[0].plan.factors == medians(PRIORS)
