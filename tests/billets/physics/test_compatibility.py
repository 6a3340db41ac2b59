"""Twelve checks of steels together; their limits are common practice, no source."""

import string
from dataclasses import replace

import pytest

from billets.physics.bar import Steel
from billets.physics.checks import THRESHOLDS
from billets.physics.common_heat import shared_quench
from billets.physics.compatibility import CHECKS, check_steels
from billets.physics.hardenability import INCH
from tests.billets.physics.steel_pairs import steel, welded
from tests.billets.physics.steels import kelvin

CLEAN = {"sulphur": 0.01, "phosphorus": 0.01, "copper": 0.1}


def checks(at):
    return {one.name: one for one in check_steels(at)}


def levels(at, *names):
    found = checks(at)
    return tuple(found[name].level for name in names)


THREE = ("hardening window", "turning hard", "quench")


@pytest.mark.parametrize(
    ("steels", "room", "spread", "verdicts"),
    [
        (("1084", "75Ni8"), 30, 25.25, ("ok", "ok", "ok")),
        (("1.2842", "75Ni8"), 30, 17.0, ("ok", "ok", "ok")),
        (("1084", "L6"), 15, 33.6, ("ok", "ok", "ok")),
        (("1095", "75Ni8"), 25, 36.1, ("ok", "ok", "ok")),
        (("1084", "1.2842"), 30, 42.25, ("ok", "warn", "ok")),
        (("1084", "1.2767"), -10, 77.65, ("warn", "warn", "warn")),
        (("W2", "1.2767"), -40, 92.15, ("stop", "stop", "stop")),
        (("1084", "75Ni8", "52100"), 5, 25.25, ("warn", "ok", "ok")),
        (("1095", "1.2842", "1.2767"), -25, 88.5, ("stop", "warn", "warn")),
    ],
)
def test_pairs_and_threes(steels, room, spread, verdicts):
    """Windows of the shipped steels (data sheets and common practice), spread of the
    start of martensite by van Bohemen 2012, limits common practice, no source."""
    at = welded(*steels)
    found = checks(at)
    assert at.window.room == pytest.approx(room)
    assert found["turning hard"].values["spread_difference"] == pytest.approx(spread)
    assert levels(at, *THREE) == verdicts


def test_there_are_twelve_and_each_says_its_numbers():
    at = welded("1084", "75Ni8")
    found = check_steels(at)
    assert len(found) == len(CHECKS) == 12
    assert len({one.name for one in found}) == 12


ODD = [
    ("W2", "1.2767"),
    ("1084", "1.2767"),
    ("1095", "mild"),
    ("1095", "75Ni8", "nickel"),
    ("mild", "nickel"),
    ("1084", "75Ni8", "52100"),
]


@pytest.mark.parametrize("left", [0.01, 0.2, 0.9])
@pytest.mark.parametrize("spine", [None, 0.003, 0.008])
@pytest.mark.parametrize("steels", ODD)
def test_every_sentence_has_all_its_numbers(steels, spine, left):
    for one in check_steels(welded(*steels, spine=spine, left=left)):
        asked = {name for _t, name, _s, _c in string.Formatter().parse(one.message)}
        assert asked - {None} <= set(one.values)
        assert one.message.rstrip().endswith(".")


@pytest.mark.parametrize(
    "name", [one.name for one in check_steels(welded("1084", "75Ni8"))]
)
def test_what_is_not_known_is_never_fine(name):
    """A steel of which only the carbon is known: nothing can be said, except of the
    welding heat, and of carbon, which is known."""
    unknown = Steel("own", "own steel", 0.8)
    found = checks(welded("1084", unknown))[name]
    assert found.level == "unknown" or name in ("carbon", "welding heat")
    if found.level == "unknown":
        assert "own steel" in str(found.values.values())


# --- one by one ----------------------------------------------------------------------


def test_missing_hardening_heat_is_not_checked():
    bare = steel("1084", harden_low=None)
    found = checks(welded(bare, "75Ni8"))
    assert found["hardening window"].level == "unknown"
    assert found["hardening heat"].level == "unknown"


@pytest.mark.parametrize(
    ("low", "level"),
    [(770, "ok"), (800, "ok"), (806, "warn"), (826, "warn"), (836, "stop")],
)
def test_room_of_the_hardening_windows(low, level):
    """1084 hardens up to 830 °C here, 75Ni8 up to 820: 10 K of room are fine."""
    moved = steel("75Ni8", harden_low=kelvin(low), harden_high=kelvin(860))
    base = steel("1084", harden_low=kelvin(780), harden_high=kelvin(815))
    assert levels(welded(base, moved), "hardening window") == (level,)


@pytest.mark.parametrize(("high", "level"), [(780, "ok"), (766, "warn"), (750, "stop")])
def test_hardening_heat_above_where_steel_changes(high, level):
    """1084 changes at 722.2 °C (Andrews 1965): 50 K above are fine, 30 K the least."""
    cold = {"harden_low": kelvin(high - 10), "harden_high": kelvin(high)}
    at = welded(steel("1084", **cold), steel("75Ni8", **cold))
    assert levels(at, "hardening heat") == (level,)


def test_depth_asks_for_a_knife():
    assert levels(welded("1084", "75Ni8", spine=None), "depth of hardening") == (
        "unknown",
    )


@pytest.mark.parametrize(
    ("steels", "spine", "per_inch", "level"),
    [
        (("O1", "L6"), 0.004, 0.25, "ok"),  # still oil: common practice, no source
        (("1095", "75Ni8"), 0.004, 0.70, "warn"),
        (("1095", "75Ni8"), 0.004, 0.25, "stop"),
        (("1084", "75Ni8"), 0.003, 0.70, "ok"),
    ],
)
def test_depth_of_hardening(steels, spine, per_inch, level):
    """ASTM A255-10 and Grossmann's severities (quoted from memory); 1095 with 75Ni8
    fails in slow oil."""
    at = welded(*steels, spine=spine, severity=per_inch / INCH, bath="bucket", mean=0.9)
    found = checks(at)["depth of hardening"]
    assert found.level == level
    assert found.values["quench"] == "bucket"


@pytest.mark.parametrize(
    ("mean", "level"),
    [(0.80, "ok"), (0.65, "ok"), (0.60, "warn"), (0.50, "stop"), (1.00, "warn"),
     (1.10, "stop")],
)  # fmt: skip
def test_carbon_for_58_to_62(mean, level):
    at = welded("1084", "75Ni8", mean=mean)
    assert levels(at, "carbon") == (level,)
    assert checks(at)["carbon"].values["carbon"] == pytest.approx(mean)


def sandwich(core, jacket, share=0.3):
    """A core between two jackets, by their own carbon."""
    side = (1.0 - share) / 2.0
    layers = ((jacket.key, side), (core.key, share), (jacket.key, side))
    return welded(core, jacket, layers=layers, left=0.9, behind_edge=0.2e-3)


def test_core_counts_with_its_own_carbon():
    """Three layers are not level: common practice, no source. The mean would be too
    little carbon; the edge has enough."""
    at = sandwich(steel("1084"), steel("mild"))
    found = checks(at)
    assert found["carbon"].level == "ok"
    assert found["carbon"].values["carbon"] == pytest.approx(0.86)
    assert found["layers that stay soft"].level == "warn"  # 70 % of iron


def test_soft_core_never_holds_an_edge():
    at = sandwich(steel("mild"), steel("1084"))
    assert levels(at, "layers that stay soft") == ("stop",)


def test_iron_that_has_taken_up_carbon_hardens():
    at = welded("1084", "mild", mean=0.7)
    found = checks(at)
    assert found["layers that stay soft"].level == "ok"
    # It hardens least deep of all, and is looked at for that.
    assert found["depth of hardening"].values["steel"] == steel("mild").name


def with_foil(place, share=0.05):
    """A foil of nickel at a place across the thickness, 0 to 1."""
    dark, foil = steel("1084"), steel("nickel")
    before = place * (1.0 - share)
    layers = ((dark.key, before), (foil.key, share), (dark.key, 1.0 - share - before))
    return welded(dark, foil, layers=layers, left=0.9, behind_edge=0.2e-3)


@pytest.mark.parametrize(("place", "level"), [(0.5, "stop"), (0.1, "warn")])
def test_nickel_at_the_edge_never_hardens(place, level):
    """Common practice, no source."""
    found = checks(with_foil(place))["layers that stay soft"]
    assert found.level == level
    assert steel("nickel").name in found.values["steel"]


def test_nickel_on_both_sides_is_fine():
    dark, foil = steel("1084"), steel("nickel")
    layers = tuple(
        zip(
            (dark.key, foil.key) * 2 + (dark.key,),
            (0.2, 0.03, 0.54, 0.03, 0.2),
            strict=True,
        )
    )
    at = welded(dark, foil, layers=layers, left=0.9, behind_edge=0.2e-3)
    assert levels(at, "layers that stay soft") == ("ok",)


@pytest.mark.parametrize(
    ("alpha", "thick", "level"),
    [(12.1e-6, False, "ok"), (13.5e-6, True, "ok"), (14.0e-6, True, "warn"),
     (15.0e-6, False, "warn"), (15.0e-6, True, "stop")],
)  # fmt: skip
def test_expansion_of_touching_steels(alpha, thick, level):
    one, other = steel("1.2842", expansion=12.0e-6), steel("75Ni8", expansion=alpha)
    layers = None
    if thick:
        layers = ((one.key, 0.3), (other.key, 0.4), (one.key, 0.3))
    assert levels(welded(one, other, layers=layers), "expansion") == (level,)


def test_expansion_of_steels_that_do_not_touch_does_not_matter():
    outer, middle, inner = (
        steel(name, expansion=alpha)
        for name, alpha in (("1084", 11e-6), ("75Ni8", 12e-6), ("1.2842", 13e-6))
    )
    layers = tuple((one.key, 0.2) for one in (outer, middle, inner, middle, outer))
    assert levels(welded(outer, middle, inner, layers=layers), "expansion") == ("ok",)


@pytest.mark.parametrize(
    ("carbon", "celsius", "level"),
    [(1.25, 1202, "stop"), (1.25, 1200, "warn"), (1.25, 1150, "ok"), (0.95, 1205, "ok"),
     (0.95, 1206, "warn"), (0.75, 1240, "ok")],
)  # fmt: skip
def test_welding_heat_below_melting(carbon, celsius, level):
    """Melting starts at 1301 °C with 1.25, 1355 with 0.95, 1391 with 0.75 % carbon:
    points of the iron-carbon diagram, quoted from memory."""
    rich = steel("1095", carbon=carbon)
    assert levels(welded("mild", rich, celsius=celsius), "welding heat") == (level,)


@pytest.mark.parametrize(
    ("contents", "level"),
    [
        ({}, "ok"),
        ({"sulphur": 0.05}, "warn"),
        ({"sulphur": 0.15}, "stop"),
        ({"phosphorus": 0.04}, "warn"),
        ({"copper": 0.4}, "warn"),
        ({"copper": None}, "unknown"),
        ({"copper": None, "sulphur": 0.15}, "stop"),
    ],
)
def test_sulphur_phosphorus_and_copper(contents, level):
    one, other = steel("1084", **CLEAN | contents), steel("75Ni8", **CLEAN)
    assert levels(welded(one, other), "sulphur, phosphorus, copper") == (level,)


def test_copper_without_nickel_is_said_to_be_worse():
    bare, kept = (
        checks(welded(steel(name, **CLEAN | {"copper": 0.5}), steel("52100", **CLEAN)))
        for name in ("1084", "75Ni8")
    )
    name = "sulphur, phosphorus, copper"
    assert bare[name].message != kept[name].message


@pytest.mark.parametrize(
    ("steels", "element", "level"),
    [(("1084", "75Ni8"), "nickel", "ok"), (("1084", "1.2842"), "manganese", "warn"),
     (("1095", "52100"), "chromium", "warn"), (("1084", "1095"), None, "stop")],
)  # fmt: skip
def test_contrast_after_etching(steels, element, level):
    """Nickel bright, manganese dark, chromium grey: common practice, no source."""
    found = checks(welded(*steels))["contrast"]
    assert found.level == level
    assert found.values.get("element") == element


@pytest.mark.parametrize(
    ("left", "level"), [(0.99, "ok"), (0.6, "warn"), (0.3, "stop")]
)
def test_pattern_life(left, level):
    at = welded("1084", "75Ni8", contrast={"nickel": left}, thickness=0.002)
    found = checks(at)["pattern life"]
    assert found.level == level
    assert found.values["layer"] == pytest.approx(0.002 / len(at.layers))
    thicker = found.values["least_layer"] > found.values["layer"]
    assert thicker == (level != "ok")


def test_pattern_that_never_was_is_not_checked():
    assert levels(welded("1084", "1095"), "pattern life") == ("unknown",)


# --- all together --------------------------------------------------------------------


def test_limits_are_one_table_to_be_changed():
    at = welded("1084", "1.2842")
    stricter = replace(at, limits=replace(THRESHOLDS, martensite=(20.0, 40.0)))
    assert levels(at, "turning hard") == ("warn",)
    assert levels(stricter, "turning hard") == ("stop",)


@pytest.mark.parametrize("steels", [("1084", "75Ni8", "52100"), ("W2", "1.2767")])
def test_order_of_the_steels_does_not_matter(steels):
    one, other = welded(*steels), welded(*reversed(steels))
    assert [c.level for c in check_steels(one)] == [
        c.level for c in check_steels(other)
    ]


def test_water_only_where_every_steel_needs_it():
    """Common practice, no source: water cracks what oil hardens."""
    assert shared_quench(["water", "water"]) == "water"
    assert shared_quench(["water", "oil"]) == "fast_oil"
    assert shared_quench(["oil", "fast_oil", "air"]) == "fast_oil"
    assert shared_quench([]) == ""


def test_lopsided_stack_bows_and_a_mirrored_one_does_not():
    one, other = steel("1084"), steel("75Ni8")
    half = welded(one, other, layers=((one.key, 0.5), (other.key, 0.5)))
    mirrored = welded(
        one, other, layers=((one.key, 0.3), (other.key, 0.4), (one.key, 0.3))
    )
    fine = welded(one, other, layers=((one.key, 0.01), (other.key, 0.01)) * 50)
    assert half.bows
    assert not mirrored.bows
    assert not fine.bows


def test_carbon_counts_by_how_far_it_has_levelled():
    level, half, not_at_all = (
        welded("1095", "75Ni8", left=left) for left in (0.05, 0.2, 0.6)
    )
    steels = level.steels
    assert level.carbon(steels[0]) == (level.levelling.mean_carbon,) * 2
    assert half.carbon(steels[0]) == pytest.approx((0.855, 0.96))
    assert not_at_all.carbon(steels[0]) == (0.96, 0.96)
