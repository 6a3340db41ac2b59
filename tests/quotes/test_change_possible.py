"""What of a knife can still be changed, stage by stage; common practice, no source."""

import dataclasses
import itertools

import pytest

from billets.physics.errors import PlanError
from billets.physics.families import FAMILIES
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import KnifeSpec, default_spec, spec_fittings
from quotes.changes_after.held import beyond, steel_left
from quotes.changes_after.possible import (
    PARTS,
    WHY,
    Wanted,
    cautions,
    parts_changed,
    passed,
    phase_of,
    refusals,
    rows_begun,
    standings,
)
from shop import stages

KNIFE = default_spec("gyuto")
WAY = ("", *stages.bench())
CHANGES = {
    "length": 0.02, "height": 0.005, "heel_thickness": 0.001, "behind_edge": 0.001,
    "edge_angle": 0.05, "handle_length": 0.01,
}  # fmt: skip


def wanted(spec=KNIFE, hardness=61.0, finish="satin", **changes):
    own = dataclasses.replace(spec, **changes)
    return Wanted(spec=own, hardness=hardness, finish=finish)


def refused(stage, then, now=None):
    return {one.field for one in refusals(stage, now or wanted(), then)}


def more(**by):
    return {name: getattr(KNIFE, name) + value for name, value in by.items()}


# --- the table ---------------------------------------------------------------------


def test_every_column_of_a_knife_belongs_to_one_part():
    spec = {one.name for one in dataclasses.fields(KnifeSpec)} - {"steel_density"}
    told = [name for part in PARTS for name in part.fields]
    assert len(told) == len(set(told))
    assert set(told) == spec | {"hardness", "finish"}


@pytest.mark.parametrize("part", PARTS, ids=lambda one: one.key)
def test_every_part_has_a_sentence_for_each_phase_it_can_be_in(part):
    phases = {phase_of(part, stage) for stage in (*WAY, "delivered", "scrapped")}
    assert phases == set(part.sentences)
    assert set(part.rows) <= set(stages.HOURS_ROWS)


def test_gates_passed_are_those_of_the_stages_before():
    assert passed("") == passed("forge") == ()
    assert passed("sharpen") == ("forge", "grind", "harden", "finish", "handle")


def test_work_is_begun_stage_by_stage_until_all_of_it_is():
    begun = [rows_begun(stage) for stage in WAY]
    assert begun[0] == frozenset()
    assert begun[-1] == set(stages.HOURS_ROWS)
    assert all(before <= after for before, after in itertools.pairwise(begun))


@pytest.mark.parametrize(
    ("change", "last"),
    [
        ({"hardness": 62.0}, "harden"),
        ({"finish": "polished"}, "finish"),
        ({"handle_material": "bog_oak"}, "handle"),
        ({"edge_angle": 0.2}, "sharpen"),
        ({"forging": "taper"}, "forge"),
        (more(length=0.02), "forge"),
        (more(height=0.005), "forge"),
    ],
)  # fmt: skip
def test_a_change_can_be_had_up_to_its_stage_and_not_after(change, last):
    for stage in WAY:
        allowed = WAY.index(stage) <= WAY.index(last)
        assert (refused(stage, wanted(**change)) == set()) is allowed, stage


@pytest.mark.parametrize("change", [more(length=-0.02), more(height=-0.003)])
def test_smaller_can_be_had_until_the_blade_is_finished(change):
    for stage in WAY:
        allowed = WAY.index(stage) <= WAY.index("finish")
        assert (refused(stage, wanted(**change)) == set()) is allowed, stage


def test_what_was_possible_never_becomes_possible_again():
    """A law of the bench: each stage takes ways away, none gives one back."""
    parts = (0.05, 0.3, 1, -0.3)
    sizes = [{name: by * part} for name, by in CHANGES.items() for part in parts]
    for one in (wanted(**more(**by)) for by in sizes):
        ways = [bool(refused(stage, one)) for stage in WAY]
        assert ways == sorted(ways), one


def test_nothing_changed_is_never_refused_and_changes_no_part():
    for stage in (*WAY, "delivered"):
        assert refusals(stage, wanted(), wanted()) == ()
    assert parts_changed(wanted(), wanted()) == ()


# --- the steel there is ------------------------------------------------------------


@pytest.mark.parametrize("forging", ["bevel", "taper", "bar"])
@pytest.mark.parametrize("key", sorted(FAMILIES))
def test_steel_holds_its_own_knife_and_every_smaller_one(key, forging):
    for allowance in ("tight", "generous"):
        own = dataclasses.replace(
            default_spec(key), forging=forging, allowance=allowance
        )
        for ground in (False, True):
            left = steel_left(own, ground=ground)
            assert not list(beyond(left, own))
            for name, part in {
                "length": 0.9,
                "height": 0.95,
                "heel_thickness": 0.95,
            }.items():
                less = dataclasses.replace(own, **{name: part * getattr(own, name)})
                try:
                    weigh_knife(less)
                except PlanError:
                    continue  # no such knife at all
                assert not list(beyond(left, less)), (name, allowance, ground)


def test_blank_gives_as_much_more_as_its_allowance_is_more_than_tight():
    """By hand: 2 mm all round forged, 1 mm needed: 2 mm longer, 2 mm higher."""
    left = steel_left(KNIFE, ground=False)
    assert left.length == pytest.approx(KNIFE.length + 0.002)
    assert left.height == pytest.approx(KNIFE.height + 0.002)
    assert left.heel == pytest.approx(KNIFE.heel_thickness + 0.0005)
    tight = dataclasses.replace(KNIFE, allowance="tight")
    assert steel_left(tight, ground=False).length == pytest.approx(KNIFE.length)
    assert steel_left(KNIFE, ground=True).length == KNIFE.length


def test_what_the_blank_gives_can_be_had_and_a_little_more_cannot():
    left = steel_left(KNIFE, ground=False)
    most = {"length": left.length, "height": left.height}
    assert refused("grind", wanted(**most)) == set()
    assert refused("grind", wanted(length=left.length + 0.001)) == {"length"}
    assert refused("grind", wanted(height=left.height + 0.001)) == {"height"}
    assert refused("harden", wanted(**most)) == {"length", "height"}


def test_thicker_spine_is_refused_at_its_own_place():
    for name in ("heel_thickness", "middle_thickness", "tip_thickness"):
        told = refused("harden", wanted(**more(**{name: 0.0003})))
        assert name in told


def test_a_thicker_grind_is_refused_once_the_blade_is_ground():
    flat = wanted(grind="full_flat")
    convex = wanted(grind="convex")
    assert refused("grind", flat, convex) == refused("harden", flat, convex) == set()
    assert refused("harden", convex, flat) == {"grind"}
    assert refused("harden", wanted(**more(behind_edge=0.0002))) == {"behind_edge"}


def test_another_outline_has_to_lie_inside_the_steel():
    cleaver = wanted(
        family="petty", length=0.15, height=0.03, heel_thickness=0.0019,
        middle_thickness=0.0016, tip_thickness=0.0009,
    )  # fmt: skip
    assert refused("grind", cleaver) == set()
    own = wanted(default_spec("petty"))
    assert refused("grind", wanted(), own) >= {"length", "height"}


# --- tang and handle ---------------------------------------------------------------


def test_longer_handle_leaves_a_forged_tang_as_it_is():
    tang = spec_fittings(KNIFE).tang.length
    longer = wanted(**more(handle_length=0.02), tang_length=tang)
    assert refused("finish", longer) == set()
    assert refused("finish", wanted(tang_length=tang + 0.005)) == {"tang_length"}
    assert refused("finish", wanted(tang_length=tang - 0.005)) == set()
    assert refused("grind", wanted(tang="full", handle="scales")) == {"tang"}
    assert refused("grind", wanted(**more(neck_length=0.004))) == {"neck_length"}


def test_refusal_says_why_and_what_would_be_possible():
    (told,) = refusals("grind", wanted(), wanted(**more(length=0.03)))
    assert told.message == WHY["length"]
    assert told.values["most_length"] == pytest.approx(KNIFE.length + 0.002)
    for message in WHY.values():
        assert "{" in message or "can still" in message or "may" in message


def test_what_is_being_made_just_now_is_pointed_out():
    then = wanted(hardness=62.0, finish="polished")
    (flag,) = cautions("harden", wanted(), then)
    assert flag.field == "hardness"
    levels = {one.part.key: one.flag.level for one in standings("handle", KNIFE)}
    assert levels == {
        "blade": "red", "forging": "red", "tang": "amber", "hardness": "red",
        "finish": "red", "handle": "amber", "edge": "note",
    }  # fmt: skip
