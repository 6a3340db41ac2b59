"""The way of a knife and of an order: one table, no shortcut, every refusal said.

The stages, their gates and exits are the shop's own; the share of the hours in each
is a fact of the trade (common practice, no source).
"""

from decimal import Decimal

import pytest

from shop import stages
from shop.stages import StageError

WAY = ("forge", "grind", "harden", "finish", "handle", "sharpen", "delivered")


def test_a_knife_walks_the_way_from_acceptance_to_delivery():
    here, walked = stages.NOT_STARTED, []
    while to := stages.next_stage(here):
        stages.check_move(here, to, gate_passed=True)
        walked.append(to)
        here = to
    assert tuple(walked) == WAY


def test_choices_hold_every_stage_and_every_exit_once():
    keys = [key for key, label in stages.stage_choices()]
    assert keys == [*WAY, "scrapped", "cancelled"]
    assert all(label for key, label in stages.stage_choices())


def test_every_stage_at_the_bench_has_hours_and_a_gate():
    assert stages.bench() == WAY[:-1]
    assert all(stages.gate_of(key) for key in stages.bench())
    assert stages.gate_of("delivered") == stages.gate_of("nowhere") == ()


@pytest.mark.parametrize("here", [*WAY, "scrapped", "cancelled"])
def test_no_stage_can_be_skipped_or_walked_backwards(here):
    reachable = {to for to in WAY if stages.can_move(here, to)}
    assert reachable <= {stages.next_stage(here)}


@pytest.mark.parametrize("here", WAY[:-1])
def test_a_knife_at_the_bench_can_be_scrapped_or_cancelled(here):
    for to in ("scrapped", "cancelled"):
        stages.check_move(here, to, gate_passed=False)


def test_a_knife_not_started_can_be_cancelled_but_not_scrapped():
    assert stages.can_move("", "cancelled")
    assert not stages.can_move("", "scrapped")


@pytest.mark.parametrize("here", ["delivered", "scrapped", "cancelled"])
def test_nothing_leaves_a_closed_stage(here):
    assert not any(stages.can_move(here, to) for to, _ in stages.stage_choices())
    assert here in stages.closed()


@pytest.mark.parametrize("here", WAY[:-1])
def test_a_knife_stays_until_its_gate_is_ticked(here):
    with pytest.raises(StageError) as refused:
        stages.check_move(here, stages.next_stage(here), gate_passed=False)
    assert refused.value.field == "gate"


def test_hardening_before_forging_is_refused_with_the_stage_that_comes_next():
    with pytest.raises(StageError) as refused:
        stages.check_move("", "harden", gate_passed=True)
    assert refused.value.field == "stage"
    assert refused.value.values["next"] == "Forge"


@pytest.mark.parametrize("to", ["", "nowhere", "quoted", "x" * 5000])
def test_an_unknown_stage_is_a_stage_error(to):
    with pytest.raises(StageError):
        stages.check_move("forge", to, gate_passed=True)
    assert not stages.can_move(to or "nowhere", "grind")


def test_a_correction_takes_a_knife_back_and_says_why():
    stages.check_correction("finish", "grind", reason="The wrong knife was moved.")
    stages.check_correction("delivered", "sharpen", reason="Not yet handed over.")
    stages.check_correction("scrapped", "harden", reason="No crack.", left="harden")
    stages.check_correction("cancelled", "forge", reason="Wanted.", left="harden")


@pytest.mark.parametrize("reason", ["", "   "])
def test_a_correction_without_a_reason_is_refused(reason):
    with pytest.raises(StageError) as refused:
        stages.check_correction("finish", "grind", reason=reason)
    assert refused.value.field == "reason"


@pytest.mark.parametrize(
    ("here", "to", "left"),
    [
        ("grind", "grind", ""),  # nothing to undo
        ("grind", "harden", ""),  # forward, past the gate
        ("grind", "scrapped", ""),  # an exit is a move
        ("forge", "", ""),
        ("", "forge", ""),
        ("scrapped", "harden", "grind"),  # further than it had come
        ("scrapped", "forge", ""),  # nobody knows where it was
        ("grind", "nowhere", ""),
    ],
)
def test_no_correction_carries_a_knife_past_a_gate(here, to, left):
    with pytest.raises(StageError) as refused:
        stages.check_correction(here, to, reason="Because.", left=left)
    assert refused.value.field == "stage"


def test_hours_of_a_stage_are_the_shares_of_its_rows():
    """Grinding is 60 % before and 40 % after hardening (common practice, no source)."""
    rows = {"billet": "4", "blade_forging": "2", "grind": "5", "harden": "1.5"}
    rows |= {"hand_finish": "2", "handle": "4", "sharpen": "1.5"}
    by_stage = stages.hours_by_stage({k: Decimal(v) for k, v in rows.items()})
    assert by_stage == {
        "forge": 6, "grind": 3, "harden": Decimal("1.5"),
        "finish": 4, "handle": 4, "sharpen": Decimal("1.5"),
    }  # fmt: skip


def test_every_row_of_hours_is_shared_out_whole():
    shares = {row: Decimal(0) for row in stages.HOURS_ROWS}
    for stage in stages.STAGES:
        for row, share in stage.hours:
            shares[row] += share
    assert set(shares.values()) == {1}


def test_a_press_is_quieter_than_a_hammer():
    assert stages.loudness_of("forge") == "loud"
    assert stages.loudness_of("forge", "hand") == "loud"
    assert stages.loudness_of("forge", "press") == "middling"
    assert stages.loudness_of("harden", "press") == "quiet"


def test_slow_cooling_after_forging_is_quiet_waiting_in_the_forge_stage():
    """Common practice, no source: cooling in the closed oven softens the blade."""
    forge = stages.stage_of("forge")
    (waits,) = forge.waiting
    assert "slow cooling" in waits
    assert "oven" in waits
    assert forge.work[-1] == waits  # after all forging, before the grinder
    assert stages.next_stage("forge") == "grind"


def test_what_goes_on_by_itself_is_work_of_its_stage():
    for stage in stages.STAGES:
        assert set(stage.waiting) <= set(stage.work)


def test_a_smaller_anvil_or_the_press_is_quieter_than_the_large_anvil():
    """Common practice, no source: on loud steps the tool is a choice by loudness."""
    order = stages.LOUDNESS.index
    usual = order(stages.loudness_of("forge"))
    assert set(stages.quieter_tools("forge")) == {"press", "small anvil"}
    for tool in stages.quieter_tools("forge"):
        assert order(stages.loudness_of("forge", tool)) < usual


def test_only_loud_stages_offer_a_quieter_tool():
    offers = {stage.key for stage in stages.STAGES if stages.quieter_tools(stage.key)}
    assert offers == {"forge"}


def test_an_order_goes_from_enquiry_to_delivery():
    for here, to in [
        ("enquiry", "quoted"), ("quoted", "accepted"), ("accepted", "delivered"),
    ]:  # fmt: skip
        stages.check_state(here, to)


def test_open_and_closed_states_are_all_states():
    assert stages.open_states() == ("enquiry", "quoted", "accepted")
    assert stages.closed_states() == ("delivered", "declined", "cancelled")
    assert [key for key, _ in stages.state_choices()] == [
        *stages.open_states(), *stages.closed_states(),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("here", "to"),
    [("enquiry", "accepted"), ("accepted", "declined"), ("cancelled", "quoted"),
     ("delivered", "enquiry"), ("nowhere", "quoted"), ("quoted", "")],
)  # fmt: skip
def test_an_order_cannot_jump(here, to):
    with pytest.raises(StageError) as refused:
        stages.check_state(here, to)
    assert refused.value.field == "state"
