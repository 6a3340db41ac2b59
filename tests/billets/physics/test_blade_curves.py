"""Edge, spine and taper along a blade."""

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator
from shapely.geometry import Polygon

from billets.physics.blade import shaped_blade, sum_blade
from billets.physics.families import FAMILIES, usual_thicknesses
from billets.physics.outline import edge_curve, spine_curve
from billets.physics.taper import monotone_cubic, spine_taper


@pytest.mark.parametrize("key", list(FAMILIES))
def test_taper_is_the_monotone_cubic_of_scipy(key):
    """scipy.interpolate.PchipInterpolator, after Fritsch and Carlson (1980)."""
    kind = FAMILIES[key]
    length = kind.length.typical
    thicknesses = usual_thicknesses(kind, length)
    knots = [0.0, length / 2, length - 0.010]
    x = np.linspace(0.0, length - 0.010, 500)
    ours = spine_taper(length, *thicknesses)(x)
    assert ours == pytest.approx(PchipInterpolator(knots, thicknesses)(x), abs=1e-15)


def test_monotone_cubic_is_that_of_scipy_for_any_points():
    """scipy.interpolate.PchipInterpolator; points that rise, fall and rest."""
    rng = np.random.default_rng(20)
    for count in (3, 4, 7):
        for _repeat in range(60):
            knots = np.cumsum(rng.uniform(0.1, 2.0, count))
            values = np.round(rng.normal(size=count), 1)
            x = np.linspace(knots[0], knots[-1], 200)
            expected = PchipInterpolator(knots, values)(x)
            assert monotone_cubic(knots, values)(x) == pytest.approx(
                expected, abs=1e-12
            )


@pytest.mark.parametrize("key", list(FAMILIES))
def test_spine_never_grows_toward_the_tip(key):
    """Law of the interpolation: monotone through monotone points."""
    kind = FAMILIES[key]
    length = kind.length.typical
    x = np.linspace(0.0, length, 1000)
    spine = spine_taper(length, *usual_thicknesses(kind, length))(x)
    assert np.all(np.diff(spine) <= 1e-15)
    assert spine[-1] == pytest.approx(kind.tip_thickness.typical)


def test_pinned_taper_of_a_gyuto():
    """Regression values of this model, not outside values."""
    x = np.array([0.0525, 0.150, 0.189, 0.205])
    got = spine_taper(0.210, 0.0030, 0.0022, 0.0010)(x) * 1e3
    assert got == pytest.approx([2.6598, 1.6968, 1.1629, 1.0], abs=1e-4)


@pytest.mark.parametrize("key", list(FAMILIES))
def test_outline_area_matches_a_polygon(key):
    """shapely: area of a polygon through 40 000 points."""
    kind = FAMILIES[key]
    length, height = kind.length.typical, kind.height.typical
    x = length * (1 - np.linspace(1, 0, 20000) ** 2)
    edge = edge_curve(kind.outline, length, height)(x)
    spine = spine_curve(kind.outline, length, height)(x)
    around = np.r_[x, x[::-1]], np.r_[edge, spine[::-1]]
    area = Polygon(np.column_stack(around) * 1e3).area
    blade = shaped_blade(
        kind.outline, (length, height), usual_thicknesses(kind, length), kind.grind
    )
    assert sum_blade(blade).outline_area * 1e6 == pytest.approx(area, abs=0.01)


@pytest.mark.parametrize("key", list(FAMILIES))
def test_outline_stays_in_its_box_and_edge_below_spine(key):
    """By definition of length and height."""
    kind = FAMILIES[key]
    length, height = kind.length.typical, kind.height.typical
    x = np.linspace(0.0, length, 2000)
    edge = edge_curve(kind.outline, length, height)(x)
    spine = spine_curve(kind.outline, length, height)(x)
    assert edge.min() == 0.0
    assert spine.max() == pytest.approx(height)
    assert np.all(spine - edge >= -1e-12)


def test_pinned_outline_points():
    """Regression values of this model, not outside values."""
    gyuto, nakiri = FAMILIES["gyuto"].outline, FAMILIES["nakiri"].outline
    at = np.array(0.189)
    assert edge_curve(gyuto, 0.210, 0.049)(at) * 1e3 == pytest.approx(10.7219, abs=1e-4)
    assert spine_curve(gyuto, 0.210, 0.049)(at) * 1e3 == pytest.approx(
        23.2150, abs=1e-4
    )
    tip = np.array(0.165)
    assert edge_curve(nakiri, 0.165, 0.052)(tip) * 1e3 == pytest.approx(2.6, abs=1e-4)
    assert spine_curve(nakiri, 0.165, 0.052)(tip) * 1e3 == pytest.approx(39.0, abs=1e-4)
