"""Grinding, cutting and the first word."""

import pytest

from billets.physics.errors import PlanError
from billets.physics.losses import (
    ground_area,
    ground_share,
    kerf_volume,
    retained_by_welds,
    trimmed_volume,
)
from tests.billets.physics.plans import MM


def test_grinding_a_bar():
    """Arithmetic: 0.5 off faces and 0.2 off edges of 40 x 9.5, 531.3 long."""
    share = ground_share(40 * MM, 9.5 * MM, 0.5 * MM, 0.2 * MM)
    area = ground_area(40 * MM, 9.5 * MM, 0.5 * MM, 0.2 * MM)
    assert share == pytest.approx(0.1142, rel=1e-3)
    assert 7850 * 531.3 * MM * area == pytest.approx(0.1810, rel=1e-3)


def test_kerf_of_five_pieces():
    """Arithmetic: four cuts of 1.6 through 39.6 x 8.5."""
    volume = kerf_volume(39.6 * MM, 8.5 * MM, 1.6 * MM, 5)
    assert 7850 * volume == pytest.approx(0.01691, rel=1e-3)


def test_trimming_both_ends():
    """Arithmetic: 10 off each end of 40 x 9.5."""
    volume = trimmed_volume(40 * MM, 9.5 * MM, 10 * MM)
    assert 7850 * volume == pytest.approx(0.05966, rel=1e-3)


def test_sword_billet_ground_clean():
    """Maker's report, common practice, no source: 3.2 kg ground to 2.8 kg, 50 x 9."""
    share = ground_share(50 * MM, 9 * MM, 0.485 * MM, 0.485 * MM)
    assert share == pytest.approx(1 - 2.8 / 3.2, abs=0.002)


@pytest.mark.parametrize(
    ("welds", "low", "middle", "high"),
    [(1, 0.718, 0.833, 0.966), (3, 0.370, 0.577, 0.902), (5, 0.190, 0.400, 0.842)],
)
def test_pinned_first_word(welds, low, middle, high):
    """Pinned: the fallback by number of welds."""
    word = retained_by_welds(welds)
    assert (word.low, word.middle, word.high) == pytest.approx(
        (low, middle, high), abs=1e-3
    )


@pytest.mark.parametrize("welds", [0, 9])
def test_no_first_word_without_welds(welds):
    with pytest.raises(PlanError) as refused:
        retained_by_welds(welds)
    assert refused.value.field == "welds"
