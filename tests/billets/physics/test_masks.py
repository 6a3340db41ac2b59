"""Steps that only some draws of a batch take."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.errors import PlanError
from billets.physics.factors import PRIORS, Factors, sample
from billets.physics.masks import CAUSES, check_masks
from billets.physics.plan import PlanInput, run_plan
from billets.physics.rules import RULES
from billets.physics.steps import Core, Cut, Draw, Fold, Grind, Trim, Weld
from tests.billets.physics.plans import DARK, MM, Tool, alternating

STACK = alternating(11, 260, 36, 34)

CYCLES = (
    (
        Weld(),
        Draw(width=36 * MM, thickness=11 * MM),
        Trim(),
        Grind(),
        Cut(pieces=3),
        Fold(),
    ),
    (
        Weld(heats=2),
        Draw(width=36 * MM, thickness=15.5 * MM),
        Trim(per_end=4 * MM),
        Grind(face=0.4 * MM),
        Cut(pieces=2),
        Fold(),
    ),
)
END = (Weld(), Draw(width=38 * MM, thickness=5 * MM))
STEPS = (*CYCLES[0], *CYCLES[1], *END)

MEASURED = (
    "clean_mass", "clean_length", "clean_width", "clean_thickness", "start_mass",
    "heats", "heating_seconds", "working_seconds", "forge_seconds", "attended_seconds",
    "gas", "retained",
)  # fmt: skip

ways = st.lists(
    st.lists(st.sampled_from(["cut", "fold"]), max_size=2), min_size=2, max_size=7
)
"""For each draw how its cycles end; none, one or two of them."""


def masks(ends):
    """Which draws take each step, for the cycles each of them has."""
    on = []
    for cycle in range(2):
        taken = np.array([len(one) > cycle for one in ends])
        cut = np.array([len(one) > cycle and one[cycle] == "cut" for one in ends])
        on += [taken] * 4 + [cut, taken & ~cut]
    return (*on, True, True)


def plain_steps(ends):
    steps = []
    for cycle, end in enumerate(ends):
        whole = CYCLES[cycle]
        steps += [*whole[:4], whole[4] if end == "cut" else whole[5]]
    return (*steps, *END)


def of_draw(factors, draw):
    values = {one.name: getattr(factors, one.name) for one in fields(Factors)}
    return Factors(
        **{
            name: float(value[draw]) if isinstance(value, np.ndarray) else value
            for name, value in values.items()
        }
    )


@given(ways, st.integers(0, 999), st.sampled_from([None, 0.2e6, 0.9e6]))
def test_each_draw_of_a_batch_is_its_own_plan(ends, seed, force):
    """Law: what a draw comes to does not depend on what lies beside it."""
    factors = sample(PRIORS, np.random.default_rng(seed), len(ends))
    tool = Tool(force=force)
    batch = run_plan(
        PlanInput(stack=STACK, steps=STEPS, factors=factors, tool=tool, on=masks(ends))
    )
    for draw, one in enumerate(ends):
        try:
            plain = run_plan(
                PlanInput(
                    stack=STACK,
                    steps=plain_steps(one),
                    factors=of_draw(factors, draw),
                    tool=tool,
                )
            )
        except PlanError:
            assert batch.used_up[draw]
            assert batch.clean_mass[draw] == 0.0
            continue
        for name in MEASURED:
            assert getattr(batch, name)[draw] == pytest.approx(
                getattr(plain, name), rel=1e-9
            ), name


@given(ways, st.integers(0, 999))
def test_steel_of_a_batch_is_what_is_left_and_what_was_lost(ends, seed):
    """Law: mass is conserved over every step, masked or not."""
    factors = sample(PRIORS, np.random.default_rng(seed), len(ends))
    batch = run_plan(
        PlanInput(stack=STACK, steps=STEPS, factors=factors, on=masks(ends))
    )
    before = batch.steps[0].mass
    for step in batch.steps[1:]:
        np.testing.assert_allclose(before - step.lost, step.mass, atol=1e-12)
        before = step.mass


@given(ways)
def test_step_that_is_off_leaves_everything_alone(ends):
    batch = run_plan(PlanInput(stack=STACK, steps=STEPS, on=masks(ends)))
    for number, on in enumerate(masks(ends), start=1):
        step, before = batch.steps[number], batch.steps[number - 1]
        off = ~np.broadcast_to(on, len(ends))
        for name in ("mass", "length", "width", "thickness"):
            np.testing.assert_array_equal(
                getattr(step, name)[off], getattr(before, name)[off]
            )
        for name in ("lost", "heats", "heating_seconds", "working_seconds"):
            assert not getattr(step, name)[off].any()


def test_pieces_may_differ_from_draw_to_draw():
    pieces = np.array([2, 3, 5])
    steps = (*CYCLES[0][:4], Cut(pieces=pieces), *END)
    on = tuple(np.array([True] * 3) for _step in steps)
    batch = run_plan(PlanInput(stack=STACK, steps=steps, on=on))
    for draw, count in enumerate(pieces):
        plain = run_plan(
            PlanInput(stack=STACK, steps=(*CYCLES[0][:4], Cut(pieces=int(count)), *END))
        )
        assert batch.clean_mass[draw] == pytest.approx(plain.clean_mass, rel=1e-12)


def test_what_cannot_be_done_uses_up_only_those_who_do_it():
    thickness = np.array([11.0, 90.0, 12.0]) * MM
    steps = (Weld(), Draw(width=36 * MM, thickness=thickness), *END)
    on = (True, np.array([True, True, False]), True, True)
    batch = run_plan(PlanInput(stack=STACK, steps=steps, on=on))
    assert batch.used_up.tolist() == [False, True, False]
    lone = replace(steps[1], thickness=90 * MM)
    only = (True, np.array([False, True, False]), True, True)
    alone = run_plan(PlanInput(stack=STACK, steps=(steps[0], lone, *END), on=only))
    assert alone.used_up.tolist() == [False, True, False]
    assert alone.steps[2].lost[1] == alone.steps[1].mass[1]


def test_plan_whose_steps_are_all_on_is_that_plan():
    steps = plain_steps(["cut", "fold"])
    plan = PlanInput(stack=STACK, steps=steps)
    masked, plain = run_plan(replace(plan, on=(True,) * len(steps))), run_plan(plan)
    assert all(getattr(masked, name) == getattr(plain, name) for name in MEASURED)
    assert (plain.layers, masked.layers) == (66, 0)  # a batch counts none
    off = run_plan(replace(plan, on=(*(False,) * (len(steps) - 2), True, True)))
    two = run_plan(replace(plan, steps=END))
    assert off.clean_mass == pytest.approx(two.clean_mass, rel=1e-12)


@pytest.mark.parametrize(
    ("on", "said"),
    [
        ((True, np.array([True, False]), True, True, True), "loose after a cut"),
        ((np.array([True, False]), True, False, True, True), "loose until it is"),
        ((True, True, True, np.array([True, False]), False), "ends with loose"),
        ((True,) * 4, "for each of its steps"),
    ],
)
def test_order_of_every_draw_is_checked(on, said):
    steps = (
        Weld(),
        Cut(pieces=2),
        Grind() if said == "loose after a cut" else Weld(),
        Cut(pieces=2) if said == "ends with loose" else Weld(),
        Weld(),
    )
    with pytest.raises(PlanError, match=said):
        check_masks(steps, on)


def test_core_is_laid_into_all_billets_or_none():
    core = Core(steel=DARK, thickness=4 * MM)
    with pytest.raises(PlanError, match="every billet"):
        check_masks((Weld(), core, Weld()), (True, np.array([True, False]), True))
    check_masks((Weld(), core, Weld()), (True, np.array([True, True]), True))


def test_every_step_that_is_not_drawing_says_what_it_is_lost_to():
    assert set(RULES) - {"draw"} == set(CAUSES)


@pytest.mark.parametrize("strain", [0.09, 0.35])
def test_draws_that_take_long_are_worked_alone_and_come_out_the_same(strain):
    """Law: with very many draws, too, each is the plan it would be by itself."""
    factors = sample(PRIORS, np.random.default_rng(3), 600)
    plan = PlanInput(
        stack=STACK, steps=plain_steps(["cut"]), tool=Tool(kind="hand", strain=strain)
    )
    many = run_plan(replace(plan, factors=factors))
    slow = np.argsort(many.heats)
    for draw in (*slow[:3], *slow[298:302], *slow[-4:]):
        plain = run_plan(replace(plan, factors=of_draw(factors, draw)))
        for name in MEASURED:
            assert getattr(many, name)[draw] == pytest.approx(
                getattr(plain, name), rel=1e-9
            ), name
