"""A core between two jackets: its line on a blade and what it forgives at the edge."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billets.physics.bar import Layer, Stack, Steel
from billets.physics.blade_cut import USUAL_ANGLE
from billets.physics.core_line import (
    LEAST_MARGIN,
    core_line_flags,
    core_lines,
    core_of,
    is_thin,
)
from billets.physics.figure_flags import pattern_flags_of
from billets.physics.knife_spec import default_spec
from billets.physics.plan import PlanInput, run_plan
from billets.physics.steps import Core, Draw, Grind, Twist, Weld
from billets.physics.verdict import Target
from tests.billets.physics.plans import BRIGHT, DARK, MM

HARD = Steel("hard", "hard steel", 1.05)
PLAIN = (("dark", 0.5), ("bright", 0.5))
EDGE = 0.2 * MM
SHOULDER = EDGE / 2 / math.tan(USUAL_ANGLE)
"""Height of the edge bevel of a flat wedge: its edge line."""


def bar(*layers, thickness=3.0, steps=()):
    """A bar of these shares of its thickness, welded without any loss of scale."""
    steels = {"dark": DARK, "bright": BRIGHT, "hard": HARD}
    stack = Stack(
        tuple(Layer(steels[key], part * 40 * MM) for key, part in layers),
        200 * MM,
        40 * MM,
    )
    plan = PlanInput(
        stack=stack,
        steps=(Weld(), *steps, Draw(width=40 * MM, thickness=thickness * MM)),
    )
    return run_plan(replace(plan, factors=replace(plan.factors, scale_strength=0.0)))


def cored(share=0.30, offset=0.0, **given_):
    """Two jackets about a core; its middle lies so far down, over the thickness."""
    above = (1.0 - share) / 2 + offset
    return bar(("dark", above), ("hard", share), ("dark", 1 - share - above), **given_)


def wedge(**changes):
    """A flat wedge of 48 mm above its edge line, 3.0 mm at the spine."""
    return Target(
        **{
            "label": "one", "needed": 0.2, "thickness": 3 * MM,
            "blade_height": 48 * MM + SHOULDER, "spine": 3 * MM, "behind_edge": EDGE,
            **changes,
        }
    )  # fmt: skip


def line(result, target):
    (found,) = core_lines(result, [target])
    return found


# --- flat wedge ----------------------------------------------------------------------


def test_line_and_margin_of_a_flat_wedge():
    """Plane and solid geometry; the defaults are common practice, no source.

    H 48 mm above the edge line, T 3.0, a core of 0.30, 0.2 mm behind the edge.
    """
    found = line(cored(), wedge())
    assert (found.near - SHOULDER) / MM == pytest.approx(12.00, abs=0.005)
    assert found.far == pytest.approx(found.near)
    assert found.margin / MM == pytest.approx(0.35, abs=1e-6)
    assert found.uneven / MM == pytest.approx(0.70, abs=1e-6)


@given(
    st.floats(0.18, 0.60), st.floats(25.0, 60.0), st.floats(2.0, 4.5),
    st.floats(0.1, 0.3),
)  # fmt: skip
def test_line_stands_where_the_blade_is_as_thick_as_its_core(share, high, spine, edge):
    """Similar triangles: y over H is qT less t over T less t, above the edge line."""
    shoulder = edge * MM / 2 / math.tan(USUAL_ANGLE)
    target = wedge(
        blade_height=high * MM + shoulder, spine=spine * MM, thickness=spine * MM,
        behind_edge=edge * MM,
    )  # fmt: skip
    found = line(cored(share, thickness=spine), target)
    part = (share * spine - edge) / (spine - edge)
    assert (found.near - shoulder) / MM == pytest.approx(high * part, abs=1e-6)
    assert found.margin / MM == pytest.approx((share * spine - edge) / 2)


@given(st.floats(-0.03, 0.03))
def test_a_core_beside_the_middle_loses_that_much(offset):
    """Plane geometry: the margin is qT/2 - t/2 - |e|."""
    found = line(cored(offset=offset), wedge())
    assert found.margin / MM == pytest.approx(0.35 - abs(offset) * 3.0, abs=1e-6)


@pytest.mark.parametrize("uneven", [0.1, 0.4, 0.7])
def test_grinding_unevenly_shifts_the_edge_by_half(uneven):
    """Plane geometry: so much more off one side moves the edge by half of it."""
    found = line(cored(), wedge())
    assert found.margin - uneven * MM / 2 >= -1e-9
    assert (found.uneven - uneven * MM) / 2 == pytest.approx(
        found.margin - uneven * MM / 2, abs=1e-9
    )


def test_core_keeps_its_share_of_the_blank_not_of_the_ground_spine():
    """Grinding takes jacket only: a thicker blank has a thicker core."""
    thick = line(cored(thickness=4.0), wedge(thickness=4 * MM))
    assert thick.margin / MM == pytest.approx((0.30 * 4.0 - 0.2) / 2)


def test_line_is_as_high_as_the_blade_where_no_jacket_is_left():
    found = line(cored(0.60, thickness=6.0), wedge(thickness=6 * MM))
    assert found.near == pytest.approx(wedge().blade_height)


# --- a known knife -------------------------------------------------------------------


def known(key="gyuto", **changes):
    spec = replace(default_spec(key), **changes)
    return Target(
        label=key, needed=0.2, thickness=5 * MM, blade_height=spec.height,
        spine=spec.heel_thickness, behind_edge=spec.behind_edge, knife=spec,
    )  # fmt: skip


def test_forged_bevels_thin_the_core_toward_the_edge():
    """Law: layers follow a forged bevel, so that less of the core is left there."""
    result = cored(0.35, thickness=5.0)
    forged, ground = (line(result, known(forging=how)) for how in ("bevel", "taper"))
    assert 0.0 < forged.margin < ground.margin
    flat = line(result, replace(known(), knife=None))
    assert forged.margin < flat.margin


def test_ground_flat_knife_is_a_flat_wedge():
    """Limit: a full flat grind from a flat blank is the wedge of the same sizes."""
    result = cored(0.35, thickness=5.0)
    target = known(forging="bar", grind="full_flat", edge_angle=float(USUAL_ANGLE))
    found = line(result, target)
    blank = found.margin + target.behind_edge / 2
    flat = line(result, replace(target, knife=None, thickness=blank * 2 / 0.35))
    assert found.margin == pytest.approx(flat.margin)
    assert found.near == pytest.approx(flat.near)


def test_single_bevel_is_said_to_want_another_knife():
    """A knife ground from one side has its edge beside the middle of its blank."""
    result = cored(0.25, thickness=5.0)
    target = known("yanagiba")
    assert line(result, target).single
    (flag,) = core_line_flags(result, [target])
    assert "ground from both sides" in flag.message


# --- what is a core ------------------------------------------------------------------


def test_core_laid_in_is_found_with_its_share():
    halves = Draw(width=40 * MM, thickness=12 * MM)
    laid = Core(steel=HARD, thickness=12 * MM)
    result = bar(*PLAIN, steps=(halves, laid, Weld()))
    core = core_of(result)
    assert (core.steel, core.share) == ("hard", pytest.approx(1 / 3))
    assert core.offset == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    "layers",
    [
        PLAIN,
        [(key, 1 / 9) for key in ("dark", "bright") * 4 + ("dark",)],
        [("dark", 0.2), ("hard", 0.35), ("dark", 0.45)],
        [("dark", 0.46), ("hard", 0.08), ("dark", 0.46)],
    ],
    ids=["two", "straight", "beside", "thin"],
)  # fmt: skip
def test_what_is_no_core(layers):
    result = bar(*layers)
    assert core_of(result) is None
    assert core_lines(result, [wedge()]) == ()


def test_a_twist_after_a_core_winds_its_line_away():
    square = Draw(width=24 * MM, thickness=24 * MM)
    halves = Draw(width=40 * MM, thickness=12 * MM)
    laid = Core(steel=HARD, thickness=12 * MM)
    steps = (halves, laid, Weld(), square, Twist(turns=2.0))
    assert core_of(bar(*PLAIN, steps=steps)) is None
    before = (square, Twist(turns=2.0), halves, laid, Weld())
    assert core_of(bar(*PLAIN, steps=before[2:])) is not None


def test_a_thin_core_that_was_laid_in_is_judged_all_the_same():
    halves = Draw(width=40 * MM, thickness=19 * MM)
    laid = Core(steel=HARD, thickness=2 * MM)
    result = bar(*PLAIN, steps=(halves, laid, Weld()))
    assert core_of(result).share == pytest.approx(0.05)
    (flag,) = core_line_flags(result, [wedge()])
    assert "the edge comes to lie in a jacket" in flag.message


def test_grinding_the_bar_takes_jacket_only():
    ground = cored(steps=(Grind(face=2 * MM),))
    assert core_of(ground).share == pytest.approx(0.30 * 40 / 36)


# --- flags ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("core", "level"), [(0.501, None), (0.499, "red"), (0.46, "red")]
)
def test_margin_under_the_least_is_red(core, level):
    """Common practice, no source: 0.15 mm of core beside the edge, at least."""
    result = cored(core / 3.0)
    found = core_line_flags(result, [wedge()])
    assert [flag.level for flag in found] == ([level] if level else [])
    assert is_thin(line(result, wedge())) is bool(level)
    assert pattern_flags_of(result, [wedge()]) == found
    for flag in found:
        assert flag.values["least_core"] == LEAST_MARGIN
        assert flag.values["label"] == "one"
        assert "thicker core" in flag.message


def test_knife_of_unknown_size_is_not_judged():
    assert core_lines(cored(), [Target(label="one", needed=0.2)]) == ()
