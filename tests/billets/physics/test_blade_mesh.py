"""Blades as closed meshes, which trimesh sums tetrahedron by tetrahedron."""

import numpy as np
import pytest
import trimesh

from billets.physics.blade import sum_blade
from billets.physics.families import FAMILIES
from billets.physics.knife_spec import default_spec, spec_blade
from billets.physics.section import (
    edge_bevel_height,
    hollow_depth,
    section_width,
)

LEVELS, STATIONS = 60, 400


def levels(height, grind):
    """Heights of a cut, as many on each of its three parts wherever it is cut."""
    low = min(edge_bevel_height(grind), height)
    line = min(max(low, grind.bevel * height), height)
    parts = (0.0, low), (low, line), (line, height)
    return np.concatenate([np.linspace(*part, LEVELS) for part in parts])


def sides(blade, x):
    """Both sides of the cut at a station, from edge to spine (points, 3) [mm]."""
    at = np.array(x)
    edge, height = float(blade.edge(at)), float(blade.spine(at) - blade.edge(at))
    above = levels(max(height, 0.0), blade.grind)
    tall, thick = np.array(height), blade.thickness(at)
    width = section_width(above, tall, thick, blade.grind)
    left, right = -width / 2, width / 2
    if blade.grind.single:
        left = hollow_depth(above, tall, blade.grind)
        right = left + width
    y = np.full_like(above, x), edge + above
    return [1e3 * np.column_stack([*y, z]) for z in (left, right)]


def mesh_of(blade):
    """A closed mesh: rings of both sides joined station by station, and two ends."""
    t = np.linspace(0.0, 1.0, STATIONS)
    rings = []
    for x in blade.length * (1 - (1 - t) ** 2):
        left, right = sides(blade, x)
        rings.append(np.vstack([left, right[::-1]]))
    points, size = np.vstack(rings), len(rings[0])
    ring = np.arange(size)
    after = (ring + 1) % size
    faces = [
        np.vstack([
            np.column_stack([base + ring, base + size + ring, base + after]),
            np.column_stack([base + after, base + size + ring, base + size + after]),
        ])
        for base in range(0, len(points) - size, size)
    ]  # fmt: skip
    # an end is a ladder between both sides; the last ring point meets the first
    one, two = np.arange(size // 2 - 1), size - 1 - np.arange(size // 2 - 1)
    rungs = np.vstack(
        [np.column_stack([one, one + 1, two]), np.column_stack([one + 1, two - 1, two])]
    )
    faces += [rungs, rungs[:, ::-1] + len(points) - size]
    return trimesh.Trimesh(points, np.vstack(faces), process=False)


@pytest.mark.parametrize("key", list(FAMILIES))
def test_volume_and_centroid_match_a_closed_mesh(key):
    """trimesh: volume and centre of mass of a watertight mesh of 144,000 points.

    The mesh is cut by the same section, so this checks the sums, not the shape.
    """
    blade = spec_blade(default_spec(key))
    mesh, sums = mesh_of(blade), sum_blade(blade)
    assert mesh.is_watertight
    assert abs(mesh.volume) == pytest.approx(1e9 * sums.volume, rel=1e-4)
    ahead, up, across = mesh.center_mass
    assert ahead == pytest.approx(1e3 * sums.centre, abs=0.003)
    assert up == pytest.approx(1e3 * sums.centre_height, abs=0.003)
    if not blade.grind.single:
        assert across == pytest.approx(0.0, abs=1e-4)  # triangles lean one way
