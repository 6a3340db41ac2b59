"""The command that holds the model against the world says its misses too."""

import io
import re

import pytest
from django.core.management import call_command

from billets.management.commands.check_model import verdict_of
from billets.physics.measured import check_measured, summarise
from billets.physics.reported import ReportedRun


@pytest.fixture(scope="module")
def printed():
    out = io.StringIO()
    call_command("check_model", stdout=out)
    return out.getvalue()


def test_twelve_knives_stand_beside_the_model(printed):
    rows = re.findall(r"^P\d+ +\w+ +\d+ g +[\d.]+ g +-?[\d.]+%", printed, re.MULTILINE)
    assert len(rows) == 12


def test_weighed_knives_are_met_within_the_figures_to_reach(printed):
    """Common practice, no source: makers' weights; 7 % on average, 21 % at worst."""
    found = summarise(check_measured())
    assert found.mean_absolute <= 0.07
    assert abs(found.worst) <= 0.21
    for figure in (f"{found.mean_absolute:.1%}", f"worst {found.worst:+.1%}"):
        assert figure in printed


def test_command_says_that_it_was_tuned(printed):
    """The grind was set on P2 to P9; what was not seen is told apart."""
    knives = check_measured()
    assert [one.key for one in knives if one.seen == "grind"] == [
        f"P{number}" for number in range(2, 10)
    ]
    fresh = summarise([one for one in knives if not one.seen])
    assert f"{fresh.mean_absolute:.1%}" in printed
    assert "flatters the model" in printed


def test_told_losses_stand_beside_the_model_with_the_miss(printed):
    assert "a plausibility test, not a validation" in printed
    for words in ("too pessimistic by 0.07 to 0.28", "too optimistic by", "consistent"):
        assert words in printed
    assert printed.count("  told  ") == 5


@pytest.mark.parametrize(
    ("misses", "words"),
    [((0.0, 0.0), "consistent"), ((-0.2, -0.1), "too pessimistic by 0.10 to 0.20"),
     ((0.05, 0.05), "too optimistic by 0.05"), ((0.0, 0.1), "too optimistic by"),
     ((-0.1, 0.0), "too pessimistic by")],
)  # fmt: skip
def test_verdict_in_words(misses, words):
    low, high = misses
    run = ReportedRun(
        label="", welds=3, low=0.4, high=0.5, miss_low=low, miss_high=high
    )
    assert verdict_of(run).startswith(words)
