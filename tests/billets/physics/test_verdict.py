"""A verdict never says two things at once."""

from dataclasses import replace

import numpy as np
import pytest

from billets.physics.factors import PRIORS
from billets.physics.plan import run_plan
from billets.physics.uncertainty import sampled_input
from billets.physics.verdict import Target, verdict
from tests.billets.physics.plans import worked_case

RESULT = run_plan(sampled_input(worked_case(), PRIORS, 3, 400))
SORTED = np.sort(RESULT.clean_mass)


@pytest.mark.parametrize("chance", [0.5, 0.8, 0.85, 0.9, 0.99])
@pytest.mark.parametrize("short", [-1, 0, 1])
def test_enough_is_to_have_something_to_spare(chance, short):
    """Just as many draws as asked for, one fewer and one more."""
    place = round(len(SORTED) * (1 - chance)) + short
    needed = float(SORTED[place])
    found = verdict(RESULT, [Target(label="knife", needed=needed)], chance)
    assert found.chance == pytest.approx(1 - place / len(SORTED))
    assert found.enough == (short <= 0)
    assert found.enough == (found.spare >= 0)
    assert found.failing == (() if found.enough else ("mass",))


def test_bar_that_fails_in_all_together_is_short_in_the_tightest():
    """Nine draws in ten have the mass, eight the length, seven both."""
    draws = np.arange(10)
    result = replace(
        run_plan(sampled_input(worked_case(), PRIORS, 3, 10)),
        clean_mass=np.where(draws == 0, 0.1, 1.0),
        clean_length=np.where(draws >= 8, 0.1, 1.0),
    )
    target = Target(label="knife", needed=0.5, length=0.5)
    found = verdict(result, [target], 0.8)
    assert (found.chance, found.enough) == (0.7, False)
    assert found.failing == ("length",)
