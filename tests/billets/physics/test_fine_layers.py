"""Chains that end with more layers than can be seen."""

import pytest

from billets.physics.equipment import Forge
from billets.physics.figure_flags import pattern_flags_of
from billets.physics.plan import PlanInput, run_plan
from billets.physics.steps import Cut, Draw, Weld
from billets.physics.verdict import Target
from tests.billets.physics.plans import MM, alternating


def many(pieces):
    steps = (
        Draw(width=45 * MM, thickness=12 * MM), Cut(pieces=pieces), Weld(),
        Draw(width=45 * MM, thickness=12 * MM), Cut(pieces=pieces), Weld(),
        Draw(width=45 * MM, thickness=5 * MM),
    )  # fmt: skip
    forge = Forge(door_height=0.5)
    stack = alternating(50, 1500, 50, 60)
    return run_plan(PlanInput(stack=stack, steps=(Weld(), *steps), forge=forge))


def test_above_two_thousand_layers_the_number_and_a_way_out_are_told():
    """Common practice, no source."""
    result = many(7)
    (flag,) = pattern_flags_of(result, ())
    assert flag.values["count"] == result.layers == 50 * 7 * 7
    assert flag.values["most"] == 2000
    assert "leave out a restack" in flag.message
    knife = Target(label="one", needed=0.2, spine=3 * MM)
    (at_spine,) = pattern_flags_of(result, (knife,))
    assert at_spine.values["layer"] == pytest.approx(3 * MM / result.distinct)
    assert not pattern_flags_of(many(6), ())
