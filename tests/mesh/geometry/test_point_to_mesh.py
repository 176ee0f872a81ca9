"""Distances from points to triangles, and points spread over them."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.mesh.geometry.point_to_mesh import distances_to_mesh, sample_surface


def test_distance_to_a_triangle_by_hand() -> None:
    corners = np.array([[0, 0, 0], [4, 0, 0], [0, 3, 0.0]])
    points = np.array([[1, 1, 2.0], [-3, 0, 0], [2, -4, 0], [4, 3, 0], [7, 0, 4]])
    found = distances_to_mesh(points, corners, np.array([[0, 1, 2]]))
    assert found == pytest.approx([2, 3, 4, 12 / 5, 5])  # (4, 3) is 12/5 from the line 3 x + 4 y = 12


def test_large_triangles_are_not_missed_beside_small_ones() -> None:
    big = np.array([[-500, -500, 0], [500, -500, 0], [0, 900, 0.0]])
    ball = trimesh.creation.icosphere(subdivisions=4, radius=5)
    ball.apply_translation((0, 0, 60))
    corners = np.concatenate((big, ball.vertices))
    triangles = np.concatenate(([[0, 1, 2]], ball.faces + 3))
    points = np.column_stack((np.linspace(-60, 60, 40), np.zeros(40), np.full(40, 20.0)))
    assert distances_to_mesh(points, corners, triangles) == pytest.approx(np.full(40, 20.0))


@examples(10)
@given(st.integers(1, 40), st.integers(0, 10_000))
def test_no_triangle_of_a_heap_is_nearer(count: int, seed: int) -> None:
    """Every triangle on its own, without the tree; points of triangles are at no distance."""
    rng = np.random.default_rng(seed)
    corners = rng.normal(size=(3 * count, 3)) * rng.choice([1.0, 30.0], size=(3 * count, 1))
    triangles = np.arange(3 * count).reshape(-1, 3)
    points = rng.normal(size=(20, 3)) * 20
    alone = [distances_to_mesh(points, corners, t[None]) for t in triangles]
    found = distances_to_mesh(points, corners, triangles)
    assert found == pytest.approx(np.min(alone, axis=0))
    inside = np.einsum("k,nkd->nd", rng.dirichlet(np.ones(3)), corners[triangles])
    assert distances_to_mesh(inside, corners, triangles) == pytest.approx(0, abs=1e-9)


def test_points_are_spread_by_area() -> None:
    cube = trimesh.creation.box((1, 1, 3))
    points = sample_surface(cube.vertices, cube.faces, 1400)
    assert (np.abs(points[:, 2]) > 1.5 - 1e-9).sum() == pytest.approx(1400 * 2 / 14, abs=8)
    assert np.array_equal(points, sample_surface(cube.vertices, cube.faces, 1400))


def test_distances_go_both_ways() -> None:
    """A cube of side 2 in a cube of side 6: 2 from every point of the small one, up to 2 sqrt(3) from the large one."""
    small, large = trimesh.creation.box((2, 2, 2)), trimesh.creation.box((6, 6, 6))
    there, back = (
        distances_to_mesh(sample_surface(one.vertices, one.faces, 3000), other.vertices, other.faces)
        for one, other in ((small, large), (large, small))
    )
    assert there == pytest.approx(2)
    assert back.min() == pytest.approx(2)
    assert 3.3 < back.max() < 12**0.5


def test_a_triangle_without_area_is_as_far_off_as_its_edges() -> None:
    corners = np.array([[0, 0, 0], [4, 0, 0], [2, 0, 0.0]])
    points = np.array([[1, 3, 4.0], [-2, 0, 0]])
    found = distances_to_mesh(points, corners, np.array([[0, 1, 2], [1, 1, 1]]))
    assert found == pytest.approx([5, 2])
